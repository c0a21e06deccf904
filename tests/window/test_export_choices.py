"""What the export dialog offers beside meshes: allowances said first, stones apart, the workshop sheet."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QCheckBox, QLabel
from pytestqt.qtbot import QtBot
from zoo import plain_design

from ringtex.design.design import Design
from ringtex.design.design_file import design_from_json
from ringtex.document import workshop_sheet
from ringtex.export.mesh_files.mesh_files import read_mesh
from ringtex.window.dialogs.export_dialog import ExportDialog

LEFT = Qt.MouseButton.LeftButton
STONE = {"u": 0.5, "v": 0.5, "diameter": 2.0, "collar": 0.2}


@pytest.fixture
def design() -> Design:
    body = plain_design(pattern={"around": 24, "across": 4}, stones=[STONE])
    design = design_from_json(body)
    return replace(design, make=replace(design.make, shrinkage_percent=1.25, polish_mm=0.1))


@pytest.fixture
def dialog(qtbot: QtBot, design: Design, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[ExportDialog]:
    monkeypatch.setattr(workshop_sheet, "PICTURE_PIXELS", 40)
    made = shown(qtbot, design, tmp_path)
    yield made
    made.close()


def shown(qtbot: QtBot, design: Design, folder: Path) -> ExportDialog:
    made = ExportDialog(design, folder, "tide")
    made.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose, False)
    qtbot.addWidget(made)
    made.show()
    return made


def tick(qtbot: QtBot, box: QCheckBox) -> None:
    place = box.rect().center()
    place.setX(8)
    qtbot.mouseClick(box, LEFT, pos=place)


def export(qtbot: QtBot, dialog: ExportDialog) -> None:
    with qtbot.waitSignal(dialog.exported, timeout=60_000):
        qtbot.mouseClick(dialog.start_button, LEFT)


def test_allowances_are_said_before_anything_is_written(dialog: ExportDialog) -> None:
    """p = 1.25 per cent: 1 / (1 - 0.0125) = 1.012658 (the worked example of `casting_pattern`)."""
    said = dialog.allowed.text()
    assert "1.0127 times as large" in said
    assert "bore 0.1 mm smaller all round" in said
    assert dialog.names.text() == "tide_scaled_1.25pct_polish_0.1mm.stl"


def test_the_file_is_the_pattern_that_the_caster_needs(qtbot: QtBot, dialog: ExportDialog, tmp_path: Path) -> None:
    """ISO 54: inside 54 / pi = 17.189; less 2 x 0.1 for polishing, over 0.9875 for shrinkage: 17.204 mm."""
    export(qtbot, dialog)
    mesh = read_mesh(tmp_path / "tide_scaled_1.25pct_polish_0.1mm.stl")
    inside = 2.0 * float(np.min(np.hypot(mesh.vertices[:, 0], mesh.vertices[:, 1])))
    assert inside == pytest.approx((54.0 / np.pi - 0.2) / 0.9875, abs=0.01)


def test_stones_apart_keep_their_own_size(qtbot: QtBot, dialog: ExportDialog, tmp_path: Path) -> None:
    tick(qtbot, dialog.stones)
    assert "tide_stones.stl" in dialog.names.text()
    export(qtbot, dialog)
    stone = read_mesh(tmp_path / "tide_stones.stl")
    # Set at the head, which is at +y, so that its width lies along x and z.
    size = stone.vertices.max(axis=0) - stone.vertices.min(axis=0)
    assert size[0] == pytest.approx(2.0, abs=0.01)
    assert size[2] == pytest.approx(2.0, abs=0.01)


def test_stones_alone_and_sheet_alone_can_be_written(qtbot: QtBot, dialog: ExportDialog, tmp_path: Path) -> None:
    tick(qtbot, dialog.boxes[".stl"])
    assert not dialog.start_button.isEnabled()
    tick(qtbot, dialog.sheet)
    dialog.paper.setFocus()
    qtbot.keyClick(dialog.paper, Qt.Key.Key_Down)
    export(qtbot, dialog)
    assert [file.name for file in tmp_path.iterdir() if file.suffix] == ["tide_sheet.pdf"]
    assert b"/MediaBox [ 0 0 612 792 ]" in (tmp_path / "tide_sheet.pdf").read_bytes()
    tick(qtbot, dialog.sheet)
    tick(qtbot, dialog.stones)
    export(qtbot, dialog)
    assert (tmp_path / "tide_stones.stl").exists()


def test_what_would_be_replaced_is_named(qtbot: QtBot, dialog: ExportDialog, tmp_path: Path) -> None:
    (tmp_path / "tide_sheet.pdf").write_bytes(b"old")
    tick(qtbot, dialog.sheet)
    assert "tide_sheet.pdf" in dialog.status.text()
    assert dialog.start_button.text() == "Replace and export"


def test_without_stones_none_are_offered(qtbot: QtBot, design: Design, tmp_path: Path) -> None:
    dialog = shown(
        qtbot, replace(design, stones=(), make=replace(design.make, shrinkage_percent=0, polish_mm=0)), tmp_path
    )
    assert not dialog.stones.isVisible()
    assert "As large as the finished ring" in dialog.allowed.text()
    assert dialog.names.text() == "tide.stl"
    dialog.close()


def test_a_closed_hollow_brings_its_caution(qtbot: QtBot, tmp_path: Path) -> None:
    body = plain_design(pattern={"around": 12, "across": 2})
    body["hollow"] = {"wall": 0.9, "floor": 0.6, "drains": [{"angle": 180}]}
    dialog = shown(qtbot, design_from_json(body), tmp_path)
    text = "\n".join(label.text() for label in dialog.findChildren(QLabel))
    assert "sealed hollow can burst" in text
    dialog.close()
