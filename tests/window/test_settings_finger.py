"""The finger on the panel: sizes against the scales' definitions."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from zoo import plain_design

pytest.importorskip("PySide6")

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from settings_hands import changed_keys, design_of, type_number

from ringtex.document.document import Document
from ringtex.window.building.view_state import ViewState
from ringtex.window.settings.sections.finger_section import FingerSection
from ringtex.window.settings.settings_panel import SettingsPanel


@pytest.fixture
def finger(qtbot: Any) -> Iterator[tuple[Document, FingerSection]]:
    document = Document(design_of(plain_design()))
    panel = SettingsPanel(document, ViewState())
    qtbot.addWidget(panel)
    panel.show()
    qtbot.waitExposed(panel)
    panel.activateWindow()
    section = panel.section("Finger")
    assert isinstance(section, FingerSection)
    yield document, section
    panel.close()


def test_a_size_reads_on_every_scale_at_once(finger: tuple[Document, FingerSection]) -> None:
    document, section = finger
    type_number(section.size_row.field, "52.5")
    assert document.design.size.value == "52.5"
    marks = {scale: (labels[1].text(), labels[2].text()) for scale, labels in section.readings.items()}
    # ISO 8653: the number is the inner circumference in mm, so 52.5 lies half-way; UK M is 37.5 + 12 x 1.25 = 52.5
    # (BS 6820 as tabulated); Italy is the circumference less 40.
    assert marks["uk"] == ("M", "exact")
    assert marks["iso"][1] in ("+0.50 mm", "\u22120.50 mm")
    assert marks["it"][0] in ("12", "13")


def test_the_arrows_go_from_mark_to_mark(finger: tuple[Document, FingerSection]) -> None:
    document, section = finger
    section.size_row.scale.setFocus()
    QTest.keyClick(section.size_row.scale, Qt.Key.Key_Down)
    assert (document.design.size.scale, document.design.size.value) == ("us", "6 3/4")
    section.size_row.field.setFocus()
    for expected in ("7", "7 1/4"):
        QTest.keyClick(section.size_row.field, Qt.Key.Key_Up)
        assert document.design.size.value == expected
    QTest.keyClick(section.size_row.field, Qt.Key.Key_Down, Qt.KeyboardModifier.ShiftModifier)
    assert document.design.size.value == "4 3/4"
    assert section.size_row.matches_design()


@pytest.mark.parametrize(("text", "offer"), [("99", "Use 90"), ("20", "Use 36"), ("big", "Use 54")])
def test_what_is_no_size_is_explained(finger: tuple[Document, FingerSection], text: str, offer: str) -> None:
    document, section = finger
    begun = document.design
    type_number(section.size_row.field, text)
    assert document.design == begun
    assert section.size_row.explained
    assert section.size_row.use_nearest.text() == offer
    QTest.mouseClick(section.size_row.use_nearest, Qt.MouseButton.LeftButton)
    assert changed_keys(begun, document.design) <= {"size.value"}
    assert section.size_row.matches_design()
    assert not section.size_row.explained
