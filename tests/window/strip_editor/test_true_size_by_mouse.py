"""The strip in true size, as wide as the ring at every angle: the same hands do the same as in the rectangle."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from strip_rings import Bench, drag, pixels

from ringtex.relief.plain_options import PlainPlace
from ringtex.solid.finishing.stone_options import Stone
from ringtex.strip.true_size import length_on_ring

LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def bench(qtbot) -> Bench:  # type: ignore[no-untyped-def]
    made = Bench(qtbot, "dome", (1280, 420))
    made.state.set_true_size(True)
    made.rest()
    assert made.strip.state.viewport.true_size is not None
    return made


def given(bench: Bench, **options: object) -> None:
    bench.document.change(replace(bench.document.design, **options), "set")
    bench.rest()


def sizes(bench: Bench) -> tuple[float, float]:
    view = bench.strip.state.viewport
    return view.length, view.strip_width


@pytest.mark.parametrize(("u", "v"), [(0.5, 0.7), (0.35, 0.4), (0.9, 0.5)])
def test_a_stone_is_dragged_to_where_the_hand_lets_go(bench: Bench, u: float, v: float) -> None:
    length, width = sizes(bench)
    given(bench, stones=(Stone(0.45, 0.5, 1.5),))
    start, stop = bench.point(0.45 * length, 0.5 * width), bench.point(u * length, v * width)
    drag(bench, start, (start + stop) / 2, stop)
    (stone,) = bench.document.design.stones
    assert isinstance(stone, Stone)
    found = bench.point(stone.u * length, stone.v * width)
    assert (found - stop).manhattanLength() <= 8  # it snaps to cells, head and middle


def test_the_grip_of_a_stone_changes_its_diameter_by_what_it_is_pulled(bench: Bench) -> None:
    """True size: lengths along the crown line and across are the ring's own."""
    given(bench, stones=(Stone(0.5, 0.5, 2.0),))
    scale = bench.strip.state.viewport.scale
    start = bench.point(0.5 * sizes(bench)[0], 0.5 * sizes(bench)[1])
    QTest.mouseClick(bench.strip, LEFT, pos=start)
    at = bench.grip("diameter")
    pulled = QPoint(round(0.5 * scale), 0)
    drag(bench, at, at + pulled / 2, at + pulled)
    (stone,) = bench.document.design.stones
    assert isinstance(stone, Stone)
    assert stone.diameter_mm == pytest.approx(3.0, abs=0.15)


def test_a_plain_place_is_pulled_to_its_true_size(bench: Bench) -> None:
    given(bench, plain=(PlainPlace(0.5, 0.5, 4.0, 3.0),))
    scale = bench.strip.state.viewport.scale
    QTest.mouseClick(bench.strip, LEFT, pos=bench.point(*(0.5 * size for size in sizes(bench))))
    for name, by in (("width", QPoint(round(scale), 0)), ("height", QPoint(0, -round(0.5 * scale)))):
        at = bench.grip(name)
        drag(bench, at, at + by / 2, at + by)
    (place,) = bench.document.design.plain
    assert place.width_mm == pytest.approx(6.0, abs=0.3)
    assert place.height_mm == pytest.approx(4.0, abs=0.3)


def test_the_pattern_slides_with_the_hand_along_the_crown(bench: Bench) -> None:
    length, width = sizes(bench)
    start, stop = bench.point(0.45 * length, 0.5 * width), bench.point(0.55 * length, 0.5 * width)
    drag(bench, start, (start + stop) / 2, stop)
    pixel = length / bench.strip.state.viewport.turn_px
    assert bench.document.design.pattern.slide_mm[0] == pytest.approx(0.1 * length, abs=2.5 * pixel)


@pytest.mark.parametrize("at", [0.5, 0.25])
def test_every_cell_is_found_under_the_pointer(bench: Bench, at: float) -> None:
    view = bench.strip.state.view
    assert view is not None
    seen = view.built.pattern.tiling.kernel[0]
    near = np.flatnonzero(np.abs(seen[:, 0] / view.built.strip.length - at) < 0.03)
    for cell in near.tolist():
        bench.move(bench.centre(cell))
        assert bench.state.hovered_cell == cell


@pytest.mark.parametrize("name", ["lower_rail", "upper_rail"])
def test_a_pulled_border_makes_a_rail_under_the_hand(bench: Bench, name: str) -> None:
    width = sizes(bench)[1]
    handle = next(handle for handle in bench.strip.state.handles() if handle.name == name)
    start = bench.handle(name)
    stop = bench.point(handle.u, 0.12 * width if name == "lower_rail" else 0.88 * width)
    drag(bench, start, (start + stop) / 2, stop)
    rails = bench.document.design.rails
    assert (rails.lower_mm if name == "lower_rail" else rails.upper_mm) == pytest.approx(0.12 * width, abs=0.1)


def test_equal_stones_look_equal(bench: Bench) -> None:
    """Two stones of one size, at the head and near the palm: their grips lie equally far from their middles."""
    reach = []
    for u in (0.5, 0.2):
        given(bench, stones=(Stone(u, 0.5, 2.0),))
        here = bench.point(u * sizes(bench)[0], 0.5 * sizes(bench)[1])
        reach.append((bench.grip("diameter") - here).manhattanLength())
    assert reach[0] == pytest.approx(reach[1], abs=2.5)


def test_the_overlay_is_drawn_within_the_outline(bench: Bench) -> None:
    plain = pixels(bench.strip)
    bench.state.set_overlay("stretch")
    bench.rest()
    changed = np.argwhere(np.any(pixels(bench.strip) != plain, axis=2))
    assert len(changed) > 1000
    v = np.array([bench.strip.state.viewport.position(x, y)[1] for y, x in changed[:: len(changed) // 300]])
    width = sizes(bench)[1]
    assert np.mean((v > -0.05 * width) & (v < 1.05 * width)) > 0.9


def test_lengths_said_are_lengths_on_the_ring(bench: Bench) -> None:
    view = bench.strip.state.view
    assert view is not None
    length, width = sizes(bench)
    across = length_on_ring(view.built.strip, (0.5 * length, 0.0), (0.5 * length, width))
    bottom, top = bench.point(0.5 * length, 0.0), bench.point(0.5 * length, width)
    assert (bottom - top).manhattanLength() / bench.strip.state.viewport.scale == pytest.approx(across, abs=0.15)
