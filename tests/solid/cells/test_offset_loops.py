"""Mitred offset loops of cells."""

from itertools import pairwise

import numpy as np
import pytest
import shapely
from sample_rings import SampleRing, sample_ring

from ringtex.basics.tolerances import MIN_INSET_MM
from ringtex.solid.cells.offset_loops import OffsetLoops, convex_between, nested_cells, offset_loops, wall_frames
from ringtex.strip.strip_map import StripMap

CHORD_MM = 0.005


def loops_of(ring: SampleRing, chord_mm: float = CHORD_MM) -> OffsetLoops:
    return offset_loops(ring.strip, ring.tiling, ring.relief, chord_mm)


def polygons(ring: SampleRing, corner: np.ndarray) -> list[shapely.Polygon]:
    start = ring.tiling.cell_start
    return [shapely.Polygon(corner[a:b]) for a, b in pairwise(start)]


@pytest.mark.parametrize("family", ["hexagon", "brick", "diamond", "cellular"])
@pytest.mark.parametrize("around", [16, 24])
def test_insets_are_shapelys_mitred_offsets(family: str, around: int) -> None:
    """Source: shapely's buffer with mitred joins, on the flat band where the strip is isometric. Cells whose walls
    vanish on the way are among them (cellular)."""
    ring = sample_ring(
        "flat", family, around, wall_width_mm=0.3, corner_mm=0.0, scatter=0.6 if family == "cellular" else 0.0
    )
    loops = loops_of(ring)
    whole = polygons(ring, loops.corner[:, 0])
    distance = np.interp(
        np.arange(loops.corner.shape[1]), [0, loops.corner.shape[1] - 1], [0.0, 0.15 + ring.relief.profile.flank_mm]
    )
    compared = vanished = 0
    for last in (1, loops.corner.shape[1] - 1):
        offset = 0.15 if last == 1 else float(distance[-1])
        for cell, (outer, inner) in enumerate(zip(whole, polygons(ring, loops.corner[:, last]), strict=True)):
            if loops.shrunk[cell]:
                continue
            wanted = outer.buffer(-offset, join_style="mitre", mitre_limit=100.0)
            assert wanted.symmetric_difference(inner).area < 2.0 * MIN_INSET_MM**2
            sides = slice(*ring.tiling.cell_start[cell : cell + 2])
            vanished += int(np.sum(~loops.alive[sides, last]))
            compared += 1
    assert compared >= ring.tiling.cells
    assert vanished > 0 or family != "cellular"


def test_rings_are_at_their_true_distance_from_the_wall_on_the_ring() -> None:
    """On a dome the strip is scaled by up to several times; the ridge stays as wide as asked, within the change of
    scale over its own width. Measured in space between wall and ring, not by strip widths."""
    ring = sample_ring("dome", "hexagon", wall_width_mm=0.4, corner_mm=0.0)
    loops = loops_of(ring)
    level = np.flatnonzero((ring.relief.profile.height_mm == 0.0) & (ring.relief.profile.inward_mm > 0.0))
    assert level.tolist() == [1]
    following = ring.tiling.next_corner
    keep = ~loops.shrunk[ring.tiling.corner_cell] & np.all(loops.alive, axis=1)
    ring_number = int(np.flatnonzero(np.all(loops.height == 0.0, axis=0))[-1])
    middle = 0.5 * (loops.corner[:, ring_number] + loops.corner[following, ring_number])
    start, end = loops.corner[:, 0], loops.corner[following, 0]
    part = np.clip(np.einsum("hi,hi->h", middle - start, end - start) / np.sum((end - start) ** 2, axis=1), 0.0, 1.0)
    foot = start + part[:, None] * (end - start)
    width = np.linalg.norm(space(ring.strip, middle) - space(ring.strip, foot), axis=1)[keep]
    assert np.median(width) == pytest.approx(0.2, rel=0.02)
    assert np.quantile(np.abs(width - 0.2), 0.95) < 0.03


def space(strip: StripMap, place: np.ndarray) -> np.ndarray:
    return strip.point(place[:, 0], np.clip(place[:, 1], 0.0, strip.width))


def test_cells_too_small_for_their_ridge_are_squeezed_and_say_so() -> None:
    roomy, tight = sample_ring(wall_width_mm=0.4), sample_ring(around=60, across=15, wall_width_mm=0.6)
    assert not np.any(loops_of(roomy).shrunk)
    loops = loops_of(tight)
    assert np.all(loops.shrunk)
    assert np.all(loops.height[:, -1] < tight.relief.options.depth_mm)
    assert np.all(loops.level_width < 0.3)
    assert np.all(loops.inner_distance[loops.alive[:, -1]] > 0.0)


def test_shallow_cells_keep_their_ridge_and_flank_angle() -> None:
    ring = sample_ring(depth_scatter=0.5, corner_mm=0.0)
    loops = loops_of(ring)
    share = ring.relief.depth_share
    assert loops.height[:, -1] == pytest.approx(0.3 * share)
    walls = loops.corner[:, 1:] - loops.corner[:, :1]
    inset = np.abs(np.einsum("hki,hi->hk", walls, inward(ring)))
    flank = (inset[:, -1] - inset[:, 0])[ring.tiling.cell_start[:-1]]
    assert inset[:, 0] == pytest.approx(0.2, abs=1e-9)
    assert flank == pytest.approx(ring.relief.profile.flank_mm * share, abs=1e-9)


def inward(ring: SampleRing) -> np.ndarray:
    run = ring.tiling.corners[ring.tiling.next_corner] - ring.tiling.corners
    return np.column_stack((-run[:, 1], run[:, 0])) / np.hypot(*run.T)[:, None]


