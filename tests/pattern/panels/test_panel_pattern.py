"""Panels: cells that end on their frames, whatever the families, and what they refuse."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
import shapely
from sample_rings import BANDS

from ringtex.basics.errors import InputError
from ringtex.basics.progress import Progress
from ringtex.pattern.lattice.families import ALL_FAMILIES
from ringtex.pattern.make_pattern import make_pattern
from ringtex.pattern.panels.box_cuts import CutCells, without_slivers
from ringtex.pattern.panels.panel_options import Panel, check_panels
from ringtex.pattern.panels.panel_pattern import panel_of_cell
from ringtex.pattern.pattern_options import CELL_FAMILIES, PatternOptions, RailOptions
from ringtex.pattern.patterned_part import Pattern
from ringtex.strip.unwrap import unwrap

LENGTH, WIDTH = 64.0, 8.0
PANEL = Panel(0.5, 0.5, 10.0, 4.0, 0.4, PatternOptions("hexagon", 7))


class FlatStrip:
    """A strip with nothing but its size."""

    length, width = LENGTH, WIDTH


def with_panels(*panels: Panel, own: PatternOptions | None = None) -> Pattern:
    options = own or PatternOptions("hexagon", 24)
    return make_pattern(FlatStrip(), options, RailOptions(0.5, 0.5), Progress(), panels=panels)


@pytest.mark.parametrize("family", CELL_FAMILIES)
def test_every_family_lies_round_a_panel_and_in_one(family: str) -> None:
    """No cell reaches over a frame, and what lies in a panel covers it; by shapely."""
    own = PatternOptions(family, max(6, ALL_FAMILIES[family].sample_around), scatter=0.3)
    made = with_panels(replace(PANEL, u=0.31, pattern=replace(own, around=5)), own=own)
    assert made.tiling.problems() == []
    where = panel_of_cell(made)
    box, inner = made.panels[0].box, made.panels[0].inner
    starts = made.tiling.cell_start
    shapes = np.array([shapely.Polygon(made.tiling.corners[a:b]) for a, b in pairwise(starts)])
    common = shapely.area(shapely.intersection(shapes, shapely.box(*box)))
    assert float(common[where == -1].max()) < 1e-6
    assert float(np.sum(shapely.area(shapes[where == 0]))) == pytest.approx(shapely.box(*inner).area, rel=1e-9)
    frame = shapely.box(*box).area - shapely.box(*inner).area
    assert float(np.sum(shapely.area(shapes[where == 1]))) == pytest.approx(frame, rel=1e-9)


@pytest.mark.parametrize("u", [0.0, 0.01, 0.98])
def test_a_panel_over_the_seam_is_one_elsewhere(u: float) -> None:
    """Moved by whole repeats round the ring, the cells in it and round it have the same areas."""
    here = with_panels(replace(PANEL, u=0.5 + u - round(u)))
    there = with_panels(replace(PANEL, u=u))
    assert there.tiling.problems() == []
    for value in (-1, 0, 1):
        one, other = (np.sort(each.tiling.areas[panel_of_cell(each) == value]) for each in (here, there))
        assert np.allclose(one, other, atol=1e-9)


def test_a_panel_near_a_rail_ends_there() -> None:
    made = with_panels(replace(PANEL, v=0.3, height_mm=4.0))
    assert made.panels[0].box.low == made.tiling.lower
    assert made.tiling.problems() == []
    whole = with_panels(replace(PANEL, height_mm=20.0))
    assert whole.panels[0].box[1::2] == (0.5, 7.5)


def test_two_panels_do_not_change_each_other() -> None:
    other = replace(PANEL, u=0.1, pattern=PatternOptions("brick", 5))
    both, alone = with_panels(PANEL, other), with_panels(PANEL)
    assert both.tiling.problems() == []
    one, two = (np.sort(each.tiling.areas[panel_of_cell(each) == 0]) for each in (both, alone))
    assert np.array_equal(one, two)
    assert np.count_nonzero(panel_of_cell(both) == 2) > 10


@pytest.mark.parametrize(
    ("panels", "word"),
    [
        ((replace(PANEL, width_mm=30.0),), "round the ring"),
        ((replace(PANEL, frame_mm=1.9),), "no room for cells"),
        ((PANEL, replace(PANEL, u=0.6)), "overlap"),
        ((replace(PANEL, pattern=PatternOptions("cellular", 5, twist=1)),), "panel 1"),
    ],
)
def test_what_cannot_be_is_refused(panels: tuple[Panel, ...], word: str) -> None:
    with pytest.raises(InputError, match=word) as refused:
        with_panels(*panels)
    assert refused.value.where.startswith("panels[")


@pytest.mark.parametrize(
    ("panels", "own", "zones", "where"),
    [
        ((PANEL,) * 9, PatternOptions(), False, "panels"),
        ((PANEL,), PatternOptions(), True, "panels"),
    ],
)
def test_what_panels_cannot_have(panels: Any, own: PatternOptions, zones: bool, where: str) -> None:
    with pytest.raises(InputError) as refused:
        check_panels(panels, own, zones)
    assert refused.value.where == where


@pytest.mark.parametrize("family", ["hexagon", "cellular"])
def test_evenness_in_a_panel_is_that_of_areas_on_the_ring(family: str) -> None:
    """Areas of cells on a dome vary by 1 - e of what they do at evenness 0, as round a whole ring."""
    strip = unwrap(BANDS["dome"], "shape")
    spread = []
    for evenness in (0.0, 0.5, 1.0):
        inside = PatternOptions(family, 12, evenness=evenness)
        panel = Panel(0.5, 0.5, 0.25 * strip.length, 0.7 * strip.width, pattern=inside)
        made = make_pattern(strip, PatternOptions("brick", 40), RailOptions(0.5, 0.5), Progress(), panels=(panel,))
        assert made.tiling.problems() == []
        own, left = made.panels[0].pattern.tiling, made.panels[0].inner.left
        e, f, g = strip.metric((own.centroids[:, 0] % own.length + left) % strip.length, own.centroids[:, 1])
        areas = own.areas * np.sqrt(e * g - f * f)
        spread.append(float(np.std(areas) / np.mean(areas)))
    assert spread[2] < 0.02 < 0.3 * spread[0] < spread[1] < 0.75 * spread[0]


def test_rows_of_bricks_in_a_panel_cannot_be_even() -> None:
    with pytest.raises(InputError) as refused:
        with_panels(replace(PANEL, pattern=PatternOptions("brick", 6, evenness=0.5)))
    assert refused.value.where == "panels[0].pattern.evenness"


@pytest.mark.parametrize("order", [(0, 1, 2, 3), (0, 2, 1, 3), (1, 2, 0, 3)])
def test_slivers_that_touch_are_joined_one_after_the_other(order: tuple[int, ...]) -> None:
    heights = np.array([0.0, 1.0, 1.01, 1.02, 2.0])
    points = np.column_stack((np.repeat([[0.0], [5.0]], 5, axis=1).T.ravel(), np.repeat(heights, 2)))
    rows = [np.array([2 * k, 2 * k + 1, 2 * k + 3, 2 * k + 2]) for k in range(4)]
    made = without_slivers(CutCells(points, [rows[k] for k in order], list(order), []), 0.1)
    area = sum(shapely.Polygon(points[loop]).area for loop in made.loops)
    assert area == pytest.approx(10.0)
    assert len(made.loops) == len(made.origin) < 4


def test_panels_nearer_than_their_snapping_are_refused() -> None:
    with pytest.raises(InputError, match="overlap or touch"):
        with_panels(PANEL, replace(PANEL, u=PANEL.u + (PANEL.width_mm + 0.42) / LENGTH))
