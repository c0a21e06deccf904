"""Meshes judged by programs that are no part of ringtex: trimesh, manifold3d, and libigl's exact arithmetic."""

import manifold3d
import numpy as np
import pytest
import trimesh
from sample_rings import JUDGED_OUTSIDE, sample_ring

from ringtex.checks.geometry.folding import measure_folding
from ringtex.relief.relief_options import FORMS

DRAFT_MM = 0.08
"""Coarser than a draft: the same cells, borders and seam in two thirds of the triangles."""
PAIRS = [*JUDGED_OUTSIDE, *(("flat", "hexagon", form) for form in FORMS)]


AROUND = 9
"""Repeats round the finger: enough for a neighbour on each side and for the seam; more would prove nothing."""


def intersecting_pairs(vertices: np.ndarray, faces: np.ndarray) -> int:
    """How many pairs of triangles cross, by exact arithmetic. Source: libigl's binding of CGAL, for tests only."""
    from igl.copyleft import cgal

    found = cgal.remesh_self_intersections(vertices, faces.astype(np.int64), detect_only=True)
    return len(found[2])


@pytest.mark.parametrize(("band", "family", "form"), PAIRS, ids=["-".join(pair) for pair in PAIRS])
def test_a_ring_is_sound_to_three_judges(band: str, family: str, form: str) -> None:
    """Sources: trimesh (Euler number 0 is genus 1); manifold3d, which judges topology only, so that genus and parts are
    asked for, not just its status; libigl's exact arithmetic.
    """
    # Pillows over the arcs of shells ask for half a million triangles where others take thirty thousand.
    chord_mm = 0.12 if (family, form) == ("shells", "pillow") else DRAFT_MM
    ring = sample_ring(band, family, AROUND, chord_mm=chord_mm, form=form)
    mesh = trimesh.Trimesh(ring.mesh.vertices, ring.mesh.faces, process=False)
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert mesh.euler_number == 0
    assert mesh.volume == pytest.approx(ring.mesh.volume, rel=1e-12)
    assert mesh.area == pytest.approx(ring.mesh.area, rel=1e-12)
    assert mesh.center_mass == pytest.approx(ring.mesh.centre_of_mass, abs=1e-9)
    faces = ring.mesh.faces.astype(np.uint64)
    solid = manifold3d.Manifold(manifold3d.Mesh64(vert_properties=ring.mesh.vertices, tri_verts=faces))
    assert solid.status() == manifold3d.Error.NoError
    assert solid.genus() == 1
    assert len(solid.decompose()) == 1
    assert solid.volume() == pytest.approx(ring.mesh.volume, rel=1e-12)
    assert intersecting_pairs(ring.mesh.vertices, ring.mesh.faces) == 0


def test_relief_sunk_deeper_than_a_crown_is_round_crosses_itself_and_both_say_so() -> None:
    """0.3 mm into a crown of radius 0.2 mm: 1 + h k is below 0 there, and the exact test agrees."""
    ring = sample_ring("knife_edge", "cellular", form="sunk", chord_mm=DRAFT_MM)
    assert measure_folding(ring.solid, ring.strip).margin < 0.0
    assert intersecting_pairs(ring.mesh.vertices, ring.mesh.faces) > 0


@pytest.mark.parametrize("keep", ["length", "area"])
def test_no_two_triangles_cross_on_sheared_strips(keep: str) -> None:
    mesh = sample_ring("dome", keep=keep, chord_mm=DRAFT_MM).mesh  # type: ignore[arg-type]
    assert intersecting_pairs(mesh.vertices, mesh.faces) == 0


def test_no_two_triangles_cross_in_a_finished_dome() -> None:
    mesh = sample_ring("dome").mesh
    assert intersecting_pairs(mesh.vertices, mesh.faces) == 0


def test_the_exact_test_sees_a_spike_through_the_bore() -> None:
    """What the other two accept: topology and volume stay in order."""
    ring = sample_ring(chord_mm=DRAFT_MM)
    spiked = ring.mesh.vertices.copy()
    top = int(np.argmax(ring.solid.strip_positions[:, 2]))
    spiked[top] *= 0.5
    assert trimesh.Trimesh(spiked, ring.mesh.faces, process=False).is_watertight
    assert intersecting_pairs(spiked, ring.mesh.faces) > 0