@pytest.mark.parametrize("top_size", [0.3, 0.6, 0.9])
def test_a_top_is_its_share_of_the_cell(top_size: float) -> None:
    """Every length, so the area is the share squared."""
    ring = sample_ring(wall_width_mm=None, top_size=top_size, corner_mm=0.0, around=12, across=3)
    loops = loops_of(ring)
    for outer, inner in zip(polygons(ring, loops.corner[:, 0]), polygons(ring, loops.corner[:, -1]), strict=True):
        assert inner.area / outer.area == pytest.approx(top_size**2, rel=1e-9)


def test_a_top_smaller_than_the_margin_is_still_built() -> None:
    ring = sample_ring(wall_width_mm=None, top_size=0.05, corner_mm=0.0, around=12, across=3)
    assert loops_of(ring).height[:, -1].min() == pytest.approx(0.3)


@pytest.mark.parametrize("family", ["hexagon", "brick", "diamond", "cellular"])
@pytest.mark.parametrize("band", ["flat", "dome"])
def test_the_centre_sees_every_wall(band: str, family: str) -> None:
    ring = sample_ring(band, family)
    walls = wall_frames(ring.strip, ring.tiling)
    assert np.all(walls.centre_distance > 0.0)
    assert np.allclose(np.hypot(*walls.tangent.T), 1.0)
    assert np.abs(np.einsum("hi,hi->h", walls.tangent, walls.inward)).max() < 1e-12


def test_scales_of_a_flat_band_are_one_and_of_a_conformal_strip_the_same_both_ways() -> None:
    flat = sample_ring()
    walls = wall_frames(flat.strip, flat.tiling)
    assert walls.across == pytest.approx(1.0, abs=1e-9)
    assert walls.along == pytest.approx(1.0, abs=1e-9)
    dome = sample_ring("dome")
    walls = wall_frames(dome.strip, dome.tiling)
    assert np.maximum(walls.across_start, walls.across_end) == pytest.approx(walls.along, rel=0.01)


def test_a_mitre_moves_both_walls_by_one_millimetre() -> None:
    """On a flat band an inset by 1 mm moves a corner so that it lies 1 mm inside the lines of both its walls."""
    ring = sample_ring("flat", "cellular")
    walls = wall_frames(ring.strip, ring.tiling)
    before = ring.tiling.previous_corner
    for normal in (walls.inward, walls.inward[before]):
        assert np.einsum("hi,hi->h", normal, walls.mitre) == pytest.approx(1.0, abs=1e-9)


def test_the_inset_of_a_regular_hexagon_moves_its_corners_by_two_over_root_three() -> None:
    """Interior angle 120 degrees, so a corner moves 1 / sin 60 = 2 / sqrt 3 (regular hexagon, elementary geometry)."""
    ring = sample_ring("flat", "hexagon", 48, 7)
    full = np.flatnonzero(np.diff(ring.tiling.cell_start) == 6)
    inner = np.isin(ring.tiling.corner_cell, full)
    angle = 2.0 / np.sqrt(3.0)
    length = np.hypot(*wall_frames(ring.strip, ring.tiling).mitre[inner].T)
    # The pattern is stretched a little to fit whole rows.
    assert length.mean() == pytest.approx(angle, rel=0.03)


def test_a_cell_shrunk_towards_its_centre_nests() -> None:
    tiling = sample_ring().tiling
    centre = tiling.kernel[0]
    inner = tiling.corners + 0.4 * (centre[tiling.corner_cell] - tiling.corners)
    assert np.all(convex_between(tiling, tiling.corners, inner))
    corner = np.stack((tiling.corners, inner), axis=1)
    assert np.all(nested_cells(tiling, corner, centre))


def test_a_corner_pushed_over_its_neighbour_does_not_nest() -> None:
    tiling = sample_ring().tiling
    centre = tiling.kernel[0]
    inner = tiling.corners + 0.4 * (centre[tiling.corner_cell] - tiling.corners)
    pushed = tiling.cell_start[7]
    inner[pushed] += 3.0 * (inner[tiling.next_corner[pushed]] - inner[pushed])
    nested = nested_cells(tiling, np.stack((tiling.corners, inner), axis=1), centre)
    assert np.flatnonzero(~nested).tolist() == [7]


def test_a_ring_pushed_outside_its_wall_does_not_nest() -> None:
    tiling = sample_ring().tiling
    centre = tiling.kernel[0]
    outside = tiling.corners - 0.1 * (centre[tiling.corner_cell] - tiling.corners)
    assert not np.any(nested_cells(tiling, np.stack((tiling.corners, outside), axis=1), centre))


def test_a_centre_outside_the_last_ring_does_not_nest() -> None:
    tiling = sample_ring().tiling
    centre = tiling.kernel[0] + np.array([5.0, 0.0])
    assert not np.any(nested_cells(tiling, tiling.corners[:, None, :], centre))


def test_sides_that_vanish_to_a_point_nest() -> None:
    tiling = sample_ring().tiling
    centre = tiling.kernel[0][tiling.corner_cell]
    assert np.all(convex_between(tiling, tiling.corners, centre))


def test_what_is_built_nests() -> None:
    ring = sample_ring("flat", "cellular", scatter=0.8, seed=9, wall_width_mm=0.8)
    loops = offset_loops(ring.strip, ring.tiling, ring.relief, 0.005)
    assert np.all(nested_cells(ring.tiling, loops.corner, loops.centre))
