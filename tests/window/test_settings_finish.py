"""Finish: the hollow with its floor and drains, and what was changed by hand."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest
from zoo import DOME, plain_design

pytest.importorskip("PySide6")

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from settings_hands import LEFT, design_of, row, steps_done, type_number

from ringtex.design.design import Design
from ringtex.design.edit_options import EditOptions
from ringtex.document.document import Document
from ringtex.relief.cell_edits import CellEdit
from ringtex.solid.finishing.hollow_options import Drain, HollowOptions
from ringtex.solid.finishing.stone_options import Stone, StoneRow
from ringtex.window.building.view_state import ViewState
from ringtex.window.settings.sections.finishing_section import FinishingSection
from ringtex.window.settings.settings_panel import SettingsPanel


def _panel(qtbot: Any, design: Design) -> tuple[Document, SettingsPanel, FinishingSection]:
    document = Document(design)
    panel = SettingsPanel(document, ViewState())
    qtbot.addWidget(panel)
    panel.resize(400, 900)
    panel.show()
    qtbot.waitExposed(panel)
    panel.activateWindow()
    section = panel.section("Finish")
    assert isinstance(section, FinishingSection)
    return document, panel, section


@pytest.fixture
def hollow(qtbot: Any) -> Iterator[tuple[Document, SettingsPanel, FinishingSection]]:
    made = _panel(qtbot, design_of(plain_design(band=DOME)))
    yield made
    made[1].close()


def _hollow_of(document: Document) -> HollowOptions | None:
    return document.design.hollow


def test_a_hollow_is_ticked_on_and_off(hollow: tuple[Document, SettingsPanel, FinishingSection]) -> None:
    document, panel, section = hollow
    assert section.hollow.tick is not None
    assert not [found for found in section.hollow.numbers if not found.isHidden()]
    section.hollow.tick.box.setFocus()
    QTest.keyClick(section.hollow.tick.box, Qt.Key.Key_Space)
    assert _hollow_of(document) == HollowOptions()
    assert all(not found.isHidden() for found in section.hollow.numbers)
    QTest.keyClick(section.hollow.tick.box, Qt.Key.Key_Space)
    assert _hollow_of(document) is None
    assert steps_done(document) == 2
    assert all(found.matches_design() for found in panel.rows if not found.isHidden())


@pytest.mark.parametrize(
    ("key", "text", "value"), [("wall", "1.2", 1.2), ("lip", "2", 2.0), ("reach", "90", 90.0), ("corner", "0,8", 0.8)]
)
def test_its_measures_are_typed(
    hollow: tuple[Document, SettingsPanel, FinishingSection], key: str, text: str, value: float
) -> None:
    document, panel, section = hollow
    assert section.hollow.tick is not None
    section.hollow.tick.box.click()
    type_number(row(panel, f"hollow.{key}").field, text)
    expected = replace(HollowOptions(), **{f"{key}_deg" if key == "reach" else f"{key}_mm": value})
    assert _hollow_of(document) == expected
    document.undo()
    assert _hollow_of(document) == HollowOptions()


def test_a_floor_brings_a_drain_and_drains_are_added_and_removed(
    hollow: tuple[Document, SettingsPanel, FinishingSection],
) -> None:
    document, panel, section = hollow
    assert section.hollow.tick is not None
    section.hollow.tick.box.click()
    section.hollow.floor_tick.box.click()
    closed = _hollow_of(document)
    assert closed is not None
    assert closed.floor_mm is not None
    assert closed.drains == (Drain(0.0),)
    assert len(section.hollow.drains.groups) == 1
    QTest.mouseClick(section.hollow.drains.add, LEFT)
    type_number(row(panel, "hollow.drains[1].diameter").field, "2")
    more = _hollow_of(document)
    assert more is not None
    assert [drain.diameter_mm for drain in more.drains] == [1.5, 2.0]
    assert all(found.matches_design() for found in panel.rows if not found.isHidden())
    for _ in range(2):
        document.undo()
    assert len(section.hollow.drains.groups) == 1
    # A closed hollow needs a drain: the last one stays, and the sentence says why.
    QTest.mouseClick(section.hollow.drains.groups[0].remove, LEFT)
    assert _hollow_of(document) == closed
    assert "drain" in section.hollow.drains.message.text()
    section.hollow.floor_tick.box.click()
    assert _hollow_of(document) == HollowOptions()


def test_changes_by_hand_are_counted_and_taken_back_as_one_step(qtbot: Any) -> None:
    design = replace(design_of(plain_design()), edits=EditOptions((CellEdit(0.1, 0.2, 0.0), CellEdit(0.3, 0.4, 2.0))))
    document, _, section = _panel(qtbot, design)
    assert not section.isHidden()
    assert "2 cells" in section.edits.text()
    QTest.mouseClick(section.clear_edits, LEFT)
    assert document.design.edits == EditOptions()
    assert section.clear_edits.isHidden()
    document.undo()
    assert document.design == design
    assert "2 cells" in section.edits.text()


def test_stones_and_rows_of_stones_are_added_changed_and_removed(
    hollow: tuple[Document, SettingsPanel, FinishingSection],
) -> None:
    document, panel, section = hollow
    begun, stones = document.design, section.stones
    assert stones is not None
    QTest.mouseClick(stones.add, LEFT)
    QTest.mouseClick(stones.add_row, LEFT)
    single, several = document.design.stones
    assert isinstance(single, Stone)
    assert isinstance(several, StoneRow)
    type_number(row(panel, "stones[0].diameter").field, "2.5")
    type_number(row(panel, "stones[1].count").field, "7")
    type_number(row(panel, "stones[1].stone.collar").field, "0.4")
    type_number(row(panel, "stones[1].spacing").field, "auto")
    expected = replace(several, count=7, spacing_mm=None, stone=replace(several.stone, collar_mm=0.4))
    assert document.design.stones == (replace(single, diameter_mm=2.5), expected)
    assert all(found.matches_design() for found in panel.rows if not found.isHidden())
    # A round brilliant of 2.5 mm is sold as about 0.06 carat (trade tables of round sizes, from memory).
    assert "0.06" in stones.groups[0].title.text() or "0.05" in stones.groups[0].title.text()
    QTest.mouseClick(stones.groups[0].remove, LEFT)
    assert document.design.stones == (expected,)
    assert row(panel, "stones[0].count").matches_design()
    assert steps_done(document) == 7
    while document.undo_label is not None:
        document.undo()
        assert all(found.matches_design() for found in panel.rows if not found.isHidden())
    assert document.design == begun


def test_a_stone_that_is_too_large_is_explained(hollow: tuple[Document, SettingsPanel, FinishingSection]) -> None:
    document, panel, section = hollow
    assert section.stones is not None
    QTest.mouseClick(section.stones.add, LEFT)
    before, diameter = document.design, row(panel, "stones[0].diameter")
    type_number(diameter.field, "30")
    assert document.design == before
    assert diameter.use_nearest.text() == "Use 12.00 mm"
