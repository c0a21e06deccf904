"""Outlines of growth rings: wide enough to be made up to their ends, and a groove apart everywhere; by shapely."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import shapely

from ringtex.basics.progress import Progress
from ringtex.basics.resources import demo_folder, resource
from ringtex.design.design import Design
from ringtex.design.design_file import read_design, read_pattern
from ringtex.make_ring import BuiltRing, ShapedRing, make_ring, shape_ring
from ringtex.solid.free_form.ring_outlines import MIN_LEVEL_MM, OPENED, ring_outlines, ring_widths


def design(band: str, around: int, across: int, seed: int, **relief: Any) -> Design:
    """The sawmill's rings on a demo's band; "flat" is the starting one."""
    path = resource("starting_design.ring.json") if band == "flat" else demo_folder() / f"{band}.ring.json"
    made = read_pattern(demo_folder() / "sawmill_yard.pattern.json").on(read_design(path))
    pattern = replace(made.pattern, around=around, across=across, seed=seed)
    return replace(made, pattern=pattern, relief=replace(made.relief, **relief))


def flat_parts(around: int, across: int, seed: int) -> tuple[Any, Any, float]:
    """The outlines on a flat band, whose strip is as long and wide as the ring (isometric), their widths and length."""
    made = design("flat", around, across, seed)
    ring = shape_ring(made, 0.02, Progress())
    widths = ring_widths(ring.strip, ring.pattern.motif, made.relief)
    parts = ring_outlines(ring.strip, ring.pattern.motif, widths, 0.005)
    low, _, high, _ = shapely.bounds(parts).T
    return parts[(high > 0.0) & (low < ring.strip.length)], widths, ring.strip.length


@pytest.mark.parametrize(("around", "across"), [(16, 3), (24, 4)])
@pytest.mark.parametrize("seed", [1, 4, 5, 6, 7, 8])
def test_rings_have_no_necks_and_no_slits(around: int, across: int, seed: int) -> None:
    """Less a margin of 0.44 of the least width (discs, and necks of 0.9 of it) every part is still one; grown by 0.46
    of a groove no two meet, and none closes round a hole that it did not have."""
    parts, widths, _ = flat_parts(around, across, seed)
    eroded = shapely.buffer(parts, -0.44 * widths.least_mm, quad_segs=16)
    assert np.all(shapely.get_num_geometries(eroded) == 1)
    assert not np.any(shapely.is_empty(eroded))
    grown = shapely.buffer(parts, 0.46 * widths.groove_mm, quad_segs=16)
    assert shapely.get_num_geometries(shapely.union_all(grown)) == len(parts)
    assert np.array_equal(shapely.get_num_interior_rings(grown), shapely.get_num_interior_rings(parts))


@pytest.mark.parametrize("seed", [1, 4, 6])
def test_every_hole_has_a_ring_in_it(seed: int) -> None:
    """Piths too small to be made belong to the ring round them."""
    parts, _, _ = flat_parts(16, 3, seed)
    for part in parts:
        for hole in shapely.polygons(shapely.get_rings(part)[1:]):
            assert np.any(shapely.within(parts, hole))


@pytest.mark.parametrize("slide", np.linspace(0.0, 60.0, 13).tolist())
def test_outlines_are_the_same_a_turn_further(slide: float) -> None:
    """Also where a neck, a cut or a joined piece lies at the seam, half a ring's width to both sides; walls are
    simplified within half a micrometre, and a cut takes a hundredth of the area."""
    made = design("flat", 20, 4, 5, wall_width_mm=0.3)
    made = replace(made, pattern=replace(made.pattern, slide_mm=(slide, 0.0)))
    ring = shape_ring(made, 0.05, Progress())
    rings = ring.pattern.motif
    parts = ring_outlines(ring.strip, rings, ring_widths(ring.strip, rings, made.relief), 0.005)
    whole = shapely.union_all(parts)
    seam = shapely.box(-0.5 * rings.width, 0.0, 0.5 * rings.width, ring.strip.width)
    first = shapely.intersection(whole, seam)
    end = shapely.intersection(shapely.transform(whole, lambda at: at - [ring.strip.length, 0.0]), seam)
    assert first.area > 1.0
    assert shapely.symmetric_difference(first, end).area < 1e-3 * first.area


def shaped(made: Design) -> ShapedRing:
    return shape_ring(made, 0.03, Progress())


def test_ends_are_as_wide_as_the_relief_asks_for() -> None:
    """A top of 0.37 mm between two flanks of depth over the tangent of their angle; without flanks 0.37 mm; where rings
    are too narrow for that a third of what grooves leave of them."""
    sharp = design("flat", 14, 2, 6, flank_deg=60.0, corner_mm=0.0, depth_mm=1.25**-5)
    made = shaped(sharp)
    rings = made.pattern.motif
    least = ring_widths(made.strip, rings, sharp.relief).least_mm
    assert least == pytest.approx(MIN_LEVEL_MM + 2.0 * 1.25**-5 / np.sqrt(3.0), rel=1e-6)
    near = replace(sharp.relief, depth_mm=1.05 * 1.25**-5)
    assert ring_widths(made.strip, rings, near).least_mm == least
    domed = replace(sharp.relief, form="pillow")
    assert ring_widths(made.strip, rings, domed).least_mm == pytest.approx(MIN_LEVEL_MM)
    dense = shaped(design("flat", 40, 6, 6))
    widths = ring_widths(dense.strip, dense.pattern.motif, sharp.relief)
    assert widths.least_mm == pytest.approx(OPENED[1] * (dense.pattern.motif.width - widths.groove_mm))


def thin(ring: BuiltRing) -> list[str]:
    return [each.message for each in ring.report.findings if each.kind.value in ("thin_ridge", "thin_groove")]


@pytest.mark.parametrize(("band", "seed"), [("flat", 8), ("half_round", 5), ("dome", 2)])
def test_rings_as_wide_as_the_sawmills_have_no_thin_ridge_or_groove(band: str, seed: int) -> None:
    """Three that had one before, by the checks on the finished ring; flanks of 75 degrees, grooves of 0.36 mm."""
    assert thin(make_ring(design(band, 16, 3, seed), 0.01)) == []
