"""The ground round rounded cells: sound, and within the tolerance of the band's face."""

import numpy as np
import pytest
from ring_promises import outline_faults, strip_areas
from sample_rings import sample_ring

from ringtex.pattern.lattice.families import LATTICE_FAMILIES
from ringtex.relief.relief_options import FORMS
from ringtex.solid.cells.ground_faces import folded_cells
from ringtex.solid.cells.rounded_cells import rounded_cells
from ringtex.solid.mesh.strip_triangulation import StripMesh

BANDS = ("flat", "half_round", "dome")
FAMILIES = [*(family for family in LATTICE_FAMILIES if family != "flutes"), "cellular"]
"""Flutes take 15 s; `test_rounded_cells` looks at their outlines."""


@pytest.mark.parametrize("family", FAMILIES)
def test_rounded_rings_of_every_family_are_sound(family: str) -> None:
    """Forms, bands and roundings take turns over the families; two rings of each, with simple outlines inside their
    cells. The families have 42 rings of every rounding between them, nine or more of every form."""
    at = FAMILIES.index(family)
    for turn in range(2):
        form, band = FORMS[(at + 4 * turn) % len(FORMS)], BANDS[(at + turn) % 3]
        rounding = (0.15, 0.6, 1.0)[(at // 3 + turn) % 3]
        ring = sample_ring(band, family, 8, 2, chord_mm=0.15, form=form, rounding=rounding)
        assert ring.mesh.problems(genus=1) == [], (band, form)
        assert np.all(strip_areas(ring.solid, ring.strip.length) > 0.0), (band, form)
        assert ring.solid.rounded is not None
        assert outline_faults(ring.tiling, ring.solid.rounded) == [], (band, form)


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("rounding", [0.2, 1.0])
def test_rounded_cells_of_one_dome_are_sound_in_every_form(form: str, rounding: float) -> None:
    ring = sample_ring("dome", "cellular", 16, chord_mm=0.04, form=form, rounding=rounding, depth_scatter=0.7)
    assert ring.mesh.problems(genus=1) == []
    assert np.all(strip_areas(ring.solid, ring.strip.length) > 0.0)


@pytest.mark.parametrize("band", BANDS)
def test_the_ground_keeps_the_tolerance(band: str) -> None:
    """At the edges' middles and the triangles' centres; README says what is usual."""
    ring = sample_ring(band, "cellular", 12, chord_mm=0.005, form="pillow", rounding=1.0)
    solid, length = ring.solid, ring.strip.length
    faces = solid.mesh.faces[solid.face_ranges["cells"]]
    flat = solid.strip_positions[faces]
    ground = np.all(flat[:, :, 2] == 0.0, axis=1)
    flat, placed = flat[ground], solid.mesh.vertices[faces[ground]]
    flat[:, :, 0] -= length * np.rint((flat[:, :, 0] - flat[:, :1, 0]) / length)
    for weights in ((1.0, 1.0, 1.0), (1.0, 1.0, 0.0), (0.0, 1.0, 1.0), (1.0, 0.0, 1.0)):
        share = np.array(weights) / np.sum(weights)
        at, on_mesh = (np.einsum("k,fki->fi", share, each) for each in (flat, placed))
        away = np.linalg.norm(ring.strip.point(at[:, 0], at[:, 1]) - on_mesh, axis=1)
        assert float(np.max(away)) < 1.1 * 0.005


def test_where_the_ground_would_fold_a_cell_is_less_round() -> None:
    """Cells of such a ring had triangles of ground that ran backwards at the full radius."""
    ring = sample_ring(
        "court", "hexagon_square_triangle", 30, chord_mm=0.05, form="pillow", rounding=1.0, corner_mm=0.0,
        depth_mm=0.2409, depth_scatter=0.045, wall_width_mm=None, top_size=0.2847,
    )  # fmt: skip
    faces = ring.mesh.faces[ring.solid.face_ranges["cells"]]
    mesh = StripMesh(ring.solid.strip_positions, faces, ring.solid.face_cell)
    assert len(folded_cells(ring.tiling, mesh)) == 0
    assert ring.solid.rounded is not None
    whole = rounded_cells(ring.strip, ring.tiling, ring.relief, 0.05)
    assert 10 < np.sum(ring.solid.rounded.radius_mm < 0.9 * whole.radius_mm) < 100
