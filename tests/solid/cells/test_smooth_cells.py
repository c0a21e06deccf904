"""Pillows and dishes on the ring: normals that turn less from triangle to triangle the finer the tolerance is."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from sample_rings import SampleRing, sample_ring

from ringtex.basics.arrays import Floats, Ints
from ringtex.basics.tolerances import FINAL_CHORD_MM
from ringtex.relief.smooth_tops import SmoothTops
from ringtex.solid.cells.top_splits import MAX_DEVIATION

TOLERANCES_MM = (0.04, 0.02, 0.01, 0.005)


def top_faces(ring: SampleRing) -> tuple[Ints, Ints]:
    """Faces of the tops and the cell of each."""
    faces = ring.mesh.faces[ring.solid.face_ranges["cells"]]
    top = np.any(np.abs(ring.solid.strip_positions[:, 2][faces]) > 1e-12, axis=1)
    return faces[top], ring.solid.face_cell[top]


def largest_angle_deg(ring: SampleRing) -> float:
    """The largest angle between the normals of two triangles that share an edge inside one top."""
    faces, cell = top_faces(ring)
    a, b, c = np.moveaxis(ring.mesh.vertices[faces], 1, 0)
    normal = np.cross(b - a, c - a)
    normal /= np.linalg.norm(normal, axis=1)[:, None]
    edges = np.sort(np.concatenate((faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]])), axis=1)
    owner = np.tile(np.arange(len(faces)), 3)
    order = np.lexsort(edges.T)
    shared = np.flatnonzero(np.all(edges[order][1:] == edges[order][:-1], axis=1))
    one, other = owner[order[shared]], owner[order[shared + 1]]
    inside = cell[one] == cell[other]
    cosine = np.sum(normal[one[inside]] * normal[other[inside]], axis=1)
    return float(np.degrees(np.arccos(np.clip(cosine.min(), -1.0, 1.0))))


def errors_of(ring: SampleRing, positions: Floats, cell: Ints, tops: SmoothTops) -> Floats:
    """Distances of positions (n, 3) over the strip from the height of their cells' tops, mm."""
    loops = ring.solid.loops
    assert loops is not None
    true = loops.height[cell, -1] + loops.rise[cell] * tops.height(positions[:, :2], cell)
    return np.asarray(np.abs(positions[:, 2] - true))


def tops_and_corners(ring: SampleRing) -> tuple[SmoothTops, Floats, Ints]:
    """The tops, the corners (n, 3, 3) of their triangles in one piece round their cells' centres, and the cells."""
    loops, length = ring.solid.loops, ring.tiling.length
    assert loops is not None
    tops = SmoothTops(ring.tiling, loops.corner[:, -1], loops.alive[:, -1], loops.centre)
    faces, cell = top_faces(ring)
    corners = ring.solid.strip_positions[faces].copy()
    corners[..., 0] -= length * np.rint((corners[..., 0] - loops.centre[cell][:, None, 0]) / length)
    return tops, corners, cell


def chord_errors(ring: SampleRing) -> Floats:
    """Distances between the tops' triangles and their height, at ten points of each."""
    tops, corners, cell = tops_and_corners(ring)
    errors = []
    for weights in np.random.default_rng(3).dirichlet((1.0, 1.0, 1.0), 10):
        at = np.einsum("i,nij->nj", weights, corners)
        errors.append(errors_of(ring, at, cell, tops))
    return np.concatenate(errors)


@pytest.mark.parametrize("form", ["pillow", "dish"])
@pytest.mark.parametrize("family", ["hexagon", "brick", "diamond", "cellular"])
def test_normals_turn_less_from_triangle_to_triangle_the_finer_the_tolerance(family: str, form: str) -> None:
    angles = [largest_angle_deg(sample_ring("flat", family, form=form, chord_mm=mm)) for mm in TOLERANCES_MM]
    assert all(finer < coarser for coarser, finer in pairwise(angles)), angles
    assert angles[-1] < 0.7 * angles[0], angles


