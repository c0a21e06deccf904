"""Exporting from the window: real files, read back; cancel; refusals; cautions in sight."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QLabel
from pytestqt.qtbot import QtBot

from ringtex.basics.resources import resource
from ringtex.design.design import Design
from ringtex.design.design_file import read_design
from ringtex.export.mesh_files.mesh_files import MESH_FORMATS, read_mesh
from ringtex.make_ring import make_ring
from ringtex.window.dialogs.export_dialog import PICTURE_ENDING, ExportDialog


@pytest.fixture
def design() -> Design:
    return read_design(resource("starting_design.ring.json"))


@pytest.fixture
def dialog(qtbot: QtBot, design: Design, tmp_path: Path) -> Iterator[ExportDialog]:
    made = ExportDialog(design, tmp_path, "band")
    made.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose, False)
    qtbot.addWidget(made)
    made.show()
    yield made
    made.close()


def export(qtbot: QtBot, dialog: ExportDialog) -> None:
    with qtbot.waitSignal(dialog.exported, timeout=60_000):
        qtbot.mouseClick(dialog.start_button, Qt.MouseButton.LeftButton)


def test_every_format_and_the_picture_at_once(
    qtbot: QtBot, dialog: ExportDialog, design: Design, tmp_path: Path
) -> None:
    for box in dialog.boxes.values():
        box.setChecked(True)
    export(qtbot, dialog)
    built = make_ring(design)
    for ending in MESH_FORMATS:
        mesh = read_mesh(tmp_path / f"band{ending}")
        assert mesh.problems() == []
        assert mesh.volume == pytest.approx(built.solid.mesh.volume, rel=1e-5)
    assert not QImage(str(tmp_path / f"band{PICTURE_ENDING}")).isNull()
    assert "closed" in dialog.status.text()
    assert str(tmp_path) in dialog.status.text()


def test_the_tolerance_is_the_one_asked_for(qtbot: QtBot, dialog: ExportDialog, design: Design, tmp_path: Path) -> None:
    dialog.tolerance.setValue(0.02)
    export(qtbot, dialog)
    assert len(read_mesh(tmp_path / "band.stl").faces) == len(make_ring(design, 0.02).solid.mesh.faces)


def test_shrinkage_makes_the_file_larger_and_is_said(qtbot: QtBot, design: Design, tmp_path: Path) -> None:
    """1 / (1 - 0.02) as long in every direction, so 1 / 0.98^3 the volume."""
    shrinking = replace(design, make=replace(design.make, shrinkage_percent=2.0))
    dialog = ExportDialog(shrinking, tmp_path, "band")
    dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose, False)
    qtbot.addWidget(dialog)
    dialog.show()
    export(qtbot, dialog)
    grown = read_mesh(tmp_path / "band_scaled_2pct.stl").volume / make_ring(design).solid.mesh.volume
    assert grown == pytest.approx(0.98**-3, rel=1e-5)
    assert "1.0204 times" in dialog.status.text()


def test_cancel_writes_nothing_and_leaves_the_old_file(qtbot: QtBot, dialog: ExportDialog, tmp_path: Path) -> None:
    old = tmp_path / "band.stl"
    old.write_bytes(b"old")
    dialog.name.setText("band ")
    dialog.name.setText("band")
    assert dialog.start_button.text() == "Replace and export"
    dialog.tolerance.setValue(0.0005)
    qtbot.mouseClick(dialog.start_button, Qt.MouseButton.LeftButton)
    qtbot.wait(30)
    qtbot.mouseClick(dialog.close_button, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: dialog.job is not None and not dialog.job.running)
    qtbot.waitUntil(lambda: "Stopped" in dialog.status.text())
    assert dialog.isVisible()
    assert [file.name for file in tmp_path.glob("*band*")] == ["band.stl"]
    assert old.read_bytes() == b"old"
    assert list(tmp_path.glob("*.part")) == []


def test_a_missing_folder_is_a_sentence_before_any_work(qtbot: QtBot, dialog: ExportDialog, tmp_path: Path) -> None:
    dialog.folder.setText(str(tmp_path / "nowhere"))
    qtbot.mouseClick(dialog.start_button, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: "there is no folder" in dialog.status.text())
    assert dialog.start_button.isEnabled()


def test_nothing_chosen_cannot_be_exported(dialog: ExportDialog) -> None:
    dialog.boxes[".stl"].setChecked(False)
    assert not dialog.start_button.isEnabled()
    dialog.boxes[".ply"].setChecked(True)
    assert dialog.start_button.isEnabled()
    dialog.name.clear()
    assert not dialog.start_button.isEnabled()


def test_cautions_are_in_sight(dialog: ExportDialog, design: Design) -> None:
    """Casting a printed model: fumes of the burn-out and dust of the investment are named before anything is made."""
    text = "\n".join(label.text() for label in dialog.findChildren(QLabel))
    for words in ("carbon monoxide", "silica", "Take rings off at machinery", "Local codes"):
        assert words in text


def test_closing_while_it_runs_ends_the_thread(qtbot: QtBot, dialog: ExportDialog) -> None:
    dialog.tolerance.setValue(0.0005)
    dialog.start()
    qtbot.wait(30)
    dialog.close()
    assert dialog.job is not None
    assert not dialog.job.running
