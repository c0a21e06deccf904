"""Cells rounded in plan: true radii on the ring, outlines that fit, walls as wide as asked."""

import numpy as np
import pytest
import shapely
from ring_promises import outline_faults
from sample_rings import BANDS, SampleRing, sample_ring

from ringtex.checks.geometry.cell_widths import cell_widths
from ringtex.pattern.tiling import Tiling
from ringtex.relief.make_relief import make_relief
from ringtex.relief.relief_options import ReliefOptions
from ringtex.solid.cells.rounded_cells import LARGEST, RoundedCells, rounded_cells
from ringtex.strip.unwrap import unwrap

ROUND = {"form": "pillow", "wall_width_mm": 0.3}


def _rounded(ring: SampleRing) -> RoundedCells:
    assert ring.solid.rounded is not None
    return ring.solid.rounded


def _measured_radii(ring: SampleRing) -> tuple[np.ndarray, np.ndarray]:
    """Radii of the circles through three neighbouring corners of arcs on the ring, and those asked for there."""
    rounded = _rounded(ring)
    outlines = rounded.outlines
    middle = np.flatnonzero(rounded.arc & rounded.arc[outlines.next_corner])
    # Whole keys: the sides before and after lie on one arc.
    on_arc = rounded.key[:, 0] == np.floor(rounded.key[:, 0])
    middle = middle[(on_arc[middle]) & on_arc[outlines.previous_corner[middle]]]
    three = outlines.previous_corner[middle], middle, outlines.next_corner[middle]
    a, b, c = (ring.strip.point(*outlines.corners[each].T) for each in three)
    at = outlines.corners[middle]
    normal = ring.strip.shell_map(at[:, 0], at[:, 1], np.ones(len(at))) - b
    # Seen square to the face, so that the band's own bend does not count.
    a, c = (p - np.sum((p - b) * normal, axis=1)[:, None] * normal for p in (a, c))
    sides = [np.linalg.norm(p - q, axis=1) for p, q in ((a, b), (b, c), (a, c))]
    area = 0.5 * np.linalg.norm(np.cross(b - a, c - a), axis=1)
    return sides[0] * sides[1] * sides[2] / (4.0 * area), rounded.radius_mm[outlines.corner_cell[middle]]


@pytest.mark.parametrize(("band", "quantile"), [("flat", 0.99), ("half_round", 0.99), ("dome", 0.99)])
def test_corners_have_the_radius_asked_for_on_the_ring(band: str, quantile: float) -> None:
    """Where the scale of the strip changes within a cell, as at a dome's edges, the arcs lie between lines whose
    distances are those at the wall's ends, and their radius is up to 15 % off."""
    ring = sample_ring(band, "hexagon", 24, chord_mm=0.005, rounding=0.5, **ROUND)
    measured, asked = _measured_radii(ring)
    assert len(measured) > 100
    assert np.median(asked) > 0.2
    off = np.abs(measured / asked - 1.0)
    assert np.quantile(off, quantile) < 0.02, np.quantile(off, (0.5, 0.6, 0.8, 0.9, 0.95, 0.99))


def test_an_outline_is_the_opening_of_its_cell_by_a_disc() -> None:
    """On a flat band the strip is true to scale: against shapely's buffers (GEOS)."""
    ring = sample_ring("flat", "cellular", 20, chord_mm=0.005, rounding=0.6, **ROUND)
    rounded, tiling = _rounded(ring), ring.tiling
    scale = np.sqrt(ring.strip.metric(np.zeros(1), np.full(1, 0.5 * ring.strip.width))[0][0])
    for cell in range(0, tiling.cells, 7):
        whole, made = (
            shapely.Polygon(scale * each.corners[each.cell_start[cell] : each.cell_start[cell + 1]])
            for each in (tiling, rounded.outlines)
        )
        radius = rounded.radius_mm[cell]
        inset = whole.buffer(-0.15 - radius, join_style="mitre")
        expected = inset.buffer(radius, quad_segs=64)
        assert made.is_valid
        assert whole.contains(made)
        assert made.symmetric_difference(expected).area < 0.005 * expected.area


def test_the_largest_radius_reaches_nearly_to_the_centre() -> None:
    ring = sample_ring("flat", "square", 20, rounding=1.0, **ROUND)
    cell = ring.tiling.corners[: ring.tiling.cell_start[1]]
    e, _, g = ring.strip.metric(np.zeros(1), np.zeros(1))
    half = 0.5 * np.min(np.ptp(cell, axis=0) * np.sqrt([e[0], g[0]]))
    assert _rounded(ring).radius_mm[0] == pytest.approx(LARGEST * (half - 0.15), rel=0.01)


def test_outlines_of_flutes_are_simple_and_lie_inside_their_cells() -> None:
    """Those of the other families are looked at where their rings are built, in test_ground_faces."""
    for band, rounding in (("flat", 1.0), ("dome", 0.4)):
        ring = sample_ring(band, "flutes", 8, 2, chord_mm=0.06, form="raised", rounding=rounding)
        assert outline_faults(ring.tiling, _rounded(ring)) == []


def test_walls_are_as_wide_as_asked_where_cells_are_nearest() -> None:
    ring = sample_ring("half_round", "brick", 20, rounding=0.5, **ROUND)
    wall = cell_widths(ring.strip, ring.tiling, ring.solid).wall
    wall = wall[np.isfinite(wall)]
    assert np.all(np.abs(wall - 0.3) < 0.01)


def test_no_rounding_is_no_outline() -> None:
    assert sample_ring("flat", "hexagon", 20, rounding=0.0).solid.rounded is None


def test_a_needle_has_an_outline() -> None:
    """Found by random designs: sides of 0.027 mm vanished in outlines near the centre, and the cell turned over."""
    needle = np.array(
        [
            [[7.09244, 0.12542], [7.08883, 0.09822], [10.27125, 0.10090], [10.27298, 0.12542], [9.31413, 0.12542]],
            [[33.14670, 0.12542], [33.15132, 0.10281], [36.32859, 0.09266], [36.32242, 0.12542], [34.64400, 0.12542]],
        ]
    )
    strip, corner = unwrap(BANDS["knife_edge"], "shape"), np.arange(10, dtype=np.int32)
    start, none = np.array([0, 5, 10], dtype=np.int32), np.full(10, -1, dtype=np.int32)
    tiling = Tiling(strip.length, 0.0, strip.width, needle.reshape(-1, 2), start, corner, 0 * corner, none)
    relief = make_relief(
        2, ReliefOptions(form="peak", depth_mm=0.3, wall_width_mm=None, top_size=0.17, rounding=0.87), 0.02
    )
    outlines = rounded_cells(strip, tiling, relief, 0.02).outlines
    made = shapely.polygons(list(np.split(outlines.corners, outlines.cell_start[1:-1])))
    assert np.all(shapely.is_valid(made))
    assert np.all(shapely.contains(shapely.polygons(needle), made))
    assert np.all(shapely.area(made) > 0.0)


@pytest.mark.parametrize("corner_mm", [0.0, 0.1])
def test_rounded_cells_stand_as_high_as_sharp_ones(corner_mm: float) -> None:
    """An arc at the foot of the flank takes no room outside of the outline, which would shrink cells to nothing."""
    made = sample_ring("flat", "hexagon", 20, chord_mm=0.03, rounding=0.6, corner_mm=corner_mm)
    assert float(made.solid.strip_positions[:, 2].max()) == pytest.approx(made.relief.options.depth_mm)
