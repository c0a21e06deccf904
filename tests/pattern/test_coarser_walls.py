"""Drafts draw curved walls in fewer steps: the same cells, outlines within a distance by shapely's measure."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from sample_rings import BANDS
from zoo import plain_design

from ringtex.basics.progress import Progress
from ringtex.design.design_file import design_from_json
from ringtex.make_ring import shape_ring
from ringtex.pattern.coarser_walls import with_coarser_walls
from ringtex.pattern.lattice.families import LATTICE_FAMILIES
from ringtex.pattern.make_pattern import make_pattern
from ringtex.pattern.pattern_options import PatternOptions, RailOptions
from ringtex.pattern.tiling import Tiling
from ringtex.strip.unwrap import unwrap

WITHIN_MM = 0.025
CURVED = [name for name, family in LATTICE_FAMILIES.items() if family.sagitta > 0.0]


def cells_of(family: str, **options: float) -> Tiling:
    made = PatternOptions(family, 12, **options)  # type: ignore[arg-type]
    return make_pattern(unwrap(BANDS["flat"], "length"), made, RailOptions(0.4, 0.4), Progress()).tiling


def polygons(tiling: Tiling) -> list[shapely.Polygon]:
    return [shapely.Polygon(part) for part in np.split(tiling.corners, tiling.cell_start[1:-1])]


def places_of_three(tiling: Tiling) -> set[tuple[float, float]]:
    """Vertices where three cells or more meet, or two on a border."""
    count = np.bincount(tiling.corner_vertex)
    at_border = np.flatnonzero(tiling.twin < 0)
    count[tiling.corner_vertex[np.concatenate((at_border, tiling.next_corner[at_border]))]] += 1
    return {(u, v) for u, v in tiling.vertices[count > 2]}


def outlines_apart(one: Tiling, other: Tiling) -> float:
    """The largest Hausdorff distance between the outlines of cells of one number, mm."""
    pairs = zip(polygons(one), polygons(other), strict=True)
    away = [each.exterior.hausdorff_distance(theirs.exterior) for each, theirs in pairs]
    return max(away)


@pytest.mark.parametrize("family", CURVED)
def test_cells_stay_and_their_outlines_move_little(family: str) -> None:
    fine = cells_of(family)
    coarse = with_coarser_walls(fine, WITHIN_MM)
    assert len(coarse.corner_vertex) < 0.75 * len(fine.corner_vertex)
    assert coarse.problems() == []
    assert places_of_three(coarse) == places_of_three(fine)
    # What is told or snapped to by a cell's middle is where it will be.
    assert np.array_equal(coarse.kernel[0], fine.kernel[0])
    assert np.all(coarse.kernel[1] > 0.0)
    # A cell drawn from another turn of the strip would be a turn away.
    assert 0.0 < outlines_apart(fine, coarse) <= WITHIN_MM


def test_the_longest_step_that_keeps_within_the_distance_is_taken() -> None:
    fine = cells_of("rope")
    counts = [len(with_coarser_walls(fine, within).corner_vertex) for within in (0.001, 0.025, 0.1, 0.5)]
    assert counts[0] == len(fine.corner_vertex) > counts[1] > counts[2] > counts[3]
    assert outlines_apart(fine, with_coarser_walls(fine, 0.1)) <= 0.1


@pytest.mark.parametrize("family", ["hexagon", "herringbone", "star_cross"])
def test_straight_walls_stay(family: str) -> None:
    tiling = cells_of(family)
    assert with_coarser_walls(tiling, WITHIN_MM) is tiling


def test_zigzag_walls_that_turn_much_stay() -> None:
    tiling = cells_of("chevron")
    assert len(with_coarser_walls(tiling, 0.5).corner_vertex) == len(tiling.corner_vertex)


@pytest.mark.parametrize("family", CURVED)
@pytest.mark.parametrize("around", [12, 40])
def test_only_drafts_have_coarser_walls_and_the_cells_and_depths_of_the_ring(family: str, around: int) -> None:
    pattern = {"family": family, "around": around, "across": "auto"}
    design = design_from_json(plain_design(pattern=pattern, relief={"depth_scatter": 0.5, "corner": 0.0}))
    draft, made, final = (
        shape_ring(design, tolerance, Progress(), is_draft=is_draft)
        for tolerance, is_draft in ((0.03, True), (0.03, False), (0.005, False))
    )
    assert np.array_equal(made.pattern.tiling.corners, final.pattern.tiling.corners)
    assert draft.pattern.tiling.cells == final.pattern.tiling.cells
    assert np.array_equal(draft.relief.depth_share, final.relief.depth_share)
    size = np.sqrt(np.mean(final.pattern.tiling.areas))
    assert outlines_apart(draft.pattern.tiling, final.pattern.tiling) <= min(0.035, 0.025 * size)
    if around == 12:
        assert len(draft.solid.mesh.faces) < 0.9 * len(made.solid.mesh.faces)


@pytest.mark.parametrize("relief", [{"form": "pierced"}, {"rounding": 0.5}])
def test_drafts_of_pierced_and_rounded_cells_keep_all_steps(relief: dict[str, object]) -> None:
    design = design_from_json(plain_design(pattern={"family": "rosettes", "around": 12}, relief=relief))
    draft, made = (shape_ring(design, 0.03, Progress(), is_draft=is_draft) for is_draft in (True, False))
    assert np.array_equal(draft.finished.mesh.vertices, made.finished.mesh.vertices)
