"""The column of settings with real keys and mouse: what the document then says."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from typing import Any

import pytest
from zoo import DOME, SOUND, plain_design

pytest.importorskip("PySide6")

from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from settings_hands import changed_keys, design_of, drag, row, steps_done, type_number

from ringtex.basics.errors import InputError
from ringtex.document.document import Document
from ringtex.window.settings.choice_row import ChoiceRow
from ringtex.window.settings.number_row import NumberRow
from ringtex.window.settings.number_setting import NumberSetting
from ringtex.window.settings.settings_panel import SettingsPanel
from ringtex.window.view_state import ViewState

WIDE: dict[str, Any] = plain_design(
    band={"section": None, "stations": [
        {"angle": 0, "width": 9, "height": 3, "edge_height": 1.2, "fullness": 2.5},
        {"angle": 180, "width": 6, "height": 2.4, "edge_height": 1.2, "fullness": 2.5}], "mirror": True},
    bore={"shape": "comfort", "rise": 0.2},
    relief={"form": "raised", "depth_scatter": 0.5},
)  # fmt: skip
"""A design in which every number of the column shows."""


class Bench:
    """A document with its panel on the screen."""

    def __init__(self, qtbot: Any, body: dict[str, Any]) -> None:
        self.document = Document(design_of(body))
        self.state = ViewState()
        self.panel = SettingsPanel(self.document, self.state)
        qtbot.addWidget(self.panel)
        self.panel.resize(400, 900)
        self.panel.show()
        qtbot.waitExposed(self.panel)
        self.panel.activateWindow()
        self.told = 0
        self.document.listen(self._count)

    def _count(self) -> None:
        self.told += 1

    def number(self, key: str) -> NumberRow:
        return row(self.panel, key)

    def agrees(self) -> bool:
        return all(found.matches_design() for found in self.panel.rows if not found.isHidden())


@pytest.fixture
def bench(qtbot: Any) -> Iterator[Bench]:
    made = Bench(qtbot, WIDE)
    yield made
    made.panel.close()


def _shown_numbers(panel: SettingsPanel) -> list[NumberSetting]:
    return [found.setting for found in panel.rows if isinstance(found, NumberRow) and not found.isHidden()]


NUMBERS = [
    "band.stations[0].angle", "band.stations[0].width", "band.stations[0].height", "band.stations[0].edge_height",
    "band.stations[0].fullness", "bore.rise", "pattern.around", "pattern.across", "pattern.seed", "pattern.scatter",
    "pattern.evenness", "pattern.slide[0]", "pattern.slide[1]", "pattern.twist", "rails.lower", "rails.upper",
    "relief.depth", "relief.ridge", "relief.flank", "relief.corner", "relief.depth_scatter", "relief.seed",
    "make.shrinkage_percent",
]  # fmt: skip


def test_every_number_of_the_design_is_there(bench: Bench) -> None:
    assert [setting.key for setting in _shown_numbers(bench.panel) if not setting.key.startswith("hollow")] == [
        *NUMBERS[:17], *NUMBERS[17:]
    ]  # fmt: skip


@pytest.mark.parametrize("key", NUMBERS)
def test_a_number_typed_stepped_and_dragged_changes_its_key_alone_and_undoes(bench: Bench, key: str) -> None:
    begun, number = bench.document.design, bench.number(key)
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
def test_what_cannot_be_had_is_explained_in_place_with_the_nearest_that_can(
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
    other = bench.number("relief.ridge")
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
    number = bench.number("relief.ridge")
    QTest.mouseClick(number.label, Qt.MouseButton.LeftButton, pos=QPoint(5, 5))
    assert bench.panel.focusWidget() is number.field
    assert bench.told == 0


def test_across_is_a_number_or_auto(bench: Bench) -> None:
    across = bench.number("pattern.across")
    type_number(across.field, "auto")
    assert bench.document.design.pattern.across == "auto"
    assert across.auto.isChecked()
    type_number(across.field, "5")
    assert bench.document.design.pattern.across == 5
    QTest.mouseClick(across.auto, Qt.MouseButton.LeftButton)
    assert bench.document.design.pattern.across == "auto"
    QTest.mouseClick(across.auto, Qt.MouseButton.LeftButton)
    assert isinstance(bench.document.design.pattern.across, int)
    assert steps_done(bench.document) == 4


def test_choices_change_their_key_alone(bench: Bench) -> None:
    for key, keys in (
        ("strip.keep", {"strip.keep"}),
        ("make.alloy", {"make.alloy"}),
        ("make.process", {"make.process"}),
    ):
        begun = bench.document.design
        choice = next(found for found in bench.panel.rows if isinstance(found, ChoiceRow) and found.key == key)
        choice.box.setFocus()
        QTest.keyClick(choice.box, Qt.Key.Key_Down)
        if bench.document.design == begun:
            QTest.keyClick(choice.box, Qt.Key.Key_Up)
        assert changed_keys(begun, bench.document.design) == keys
        bench.document.undo()
        assert bench.document.design == begun
        assert bench.agrees()


@pytest.mark.parametrize("key", ["pattern.family", "relief.form", "band.section"])
def test_every_drawing_can_be_chosen_and_undone(bench: Bench, key: str) -> None:
    pictured = next(found for found in bench.panel.rows if found.key == key)
    begun = bench.document.design
    for button in pictured.buttons:  # type: ignore[attr-defined]
        QTest.mouseClick(button, Qt.MouseButton.LeftButton)
        assert changed_keys(begun, bench.document.design) <= {key}
        assert pictured.matches_design()
        assert button.isChecked()
    while bench.document.undo_label is not None:
        bench.document.undo()
    assert bench.document.design == begun
    assert pictured.matches_design()


def test_ridges_are_given_in_exactly_one_way(bench: Bench) -> None:
    relief = bench.panel.section("Relief")
    relief.way.box.setFocus()  # type: ignore[attr-defined]
    QTest.keyClick(relief.way.box, Qt.Key.Key_Down)  # type: ignore[attr-defined]
    given = bench.document.design.relief
    assert given.ridge_mm is None
    assert given.top_size is not None
    assert bench.number("relief.ridge").isHidden()
    assert not bench.number("relief.top_size").isHidden()
    bench.document.undo()
    assert bench.document.design.relief.ridge_mm == 0.4


def test_seeds_go_up_and_down(bench: Bench) -> None:
    pattern = bench.panel.section("Pattern")
    QTest.mouseClick(pattern.next_seed, Qt.MouseButton.LeftButton)  # type: ignore[attr-defined]
    QTest.mouseClick(pattern.next_seed, Qt.MouseButton.LeftButton)  # type: ignore[attr-defined]
    assert bench.document.design.pattern.seed == 3
    assert bench.document.undo_label == "take the next seed"
    QTest.mouseClick(pattern.previous_seed, Qt.MouseButton.LeftButton)  # type: ignore[attr-defined]
    assert bench.document.design.pattern.seed == 2


def test_an_error_of_the_build_is_explained_at_its_control_and_ends_with_a_change(bench: Bench) -> None:
    bench.panel.set_folded(["Pattern", "Band"])
    bench.panel.show_error(InputError("the rails leave nothing", "Make them narrower", "rails.lower"))
    lower = bench.number("rails.lower")
    assert "Rails leave nothing" not in lower.explained
    assert lower.explained.startswith("The rails leave nothing. Make them narrower.")
    assert lower.isVisible()
    type_number(bench.number("relief.depth").field, "0.4")
    assert not lower.explained

    bench.panel.show_error(InputError("too thin", "Thicken it", "band.stations[1].width"))
    assert bench.number("band.stations[1].width").explained.startswith("Too thin. Thicken it.")

    bench.panel.show_error(InputError("too steep", "Move them apart", "band.stations"))
    assert bench.panel.section("Band").message.text().startswith("Too steep. Move them apart.")
    bench.panel.show_error(InputError("something else"))
    assert bench.panel.message.text().startswith("Something else.")


def test_hover_and_focus_say_which_setting_is_touched(bench: Bench) -> None:
    bench.number("relief.ridge").field.setFocus()
    assert bench.state.touched_setting == "ridge"
    bench.number("rails.upper").field.setFocus()
    assert bench.state.touched_setting == "rails"
    depth = bench.number("relief.depth")
    bench.panel.area.ensureWidgetVisible(depth)
    QTest.mouseMove(depth.label, QPoint(4, 4))
    assert bench.state.touched_setting == "depth"
    QTest.mouseMove(bench.panel.section("Relief").header, QPoint(4, 4))
    assert bench.state.touched_setting == "rails"


def test_undo_and_redo_of_others_show_in_every_control(bench: Bench) -> None:
    other = design_of(SOUND["top size"])
    bench.document.change(other, "another design")
    assert bench.agrees()
    bench.document.undo()
    assert bench.agrees()
    bench.document.redo()
    assert bench.agrees()
    assert bench.told == 3


@pytest.mark.parametrize("name", sorted(SOUND))
def test_every_sound_design_shows_as_it_is_and_is_not_changed_by_it(qtbot: Any, name: str) -> None:
    bench = Bench(qtbot, SOUND[name])
    bench.panel.grab()
    assert bench.agrees()
    assert bench.told == 0


def test_folding_hides_and_is_told(bench: Bench) -> None:
    band = bench.panel.section("Band")
    band.header.setFocus()
    QTest.keyClick(band.header, Qt.Key.Key_Space)
    assert band.folded
    assert not band.body.isVisible()
    assert bench.panel.folded == ["Band"]
    assert "9" in band.header.summary


def test_undo_keys_belong_to_the_document_while_nothing_is_half_typed(bench: Bench) -> None:
    from PySide6.QtGui import QKeySequence, QShortcut

    undo = QShortcut(QKeySequence(QKeySequence.StandardKey.Undo), bench.panel)
    undo.activated.connect(bench.document.undo)
    begun, field = bench.document.design, bench.number("relief.depth").field
    type_number(field, "0.5")
    QTest.keyClick(field, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert bench.document.design == begun
    assert field.text() == "0.30"


def test_half_typed_text_can_be_meant_before_saving(bench: Bench) -> None:
    type_number(bench.number("relief.depth").field, "0.45", enter=False)
    bench.panel.enter_half_typed()
    assert bench.document.design.relief.depth_mm == 0.45


def test_tab_goes_through_the_column_in_the_order_of_the_job(bench: Bench) -> None:
    seen: list[int] = []
    bench.panel.section("Finger").header.setFocus()
    for _ in range(90):
        focused = bench.panel.focusWidget()
        assert focused is not None
        seen.append(focused.mapTo(bench.panel._column, QPoint(0, focused.height())).y())
        QTest.keyClick(focused, Qt.Key.Key_Tab)
        if bench.panel.focusWidget() is bench.panel.section("Finger").header:
            break
    assert len(seen) > 40
    line = bench.panel.fontMetrics().height()
    assert all(after > before - 3 * line for before, after in itertools.pairwise(seen)), seen


def test_everything_that_can_be_reached_has_a_name(bench: Bench) -> None:
    for widget in bench.panel.findChildren(QWidget):
        if widget.focusPolicy() & Qt.FocusPolicy.TabFocus and widget.isVisible():
            named = widget.accessibleName() or (widget.text() if hasattr(widget, "text") else "")
            assert named, widget


@pytest.mark.parametrize(("scale", "width"), [(1.0, 320), (1.0, 400), (2.0, 440)])
def test_nothing_is_cut_and_nothing_scrolls_sideways(qtbot: Any, qapp: QApplication, scale: float, width: int) -> None:
    font = qapp.font()
    larger = qapp.font()
    larger.setPointSizeF(font.pointSizeF() * scale)
    qapp.setFont(larger)
    try:
        bench = Bench(qtbot, plain_design(band=DOME))
        bench.panel.resize(width, 650)
        qtbot.wait(20)
        assert bench.panel.area.widget().width() <= bench.panel.area.viewport().width()
        for found in bench.panel.rows:
            if found.isHidden() or not isinstance(found, NumberRow):
                continue
            assert found.label.height() >= found.label.heightForWidth(found.label.width()), found.key
            assert found.label.width() >= found.label.minimumSizeHint().width(), found.key
            assert found.field.geometry().right() <= found.width()
    finally:
        qapp.setFont(font)
