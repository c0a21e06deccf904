"""Numbers of the column of settings, typed, stepped and dragged: what the document then says."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from zoo import plain_design

pytest.importorskip("PySide6")

from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from settings_bench import WIDE, Bench
from settings_hands import changed_keys, drag, steps_done, type_number

from ringtex.window.settings.controls.basic_rows import ChoiceRow
from ringtex.window.settings.controls.number_row import NumberRow
from ringtex.window.settings.controls.number_setting import NumberSetting
from ringtex.window.settings.settings_panel import SettingsPanel


@pytest.fixture(scope="module")
def one_bench(qapp: QApplication) -> Iterator[Bench]:
    made = Bench(None, WIDE)
    yield made
    made.close()


@pytest.fixture
def bench(one_bench: Bench) -> Bench:
    one_bench.restart(WIDE)
    return one_bench


def _shown_numbers(panel: SettingsPanel) -> list[NumberSetting]:
    return [found.setting for found in panel.rows if isinstance(found, NumberRow) and not found.isHidden()]


NUMBERS = [
    "band.stations[0].angle", "band.stations[0].width", "band.stations[0].height", "band.stations[0].edge_height",
    "band.stations[0].fullness", "bore.rise", "pattern.around", "pattern.across", "pattern.seed", "pattern.scatter",
    "pattern.evenness", "pattern.slide[0]", "pattern.slide[1]", "pattern.twist", "rails.lower", "rails.upper",
    "relief.depth", "relief.wall_width", "relief.flank", "relief.corner", "relief.rounding",
    "relief.depth_scatter", "relief.seed", "make.shrinkage_percent", "make.polish",
]  # fmt: skip


def test_every_number_of_the_design_is_there(bench: Bench) -> None:
    assert [setting.key for setting in _shown_numbers(bench.panel) if not setting.key.startswith("hollow")] == [
        *NUMBERS[:17], *NUMBERS[17:]
    ]  # fmt: skip


@pytest.mark.parametrize("key", NUMBERS)
def test_a_number_typed_stepped_and_dragged_changes_its_key_alone_and_undoes(bench: Bench, key: str) -> None:
    begun, number = bench.document.design, bench.number(key)
    # Drawings that nobody sees are not drawn.
    others = [section for section in bench.panel.sections if not section.isAncestorOf(number)]
    bench.panel.set_folded([section.header.title for section in others])
    bench.panel.area.ensureWidgetVisible(number)
    step = number.setting.step
    old = float(number.value)
    wanted = old + (step if old + step <= number.setting.high else -step)
    type_number(number.field, f"{wanted:g}")
    assert changed_keys(begun, bench.document.design) == {key}
    assert number.value == pytest.approx(wanted)
    assert bench.document.undo_label == number.setting.change_label
    bench.document.undo()
    assert bench.document.design == begun

    number.field.setFocus()
    QTest.keyClick(number.field, Qt.Key.Key_Up if wanted > old else Qt.Key.Key_Down)
    assert changed_keys(begun, bench.document.design) == {key}
    assert number.value == pytest.approx(wanted)
    bench.document.undo()
    assert bench.document.design == begun

    toward = 40.0 if old < sum(number.setting.drag_range) / 2.0 else -40.0
    drag(number.label, QPointF(5, 5), (toward, 0))
    assert changed_keys(begun, bench.document.design) == {key}
    assert steps_done(bench.document) == 1
    bench.document.undo()
    assert bench.document.design == begun
    assert bench.agrees()


def test_half_typed_numbers_change_nothing(bench: Bench) -> None:
    begun, field = bench.document.design, bench.number("relief.depth").field
    type_number(field, "0.4", enter=False)
    assert bench.document.design == begun
    assert bench.told == 0
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert bench.document.design.relief.depth_mm == 0.4
    assert bench.told == 1


def test_leaving_a_field_means_it_and_escape_does_not(bench: Bench) -> None:
    field = bench.number("relief.depth").field
    type_number(field, "0.4", enter=False)
    QTest.keyClick(field, Qt.Key.Key_Tab)
    assert bench.document.design.relief.depth_mm == 0.4
    type_number(field, "0.7", enter=False)
    QTest.keyClick(field, Qt.Key.Key_Escape)
    assert field.text() == "0.40"
    QTest.keyClick(field, Qt.Key.Key_Tab)
    assert bench.document.design.relief.depth_mm == 0.4


def test_export_s_keys_are_left_to_the_window(qtbot: Any, bench: Bench) -> None:
    """Where Ctrl+E would go to the end of the line."""
    field = bench.number("relief.depth").field
    field.setFocus()
    for key, mine in ((Qt.Key.Key_E, False), (Qt.Key.Key_A, True)):
        asked = QKeyEvent(QEvent.Type.ShortcutOverride, key, Qt.KeyboardModifier.ControlModifier)
        asked.setAccepted(mine is False)
        field.event(asked)
        assert asked.isAccepted() == mine


def test_leaving_an_untouched_field_changes_nothing_even_where_it_shows_rounded_figures(qtbot: Any) -> None:
    bench = Bench(qtbot, plain_design(relief={"depth": 0.312345678}))
    field = bench.number("relief.depth").field
    field.setFocus()
    QTest.keyClick(field, Qt.Key.Key_Tab)
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert bench.told == 0


@pytest.mark.parametrize(
    ("key", "text", "offer", "becomes"),
    [("relief.depth", "3", "Use 1.00 mm", 1.0), ("relief.depth", "0", "Use 0.05 mm", 0.05),
     ("relief.depth", "deep", "Use 0.30 mm", 0.3), ("pattern.around", "2", "Use 3", 3),
     ("pattern.around", "24.5", "Use 24", 24), ("relief.flank", "90", "Use 89.0°", 89.0),
     ("band.stations[0].edge_height", "4", "Use 3.00 mm", 3.0),
     ("make.shrinkage_percent", "20 %", "Use 15.00 %", 15.0)],
)  # fmt: skip
def test_what_cannot_be_had_is_explained_in_place_with_the_nearest_allowed(
    bench: Bench, key: str, text: str, offer: str, becomes: float
) -> None:
    begun, number = bench.document.design, bench.number(key)
    type_number(number.field, text)
    assert bench.document.design == begun
    assert number.field.text() == text
    assert number.explained.endswith(".")
    assert number.explanation.isVisible()
    assert number.use_nearest.text() == offer
    QTest.mouseClick(number.use_nearest, Qt.MouseButton.LeftButton)
    assert number.value == becomes
    assert not number.explained
    assert bench.agrees()


def test_an_explanation_ends_when_the_value_is_given_up_or_the_design_changes(bench: Bench) -> None:
    number = bench.number("relief.depth")
    type_number(number.field, "9")
    QTest.keyClick(number.field, Qt.Key.Key_Escape)
    assert not number.explained
    type_number(number.field, "9")
    other = bench.number("relief.wall_width")
    type_number(other.field, "0.5")
    assert not number.explained
    assert number.field.text() == "0.30"


def test_shift_steps_by_ten_and_stops_at_the_limit(bench: Bench) -> None:
    number = bench.number("pattern.around")
    number.field.setFocus()
    QTest.keyClick(number.field, Qt.Key.Key_Up, Qt.KeyboardModifier.ShiftModifier)
    assert bench.document.design.pattern.around == 34
    for _ in range(5):
        QTest.keyClick(number.field, Qt.Key.Key_Down, Qt.KeyboardModifier.ShiftModifier)
    assert bench.document.design.pattern.around == 3


def _wheel(widget: QWidget) -> None:
    """One notch down, by way of the window, as the system sends it."""
    window = widget.window()
    place = QPointF(widget.mapTo(window, widget.rect().center()))
    QTest.wheelEvent(window.windowHandle(), place, QPoint(0, -120))


def test_the_wheel_scrolls_the_column_and_changes_no_number_and_no_choice(bench: Bench) -> None:
    begun = bench.document.design
    for found in bench.panel.rows:
        part = found.box if isinstance(found, ChoiceRow) else getattr(found, "field", None)
        if part is None or found.isHidden():
            continue
        for focused in (False, True):
            if focused:
                part.setFocus()
            bar = bench.panel.area.verticalScrollBar()
            bench.panel.area.ensureWidgetVisible(part)
            before = min(bar.value(), bar.maximum() - 60)
            bar.setValue(before)
            QApplication.processEvents()
            _wheel(part)
            assert bar.value() > before, found.key
    assert bench.document.design == begun
    assert bench.told == 0


def test_escape_gives_a_drag_up(bench: Bench) -> None:
    begun, label = bench.document.design, bench.number("relief.depth").label
    drag(label, QPointF(5, 5), (60, 0), release=False)
    assert bench.document.design.relief.depth_mm > 0.3
    QTest.keyClick(label, Qt.Key.Key_Escape)
    assert bench.document.design == begun
    assert bench.document.undo_label is None


def test_a_drag_shows_drafts_and_is_one_step(bench: Bench) -> None:
    drag(bench.number("relief.depth").label, QPointF(5, 5), (60, 0), steps=20)
    assert bench.told > 10
    assert steps_done(bench.document) == 1


def test_an_undo_in_the_middle_of_a_drag_ends_it(bench: Bench) -> None:
    begun, label = bench.document.design, bench.number("relief.depth").label
    drag(label, QPointF(5, 5), (60, 0), release=False)
    bench.document.undo()
    drag(label, QPointF(65, 5), (30, 0))
    bench.document.undo()
    assert bench.document.design == begun
    assert not bench.document.dragging


def test_a_click_on_a_name_leads_to_its_number(bench: Bench) -> None:
    number = bench.number("relief.wall_width")
    QTest.mouseClick(number.label, Qt.MouseButton.LeftButton, pos=QPoint(5, 5))
    assert bench.panel.focusWidget() is number.field
    assert bench.told == 0
