"""Stones and plain places on the strip by mouse and keyboard, asserting on the document and on what is seen."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from strip_rings import Bench, drag, pixels

from ringtex.relief.plain_options import PlainPlace
from ringtex.solid.finishing.stone_options import Stone, StoneRow

LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def bench(qtbot) -> Bench:  # type: ignore[no-untyped-def]
    return Bench(qtbot)


def with_stones(bench: Bench, *entries: Stone | StoneRow) -> None:
    bench.document.change(replace(bench.document.design, stones=entries), "set")
    bench.rest()


def with_plain(bench: Bench, *places: PlainPlace) -> None:
    bench.document.change(replace(bench.document.design, plain=places), "set")
    bench.rest()


def middle(bench: Bench, number: int = 0) -> QPoint:
    item = bench.strip.state.items[number]
    return bench.point(item.u, item.v)


def click(bench: Bench, at: QPoint) -> None:
    bench.move(at)
    QTest.mouseClick(bench.strip, LEFT, pos=at)


# --- placing


def test_clicks_place_stones_until_escape(bench: Bench) -> None:
    strip, finishing = bench.strip, bench.state.finishing
    length, width = strip.state.viewport.length, strip.state.viewport.width
    before = bench.document.design
    finishing.set_placing("stone")
    assert strip.cursor().shape() == Qt.CursorShape.CrossCursor
    for share in (0.3, 0.6):
        click(bench, bench.point(share * length, 0.5 * width))
    stones = bench.document.design.stones
    assert [type(stone) for stone in stones] == [Stone, Stone]
    half_pixel = 0.5 / strip.state.viewport.turn_px
    assert [stone.u for stone in stones] == pytest.approx([0.3, 0.6], abs=2 * half_pixel)
    assert [stone.v for stone in stones] == pytest.approx([0.5, 0.5], abs=1.0 / strip.state.viewport.height_px)
    assert finishing.chosen == "stones[1]"
    QTest.keyClick(strip, Qt.Key.Key_Escape)
    assert finishing.placing is None
    click(bench, bench.point(0.45 * length, 0.5 * width))
    assert bench.document.design.stones == stones
    bench.document.undo()
    bench.document.undo()
    assert bench.document.design == before


def test_a_click_beside_the_strip_places_nothing(bench: Bench) -> None:
    bench.state.finishing.set_placing("plain")
    click(bench, QPoint(600, 6))
    assert bench.document.design.plain == ()
    assert bench.document.undo_label is None


def test_the_hint_is_on_the_strip_while_placing(bench: Bench) -> None:
    still = pixels(bench.strip)
    bench.state.finishing.set_placing("stone")
    hinted = pixels(bench.strip)
    changed = np.argwhere(np.any(still != hinted, axis=2))
    assert len(changed) > 1000
    bench.state.finishing.set_placing(None)
    np.testing.assert_array_equal(pixels(bench.strip), still)


def test_the_keyboard_places_in_the_chosen_cell(bench: Bench) -> None:
    bench.state.finishing.set_placing("stone")
    bench.state.set_hovered_cell(60)
    QTest.keyClick(bench.strip, Qt.Key.Key_Return)
    assert bench.strip.state.view is not None
    u, v = bench.strip.state.view.built.pattern.tiling.kernel[0][60]
    (stone,) = bench.document.design.stones
    assert isinstance(stone, Stone)
    assert (stone.u * bench.strip.state.viewport.length, stone.v * bench.strip.state.viewport.width) == pytest.approx(
        (u, v), abs=1e-3
    )


def test_the_next_stone_is_like_the_last(bench: Bench) -> None:
    with_stones(bench, StoneRow(3, Stone(0.2, 0.5, 1.4, collar_mm=0.35)))
    bench.state.finishing.set_placing("stone")
    click(bench, bench.point(0.7 * bench.strip.state.viewport.length, 0.4 * bench.strip.state.viewport.width))
    placed = bench.document.design.stones[1]
    assert isinstance(placed, Stone)
    assert (placed.diameter_mm, placed.collar_mm) == (1.4, 0.35)


# --- dragging


def test_a_drag_moves_a_stone_as_one_step(bench: Bench) -> None:
    with_stones(bench, Stone(0.3, 0.5, 2.0))
    before, scale = bench.document.design, bench.strip.state.viewport.scale
    start = middle(bench)
    drag(bench, start, start + QPoint(20, 3), start + QPoint(44, 8), start + QPoint(60, 12))
    (stone,) = bench.document.design.stones
    assert isinstance(stone, Stone)
    assert (stone.u - 0.3) * bench.strip.state.viewport.length == pytest.approx(60 / scale, abs=1.0 / scale)
    assert (stone.v - 0.5) * bench.strip.state.viewport.width == pytest.approx(-12 / scale, abs=1.0 / scale)
    assert stone.diameter_mm == 2.0
    assert bench.document.undo_label == "move a stone"
    bench.document.undo()
    assert bench.document.design == before


def test_escape_takes_the_drag_of_a_stone_back(bench: Bench) -> None:
    with_stones(bench, Stone(0.3, 0.5, 2.0))
    before, start = bench.document.design, middle(bench)
    drag(bench, start, start + QPoint(50, 0), release=False)
    assert bench.document.design != before
    QTest.keyClick(bench.strip, Qt.Key.Key_Escape)
    assert bench.document.design == before
    QTest.mouseRelease(bench.strip, LEFT, pos=start)


def test_a_stone_goes_over_the_seam_and_stays_on_the_strip(bench: Bench) -> None:
    with_stones(bench, Stone(0.02, 0.5, 2.0))
    length = bench.strip.state.viewport.length
    start = middle(bench)
    away = round(0.05 * length * bench.strip.state.viewport.scale)
    drag(bench, start, start - QPoint(away // 2, 0), start - QPoint(away, 300))
    (stone,) = bench.document.design.stones
    assert isinstance(stone, Stone)
    assert stone.u == pytest.approx(0.97, abs=0.002)
    assert stone.v == 1.0


def test_a_row_moves_as_a_whole(bench: Bench) -> None:
    with_stones(bench, StoneRow(4, Stone(0.4, 0.5, 1.5), spacing_mm=3.0))
    assert len(bench.strip.state.items) == 4
    last = middle(bench, 3)
    drag(bench, last, last + QPoint(20, 0), last + QPoint(40, 0))
    (row,) = bench.document.design.stones
    assert isinstance(row, StoneRow)
    moved_mm = (row.stone.u - 0.4) * bench.strip.state.viewport.length
    assert moved_mm == pytest.approx(40 / bench.strip.state.viewport.scale, abs=1.0 / bench.strip.state.viewport.scale)
    assert row.count == 4


def test_the_grip_changes_the_diameter(bench: Bench) -> None:
    with_stones(bench, Stone(0.3, 0.5, 2.0))
    click(bench, middle(bench))
    assert bench.state.finishing.chosen == "stones[0]"
    start = bench.grip("diameter")
    pulled = round(0.5 * bench.strip.state.viewport.scale)
    drag(bench, start, start + QPoint(pulled // 2, 0), start + QPoint(pulled, 0))
    (stone,) = bench.document.design.stones
    assert isinstance(stone, Stone)
    # Half a millimetre outwards on a flat band, whose strip is true: a diameter larger by a whole one.
    assert stone.diameter_mm == pytest.approx(3.0, abs=0.11)
    assert bench.document.undo_label == "change the diameter of a stone"


def test_a_plain_place_is_dragged_and_pulled_to_size(bench: Bench) -> None:
    with_plain(bench, PlainPlace(0.3, 0.5, 4.0, 3.0))
    start, scale = middle(bench), bench.strip.state.viewport.scale
    drag(bench, start, start + QPoint(30, 0), start + QPoint(50, 0))
    assert bench.document.undo_label == "move a plain place"
    for name, by, key in (
        ("width", QPoint(round(scale), 0), "width_mm"),
        ("height", QPoint(0, -round(0.5 * scale)), "height_mm"),
    ):
        at = bench.grip(name)
        drag(bench, at, at + by / 2, at + by)
        assert bench.document.undo_label == f"change the {name} of a plain place", key
    (place,) = bench.document.design.plain
    assert place.u == pytest.approx(0.3 + 50 / scale / bench.strip.state.viewport.length, abs=0.001)
    assert place.width_mm == pytest.approx(6.0, abs=0.11)
    assert place.height_mm == pytest.approx(4.0, abs=0.11)


# --- removing and choosing


def test_delete_removes_what_is_under_the_pointer(bench: Bench) -> None:
    first, second = Stone(0.3, 0.5, 2.0), Stone(0.6, 0.5, 1.5)
    with_stones(bench, first, second)
    bench.move(middle(bench, 0))
    QTest.keyClick(bench.strip, Qt.Key.Key_Delete)
    assert bench.document.design.stones == (second,)
    assert bench.document.undo_label == "remove a stone"
    bench.document.undo()
    assert bench.document.design.stones == (first, second)


def test_a_click_chooses_and_asks_the_settings_to_show(bench: Bench) -> None:
    with_stones(bench, Stone(0.3, 0.5, 2.0))
    told: list[str] = []
    bench.state.finishing.revealed.connect(told.append)
    click(bench, middle(bench))
    assert told == ["stones[0]"]
    click(bench, bench.point(0.8 * bench.strip.state.viewport.length, 0.5 * bench.strip.state.viewport.width))
    assert bench.state.finishing.chosen is None


def test_no_cell_is_changed_by_a_double_click_on_a_stone(bench: Bench) -> None:
    with_stones(bench, Stone(0.3, 0.5, 2.0))
    before, at = bench.document.design, middle(bench)
    bench.move(at)
    QTest.mouseDClick(bench.strip, LEFT, pos=at)
    assert bench.document.design == before


# --- what is seen


def test_a_stone_is_seen_as_glass_in_plain_metal(bench: Bench) -> None:
    with_stones(bench, Stone(0.3, 0.5, 3.0))
    seen, at = pixels(bench.strip), middle(bench)
    glass = seen[at.y() - 6 : at.y() + 7, at.x() - 6 : at.x() + 7].reshape(-1, 3).mean(axis=0)
    assert glass[2] > glass[0] - 12, "glass is no warmer than it is blue, unlike gold"
    collar = round((1.5 + 0.25) * bench.strip.state.viewport.scale)
    ring = [seen[at.y(), at.x() + way * collar] for way in (-1, 1)]
    assert all(int(pixel[0]) - int(pixel[2]) > 60 for pixel in ring), "the collar is of gold"
    np.testing.assert_allclose(ring[0], ring[1], atol=20)


def test_a_plain_place_is_seen_as_level_metal(bench: Bench) -> None:
    with_plain(bench, PlainPlace(0.3, 0.5, 6.0, 4.0))
    seen, at, scale = pixels(bench.strip), middle(bench), bench.strip.state.viewport.scale
    wide, high = round(2.7 * scale), round(1.7 * scale)
    inside = seen[at.y() - high : at.y() + high, at.x() - wide : at.x() + wide].reshape(-1, 3)
    assert np.all(inside.std(axis=0) < 12.0)


# --- snapping


def test_a_dragged_stone_snaps_to_a_cell_to_head_and_to_the_middle(bench: Bench) -> None:
    """The head of a plain band is half-way along its strip, and its middle half-way across."""
    with_stones(bench, Stone(0.3, 0.2, 2.0))
    view = bench.strip.state.view
    assert view is not None
    centres, viewport = view.built.pattern.tiling.kernel[0], bench.strip.state.viewport
    start, cell = middle(bench), int(np.argmin(np.abs(centres[:, 0] - 0.4 * viewport.length)))
    aim = bench.centre(cell)
    drag(bench, start, start + (aim - start) / 2, aim + QPoint(3, -2))
    (stone,) = bench.document.design.stones
    assert isinstance(stone, Stone)
    assert (stone.u * viewport.length, stone.v * viewport.width) == pytest.approx(tuple(centres[cell]), abs=1e-4)
    start = middle(bench)
    aim = bench.point(0.5 * viewport.length, 0.5 * viewport.width)
    drag(bench, start, start + (aim - start) / 2, aim + QPoint(4, 4), release=False)
    assert bench.strip.state.drag is not None
    words = bench.strip.state.drag.words
    QTest.mouseRelease(bench.strip, LEFT, pos=aim)
    (stone,) = bench.document.design.stones
    assert isinstance(stone, Stone)
    on_cell = np.hypot(*(centres - [0.5 * viewport.length, 0.5 * viewport.width]).T).min() * viewport.scale < 12.0
    assert on_cell or (stone.u, stone.v) == pytest.approx((0.5, 0.5), abs=1e-5)
    assert on_cell or words == "at the head, on the middle"


def test_cells_under_a_stone_are_drawn_without_a_thickness(bench: Bench) -> None:
    """A stone that takes whole cells away leaves them without a value, whose colour is the table's last."""
    with_stones(bench, Stone(0.5, 0.5, 3.0))
    bench.state.set_overlay("thickness")
    shown = bench.strip.state.ring
    bench.qtbot.waitUntil(lambda: shown.look.overlay is not None, timeout=20_000)
    bench.rest()
    overlay = shown.look.overlay
    assert len(overlay.table) - 1 in overlay.index
    assert pixels(bench.strip).shape[2] >= 3