@pytest.mark.parametrize(("family", "around", "across"), [("diamond", 24, 6), ("flutes", 16, "auto")])
def test_sharp_tips_and_slanted_cells_are_as_smooth(family: str, around: int, across: int | str) -> None:
    """Diamonds' cut halves end in sharp tips; slanted cells had needles half as long as the cell."""
    rings = [sample_ring("flat", family, around, across, form="pillow", chord_mm=mm) for mm in TOLERANCES_MM]
    angles = [largest_angle_deg(ring) for ring in rings]
    assert all(finer < coarser for coarser, finer in pairwise(angles)), angles
    assert angles[-1] < 0.75 * angles[0], angles
    assert chord_errors(rings[-1]).max() < 1.1 * TOLERANCES_MM[-1]


def test_arms_keep_the_final_tolerance() -> None:
    """Their loops lay so far apart that triangles missed the top by four tolerances."""
    errors = chord_errors(sample_ring("flat", "star_cross", 8, 1, form="pillow"))
    assert errors.max() < 1.1 * FINAL_CHORD_MM


def edge_errors(ring: SampleRing) -> Floats:
    """Heights of the tops over the middles of their triangles' edges, against the mesh."""
    tops, corners, cell = tops_and_corners(ring)
    middle = 0.5 * (corners + np.roll(corners, -1, axis=1)).reshape(-1, 3)
    return errors_of(ring, middle, np.repeat(cell, 3), tops)


@pytest.mark.parametrize(("family", "fraction"), [("hexagon", 0.8), ("cellular", 1.05)])
def test_edges_at_levelled_corners_keep_the_tolerance(family: str, fraction: float) -> None:
    """Without their splits those of hexagons take 1.14 tolerances, where random points of triangles rarely fall."""
    assert edge_errors(sample_ring("flat", family, form="pillow")).max() < fraction * FINAL_CHORD_MM


@pytest.mark.parametrize(("family", "around", "across"), [("diamond", 24, 6), ("rhomb_star_12", 8, 1)])
def test_middles_of_triangles_keep_the_share_of_edges(family: str, around: int, across: int) -> None:
    """Of diamonds they lay 0.83 tolerances off while only edges were looked at."""
    ring = sample_ring("flat", family, around, across, form="pillow")
    tops, corners, cell = tops_and_corners(ring)
    assert errors_of(ring, corners.mean(axis=1), cell, tops).max() < MAX_DEVIATION * FINAL_CHORD_MM


@pytest.mark.parametrize(("family", "across", "most"), [("hexagon", "auto", 31_500), ("diamond", 6, 95_000)])
def test_edges_are_flipped_before_they_are_split(family: str, across: int | str, most: int) -> None:
    """Splits alone take 35,500 and 103,000 triangles."""
    assert len(sample_ring("flat", family, 24, across, form="pillow").mesh.faces) < most


def test_normals_of_a_peak_keep_their_creases() -> None:
    """The check itself can fail: the edges of a point stay as sharp at any tolerance."""
    angles = [largest_angle_deg(sample_ring("flat", form="peak", chord_mm=mm)) for mm in TOLERANCES_MM]
    assert min(angles) > 0.9 * max(angles)


@pytest.mark.parametrize("chord_mm", [0.02, 0.01, 0.005])
@pytest.mark.parametrize("family", ["hexagon", "brick", "diamond", "cellular"])
def test_triangles_keep_the_chord_tolerance(family: str, chord_mm: float) -> None:
    errors = chord_errors(sample_ring("flat", family, 16, form="pillow", chord_mm=chord_mm))
    assert errors.max() < 1.1 * chord_mm
    assert np.quantile(errors, 0.999) < chord_mm


@pytest.mark.parametrize("family", ["hexagon", "cellular"])
def test_meshes_are_sound_and_as_high_as_asked(family: str) -> None:
    ring = sample_ring("dome", family, form="pillow")
    assert ring.mesh.problems() == []
    heights = ring.solid.strip_positions[:, 2]
    assert heights.min() == 0.0
    assert 0.295 < heights.max() <= 0.3 + 1e-12


def test_long_cells_take_few_loops_and_keep_the_tolerance() -> None:
    """Of 11 x 0.9 mm: nine times the triangles of ten times as many cells, when loops lay evenly to their ends."""
    rows = {"across": 4, "rail_mm": 2.6, "form": "pillow", "chord_mm": 0.02}
    long, usual = (sample_ring("flat", "hexagon", around, **rows) for around in (6, 60))
    assert len(long.mesh.faces) < 3.0 * len(usual.mesh.faces)
    errors = chord_errors(long)
    assert errors.max() < 1.3 * 0.02
    assert np.quantile(errors, 0.999) < 0.02
