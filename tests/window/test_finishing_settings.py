"""Stones by weight and proportions, plain places and the inscription in the settings, by mouse and keyboard."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from zoo import DOME, plain_design

pytest.importorskip("PySide6")

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from settings_hands import LEFT, PanelBench, design_of, row, steps_done, type_number

from ringtex.basics.errors import InputError
from ringtex.edits.ring_positions import ring_position
from ringtex.relief.plain_options import PlainPlace
from ringtex.solid.finishing.inscription_options import PACKAGED_FONT, InscriptionOptions
from ringtex.solid.finishing.stone_options import Stone, StoneRow
from ringtex.strip.unwrap import unwrap
from ringtex.window.settings.controls.basic_rows import ChoiceRow, TickRow
from ringtex.window.settings.controls.fold_section import FoldSection
from ringtex.window.settings.controls.font_row import font_files
from ringtex.window.settings.controls.number_row import NumberRow
from ringtex.window.settings.controls.position_rows import SnapRow
from ringtex.window.settings.sections.finishing_section import FinishingSection


class Bench(PanelBench):
    def __init__(self, qtbot: Any) -> None:
        super().__init__(qtbot, design_of(plain_design(band=DOME)))
        section = self.panel.section("Finish")
        assert isinstance(section, FinishingSection)
        self.section = section

    def rows(self, key: str) -> list[NumberRow]:
        return [found for found in self.panel.rows if isinstance(found, NumberRow) and found.key == key]


@pytest.fixture(scope="module")
def one_bench(qapp: QApplication) -> Iterator[Bench]:
    made = Bench(None)
    yield made
    made.close()


@pytest.fixture
def bench(one_bench: Bench) -> Bench:
    one_bench.begin(design_of(plain_design(band=DOME)))
    return one_bench


def test_without_anything_there_are_only_buttons(bench: Bench) -> None:
    shown = [found for found in bench.section.inner_rows if found.isVisible()]
    assert shown == []
    named = [button for button in bench.section.findChildren(type(bench.section.stones.add)) if button.isVisible()]
    assert [button.text() for button in named] == [
        "Place by clicking", "Add a stone", "Add a row of stones",
        "Place by clicking", "Add a plain place", "Add an inscription",
    ]  # fmt: skip
    assert all(button.toolTip() for button in named)


# --- stones


def test_a_stone_is_given_by_carat(bench: Bench) -> None:
    """A round brilliant of one carat has about 6.5 mm (trade tables of round sizes, from memory)."""
    QTest.mouseClick(bench.section.stones.add, LEFT)
    diameter, carat = bench.rows("stones[0].diameter")
    assert carat.unit.text() == "ct"
    type_number(carat.field, "1 ct")
    (stone,) = bench.document.design.stones
    assert isinstance(stone, Stone)
    assert stone.diameter_mm == pytest.approx(6.5, abs=0.1)
    assert stone.carat == pytest.approx(1.0, abs=1e-4)
    assert carat.field.text() == "1.000"
    assert diameter.matches_design()
    assert bench.document.undo_label == "change the weight"
    type_number(carat.field, "40")
    assert "out of reach" in carat.explained
    assert bench.document.design.stones == (stone,)
    QTest.mouseClick(carat.use_nearest, LEFT)
    (largest,) = bench.document.design.stones
    assert isinstance(largest, Stone)
    assert largest.diameter_mm == pytest.approx(12.0, abs=0.01)


def test_the_carat_of_a_row_is_each_stones(bench: Bench) -> None:
    QTest.mouseClick(bench.section.stones.add_row, LEFT)
    _, carat = bench.rows("stones[0].stone.diameter")
    type_number(carat.field, "0.05")
    (several,) = bench.document.design.stones
    assert isinstance(several, StoneRow)
    assert several.stone.carat == pytest.approx(0.05, abs=1e-4)
    opposite = next(found for found in bench.panel.rows if found.key == "stones[0].also_opposite")
    assert isinstance(opposite, TickRow)
    opposite.box.setFocus()
    QTest.keyClick(opposite.box, Qt.Key.Key_Space)
    assert bench.section.stones.total.text() == "10 stones, about 0.500 ct, 0.100 g"
    assert bench.section.summary() == "10 stones"


def test_seat_and_proportions_are_folded_and_typed(bench: Bench) -> None:
    QTest.mouseClick(bench.section.stones.add, LEFT)
    details = bench.section.stones.groups[0].details
    assert details is not None
    assert details.folded
    QTest.mouseClick(details.header, LEFT)
    typed = {"hole": "0.55", "bearing": "40", "proportions.table": "0.56", "proportions.pavilion": "41"}
    for key, text in typed.items():
        found = row(bench.panel, f"stones[0].{key}")
        assert found.isVisible(), key
        type_number(found.field, text)
    (stone,) = bench.document.design.stones
    assert isinstance(stone, Stone)
    assert (stone.hole, stone.bearing_deg) == (0.55, 40.0)
    assert (stone.proportions.table, stone.proportions.pavilion_deg) == (0.56, 41.0)
    refused = row(bench.panel, "stones[0].proportions.table")
    type_number(refused.field, "0.9")
    assert "out of reach" in refused.explained


def test_the_place_button_follows_the_mode(bench: Bench) -> None:
    button, finishing = bench.section.stones.place, bench.state.finishing
    QTest.mouseClick(button, LEFT)
    assert finishing.placing == "stone"
    QTest.mouseClick(bench.section.plain.place, LEFT)
    assert finishing.placing == "plain"
    assert not button.isChecked()
    finishing.set_placing(None)
    assert not bench.section.plain.place.isChecked()


def test_an_entry_is_unfolded_and_brought_in_sight(qtbot: Any, bench: Bench) -> None:
    stones = tuple(Stone(0.1 * number, 0.5, 1.5) for number in range(1, 9))
    bench.document.change(replace(bench.document.design, stones=stones), "set")
    assert all(group.folded for group in bench.section.stones.groups)
    bench.panel.area.verticalScrollBar().setValue(0)
    bench.section.set_folded(True)
    bench.state.finishing.choose("stones[7]", reveal=True)
    group = bench.section.stones.groups[7]
    assert not group.folded
    qtbot.waitUntil(lambda: not group.header.visibleRegion().isEmpty())


# --- plain places


def test_a_plain_place_is_added_shaped_and_removed(bench: Bench) -> None:
    QTest.mouseClick(bench.section.plain.add, LEFT)
    (begun,) = bench.document.design.plain
    assert begun.u == 0.0, "at the palm"
    type_number(row(bench.panel, "plain[0].width").field, "5.5")
    type_number(row(bench.panel, "plain[0].fade").field, "1.5")
    type_number(row(bench.panel, "plain[0].height").field, "auto")
    expected = replace(begun, width_mm=5.5, fade_mm=1.5, height_mm=None)
    assert bench.document.design.plain == (expected,)
    corner = row(bench.panel, "plain[0].corner")
    assert corner.isVisible()
    shape = next(found for found in bench.panel.rows if found.key == "plain[0].shape")
    assert isinstance(shape, ChoiceRow)
    shape.box.setFocus()
    QTest.keyClick(shape.box, Qt.Key.Key_Down)
    assert bench.document.design.plain == (replace(expected, shape="round"),)
    assert not corner.isVisible()
    QTest.mouseClick(bench.section.plain.groups[0].remove, LEFT)
    assert bench.document.design.plain == ()
    assert bench.document.undo_label == "remove a plain place"
    assert steps_done(bench.document) == 6


def test_an_overlap_is_explained_in_the_section(bench: Bench) -> None:
    places = (PlainPlace(0.0, 0.5, 4.0), PlainPlace(0.02, 0.5, 4.0))
    bench.document.change(replace(bench.document.design, plain=places), "set")
    bench.panel.show_error(InputError("this plain place overlaps another one", "Move them apart", "plain[1]"))
    assert "overlaps" in bench.section.message.text()
    assert bench.section.message.isVisible()


# --- all of it


@pytest.mark.parametrize(("scale", "width"), [(1.0, 340), (2.0, 440)])
def test_all_of_it_has_names_and_fits(qtbot: Any, qapp: QApplication, scale: float, width: int) -> None:
    font, larger = qapp.font(), qapp.font()
    larger.setPointSizeF(font.pointSizeF() * scale)
    qapp.setFont(larger)
    try:
        bench = Bench(qtbot)
        bench.panel.resize(width, 900)
        section, making = bench.section, bench.panel.section("Making")
        for button in (section.stones.add, section.stones.add_row, section.plain.add, section.inscription.add):
            button.click()
        section.hollow.tick.box.click()
        section.hollow.floor_tick.box.click()
        for fold in (*section.findChildren(FoldSection), *making.findChildren(FoldSection)):
            fold.set_folded(False)
        qtbot.wait(50)
        assert bench.panel.area.widget().width() <= bench.panel.area.viewport().width()
        for widget in (*section.findChildren(QWidget), *making.findChildren(QWidget)):
            if widget.focusPolicy() & Qt.FocusPolicy.TabFocus and widget.isVisible():
                assert widget.accessibleName() or (widget.text() if hasattr(widget, "text") else ""), widget
    finally:
        qapp.setFont(font)


# --- the inscription


def test_an_inscription_is_written_and_removed(bench: Bench) -> None:
    lines = bench.section.inscription
    QTest.mouseClick(lines.add, LEFT)
    assert bench.document.design.inscription == InscriptionOptions("always")
    assert lines.text.field.hasFocus()
    QTest.keyClicks(lines.text.field, "Ever thine")
    assert bench.document.design.inscription == InscriptionOptions("always"), "not at every key"
    QTest.keyClick(lines.text.field, Qt.Key.Key_Return)
    lines.way.box.setFocus()
    QTest.keyClick(lines.way.box, Qt.Key.Key_Down)
    type_number(row(bench.panel, "inscription.height").field, "2")
    type_number(row(bench.panel, "inscription.angle").field, "-170")
    expected = InscriptionOptions("Ever thine", height_mm=2.0, raised=True, angle_deg=-170.0)
    assert bench.document.design.inscription == expected
    assert all(found.matches_design() for found in lines.rows)
    for word, angle in (("head", 0.0), ("palm", 180.0)):
        lines.places.buttons[word].click()
        assert bench.document.design.inscription == replace(expected, angle_deg=angle)
    type_number(row(bench.panel, "inscription.along").field, "0.4")
    lines.places.buttons["middle"].click()
    assert bench.document.undo_label == "move the inscription to the middle"
    assert bench.document.design.inscription == replace(expected, angle_deg=180.0)
    for _ in range(4):
        bench.document.undo()
    assert bench.document.design.inscription == expected
    QTest.mouseClick(lines.remove, LEFT)
    assert bench.document.design.inscription is None
    assert not lines.text.isVisible()
    bench.document.undo()
    assert bench.document.design.inscription == expected


def test_what_cannot_be_written_is_explained_in_place(bench: Bench) -> None:
    lines = bench.section.inscription
    QTest.mouseClick(lines.add, LEFT)
    type_number(lines.text.field, " ")
    assert "no letters" in lines.text.explained
    assert bench.document.design.inscription == InscriptionOptions("always")
    QTest.keyClick(lines.text.field, Qt.Key.Key_Escape)
    assert lines.text.field.text() == "always"
    bench.panel.show_error(InputError("the font has no letter", "Write it otherwise", "inscription.text"))
    assert "no letter" in lines.text.explained


def test_the_font_is_the_packaged_one_or_a_file_of_this_computer(bench: Bench) -> None:
    lines = bench.section.inscription
    QTest.mouseClick(lines.add, LEFT)
    box = lines.font_row.box
    assert box.currentData() == PACKAGED_FONT
    box.complete()
    files = font_files()
    if files:
        place = box.findData(files[0][1])
        assert place > 0
        box.setCurrentIndex(place)
        box.activated.emit(place)
        assert bench.document.design.inscription is not None
        assert bench.document.design.inscription.font == files[0][1]
    lines.font_row.take("/nowhere/letters.woff")
    assert "no font" in lines.font_row.explained


def test_every_font_is_listed_and_found_by_letters_of_its_name(
    bench: Bench, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for number in range(450):
        (tmp_path / f"Face_{number:03d}.ttf").touch()
    (tmp_path / "Script_face_of_long_fino.otf").touch()
    monkeypatch.setattr("ringtex.window.settings.controls.font_row.font_folders", lambda: [tmp_path])
    font_files.cache_clear()
    try:
        lines = bench.section.inscription
        QTest.mouseClick(lines.add, LEFT)
        box = lines.font_row.box
        box.lineEdit().selectAll()
        QTest.keyClicks(box.lineEdit(), "fino")
        assert {box.itemText(place) for place in range(box.count())} > {f"Face {n:03d}" for n in range(450)}
        offered = box.completer().completionModel()
        assert [offered.data(offered.index(row, 0)) for row in range(offered.rowCount())] == [
            "Script face of long fino"
        ]
        box.lineEdit().editingFinished.emit()
        assert box.currentText() == "DejaVu Sans, comes with ringtex"
    finally:
        font_files.cache_clear()


def test_a_stone_is_placed_by_degrees_and_millimetres_on_the_ring(bench: Bench) -> None:
    QTest.mouseClick(bench.section.stones.add, LEFT)
    assert [row(bench.panel, f"stones[0].{name}").field.text() for name in ("u", "v")] == ["0.0", "0.00"]
    type_number(row(bench.panel, "stones[0].u").field, "30")
    type_number(row(bench.panel, "stones[0].v").field, "-1.5 mm")
    design = bench.document.design
    assert steps_done(bench.document) == 3
    strip = unwrap(design.make_band(), design.strip.keep)
    assert ring_position(strip, design.stones[0].u, design.stones[0].v) == pytest.approx((30.0, -1.5), abs=2e-3)
    type_number(row(bench.panel, "stones[0].v").field, "40")
    assert "beyond the band's edge" in row(bench.panel, "stones[0].v").explained
    assert bench.document.design == design
    row(bench.panel, "stones[0].v").use_nearest.click()
    assert bench.document.design.stones[0].v == pytest.approx(1.0, abs=0.01)


def test_an_entry_is_moved_to_head_palm_middle_and_the_nearest_cell(bench: Bench) -> None:
    from strip_rings import view_of

    QTest.mouseClick(bench.section.stones.add, LEFT)
    type_number(row(bench.panel, "stones[0].u").field, "40")
    type_number(row(bench.panel, "stones[0].v").field, "1")
    buttons = next(found for found in bench.section.stones.rows if isinstance(found, SnapRow)).buttons
    assert not buttons["cell"].isEnabled(), "no cells are known before a ring is in view"
    view = view_of(bench.document.design)
    bench.panel.show_view(view)
    buttons["cell"].click()
    stone, strip = bench.document.design.stones[0], view.built.strip
    centres = view.built.pattern.tiling.kernel[0]
    at = np.array([stone.u * strip.length, stone.v * strip.width])
    assert np.min(np.hypot(*(centres - at).T)) < 1e-4
    buttons["middle"].click()
    assert bench.document.design.stones[0].v == pytest.approx(0.5, abs=1e-5)
    buttons["palm"].click()
    assert bench.document.design.stones[0].u == 0.0
    buttons["head"].click()
    assert bench.document.design.stones[0].u == pytest.approx(0.5)
    assert bench.document.undo_label == "move to the head"
