"""Any sequence of edits, sensible or not, keeps the column and the document one."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from zoo import SOUND

pytest.importorskip("PySide6")

from PySide6.QtCore import QPointF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from settings_hands import design_of, drag, type_number

from ringtex.document.document import Document
from ringtex.window.building.view_state import ViewState
from ringtex.window.settings.controls.basic_rows import ChoiceRow, TickRow
from ringtex.window.settings.controls.number_row import NumberRow
from ringtex.window.settings.controls.picture_choice import PictureChoice
from ringtex.window.settings.settings_panel import SettingsPanel

TEXTS = ["", "0", "1", "0.3", "2,5", "-3", "17", "99999", "auto", "abc", "1e9", "0.05 mm", "nan"]
places = st.integers(0, 200)
acts = st.lists(
    st.one_of(
        st.tuples(st.just("type"), places, st.sampled_from(TEXTS)),
        st.tuples(st.just("half type"), places, st.sampled_from(TEXTS)),
        st.tuples(st.just("step"), places, st.sampled_from([Qt.Key.Key_Up, Qt.Key.Key_Down])),
        st.tuples(st.just("drag"), places, st.integers(-300, 300)),
        st.tuples(st.just("handle"), places, st.integers(-80, 80)),
        st.tuples(st.just("choose"), places, places),
        st.tuples(st.just("undo"), places, st.none()),
        st.tuples(st.just("redo"), places, st.none()),
        st.tuples(st.just("open"), st.none(), st.sampled_from(sorted(SOUND))),
        st.tuples(st.just("station"), places, st.none()),
    ),
    max_size=12,
)


class Storm:
    def __init__(self) -> None:
        self.document = Document(design_of(SOUND["dome"]))
        self.panel = SettingsPanel(self.document, ViewState())
        self.panel.resize(400, 900)
        self.panel.show()
        self.panel.activateWindow()
        QTest.qWaitForWindowActive(self.panel)

    def do(self, name: str, place: Any, value: Any) -> None:
        getattr(self, "_" + name.replace(" ", "_"))(place, value)

    def _numbers(self) -> list[NumberRow]:
        return [row for row in self.panel.rows if isinstance(row, NumberRow) and not row.isHidden()]

    def _number(self, place: int) -> NumberRow:
        numbers = self._numbers()
        return numbers[place % len(numbers)]

    def _type(self, place: int, text: str) -> None:
        type_number(self._number(place).field, text)

    def _half_type(self, place: int, text: str) -> None:
        type_number(self._number(place).field, text, enter=False)

    def _step(self, place: int, key: Qt.Key) -> None:
        field = self._number(place).field
        field.setFocus()
        QTest.keyClick(field, key)

    def _drag(self, place: int, by: int) -> None:
        drag(self._number(place).label, QPointF(4, 4), (by, 0), steps=3)

    def _handle(self, place: int, by: int) -> None:
        band, relief = self.panel.section("Band"), self.panel.section("Relief")
        drawings = [*band.drawings, *relief.drawings]
        drawing: Any = drawings[place % len(drawings)]
        if drawing.handles:
            handle = drawing.handles[place % len(drawing.handles)]
            drag(drawing, drawing.frame.point(handle.x, handle.y), (by, -by / 2.0) if place % 2 else (by / 2.0, by), 3)

    def _choose(self, place: int, value: int) -> None:
        kinds = (PictureChoice, ChoiceRow, TickRow)
        rows = [row for row in self.panel.rows if isinstance(row, kinds) and not row.isHidden()]
        row = rows[place % len(rows)]
        if isinstance(row, PictureChoice):
            row.buttons[value % len(row.buttons)].click()
        elif isinstance(row, TickRow):
            row.box.click()
        else:
            row.box.setFocus()
            QTest.keyClick(row.box, Qt.Key.Key_Down if value % 2 else Qt.Key.Key_Up)

    def _undo(self, place: int, value: None) -> None:
        self.document.undo()

    def _redo(self, place: int, value: None) -> None:
        self.document.redo()

    def _open(self, place: None, name: str) -> None:
        self.document.new(design_of(SOUND[name]), name)

    def _station(self, place: int, value: None) -> None:
        band: Any = self.panel.section("Band")
        (band.add if place % 2 else band.remove).click()

    def agrees(self) -> str:
        """Empty, or the key of the control that shows something else than the document."""
        for row in self.panel.rows:
            is_uncommitted = (
                isinstance(row, NumberRow) and self.panel.focusWidget() is row.field and row.field.is_uncommitted
            )
            if not row.isHidden() and not is_uncommitted and not row.matches_design():
                return row.key
        return ""


@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(acts)
def test_the_column_always_shows_the_document(qapp: QApplication, doings: list[tuple[str, Any, Any]]) -> None:
    storm = Storm()
    try:
        for name, place, value in doings:
            storm.do(name, place, value)
            assert storm.agrees() == "", (name, place, value)
            assert not storm.document.dragging
            storm.document.design.make_band()
        storm.panel.commit_typed_text()
        end, steps = storm.document.design, 0
        while storm.document.undo_label is not None:
            storm.document.undo()
            steps += 1
            assert storm.agrees() == ""
        for _ in range(steps):
            storm.document.redo()
        assert storm.document.design == end
        assert storm.agrees() == ""
    finally:
        storm.panel.close()
        storm.panel.deleteLater()
