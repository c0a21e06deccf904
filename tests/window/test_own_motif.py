"""An own drawing from its file to the exported ring, with nothing but the mouse and the name typed in the dialog."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

pytest.importorskip("PySide6")

import numpy as np
from even_hands import click
from PIL import Image
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QDialogButtonBox, QFileDialog, QLineEdit
from test_dome_by_mouse import reach, tool

from ringtex.basics.resources import demo_folder
from ringtex.checks.finding import Kind
from ringtex.export.mesh_files.mesh_files import read_mesh
from ringtex.window.dialogs.motif_dialog import MotifDialog
from ringtex.window.settings.sections.pattern_section import PatternSection

if TYPE_CHECKING:
    from collections.abc import Callable

    from pytestqt.qtbot import QtBot

    from ringtex.window.app.main_window import MainWindow


@pytest.fixture
def window(same_window: MainWindow) -> MainWindow:
    """One window for all tests of this file."""
    return same_window


def choose(qtbot: QtBot, dialog: QFileDialog, path: Path) -> None:
    """Type a file's name and press the button that takes it."""
    name = dialog.findChild(QLineEdit, "fileNameEdit")
    box = dialog.findChild(QDialogButtonBox, "buttonBox")
    assert name is not None
    assert box is not None
    # The list of matching names opens whenever the folder has been read, and would take the click.
    name.setCompleter(None)  # type: ignore[arg-type]
    button = box.button(QDialogButtonBox.StandardButton.Open)

    def typed() -> bool:
        """What is typed stays: the dialog empties its field when the folder has been read, late on a busy machine."""
        if name.text() != str(path):
            name.clear()
            QTest.keyClicks(name, str(path))
            return False
        return button.isEnabled()

    qtbot.waitUntil(typed, timeout=20_000)
    QTest.mouseClick(button, Qt.MouseButton.LeftButton)
    assert not dialog.isVisible(), f"{name.text()!r} was not taken"


def import_drawing(qtbot: QtBot, window: MainWindow, pattern: PatternSection, path: Path) -> None:
    QApplication.setAttribute(Qt.ApplicationAttribute.AA_DontUseNativeDialogs)
    reach(window, pattern.motif)
    click(pattern.motif.button)
    dialog = pattern.motif.dialog
    assert dialog is not None
    qtbot.waitUntil(dialog.isVisible)
    choose(qtbot, dialog, path)


def put_on_ring(qtbot: QtBot, pattern: PatternSection) -> MotifDialog:
    """Wait until the motif is shown round the seam, and press the button that puts it on the ring."""
    qtbot.waitUntil(lambda: pattern.motif.seam_dialog is not None, timeout=20_000)
    dialog = pattern.motif.seam_dialog
    assert dialog is not None
    qtbot.waitUntil(dialog.use_button.isEnabled, timeout=20_000)
    click(dialog.use_button)
    return dialog


def exported(qtbot: QtBot, window: MainWindow) -> None:
    """Export by mouse, and look at the mesh that was written."""
    click(tool(window, "export"))
    qtbot.waitUntil(lambda: window.files.export_dialog is not None and window.files.export_dialog.isVisible())
    dialog = window.files.export_dialog
    assert dialog is not None
    dialog.tolerance.setValue(0.03)  # what is carried over hangs on no tolerance
    with qtbot.waitSignal(dialog.exported, timeout=90_000) as told:
        click(dialog.start_button)
    click(dialog.close_button)
    assert read_mesh(Path(told.args[0].order.meshes[0])).problems() == []


def test_a_drawing_is_carried_to_an_exported_ring(
    qtbot: QtBot, window: MainWindow, settled: Callable[[], None], pattern: PatternSection, tmp_path: Path
) -> None:
    window.remembering.set_folder(tmp_path)
    import_drawing(qtbot, window, pattern, demo_folder() / "drawings" / "laurel_leaf.svg")
    # The next drawing is looked for beside this one; designs are saved where they were.
    assert window.remembering.drawings == demo_folder() / "drawings"
    assert window.remembering.folder == tmp_path
    put_on_ring(qtbot, pattern)
    assert window.document.design.pattern.family == "motif"
    assert not pattern.motif_rows[0].isHidden()
    assert pattern.sizes.isHidden()
    assert pattern.twist.isHidden()
    settled()
    assert window.view is not None
    assert window.view.built.pattern.motif is not None
    exported(qtbot, window)
    # One step to undo.
    click(tool(window, "undo"))
    assert window.document.design.pattern.family == "hexagon"


def test_a_grey_picture_is_carried_to_an_exported_ring(
    qtbot: QtBot, window: MainWindow, settled: Callable[[], None], pattern: PatternSection, tmp_path: Path
) -> None:
    window.remembering.set_folder(tmp_path)
    x = np.arange(120) / 120.0
    samples = np.rint(65535 * (0.5 + 0.5 * np.sin(12.0 * x) * np.sin(5.0 * x)[:60, None])).astype(np.uint16)
    Image.fromarray(samples).save(tmp_path / "waves.tif")
    import_drawing(qtbot, window, pattern, tmp_path / "waves.tif")
    qtbot.waitUntil(lambda: pattern.motif.seam_dialog is not None, timeout=20_000)
    dialog = pattern.motif.seam_dialog
    assert dialog is not None
    qtbot.waitUntil(lambda: "do not meet" in dialog.words.text(), timeout=20_000)
    assert "mirror image of its neighbour" in dialog.words.text()
    # Values set here are tried at once, the newest last, and change nothing yet.
    before = window.document.design
    dialog.around.setValue(7)
    dialog.blend.setValue(0.25)
    qtbot.waitUntil(
        lambda: "7 repeats" in dialog.words.text() and "0.25 of a repeat" in dialog.words.text(), timeout=20_000
    )
    # Seven repeats cannot alternate round the ring.
    dialog.alternate.setCurrentIndex(1)
    dialog.alternate.activated.emit(1)
    qtbot.waitUntil(lambda: "even number" in dialog.status.text(), timeout=20_000)
    assert not dialog.use_button.isEnabled()
    dialog.around.setValue(8)
    assert window.document.design is before
    put_on_ring(qtbot, pattern)
    motif = window.document.design.pattern.motif
    assert motif is not None
    assert motif.grey is not None
    assert (window.document.design.pattern.around, motif.grey.blend, motif.alternate) == (8, 0.25, "mirrored")
    assert all(not row.isHidden() for row in pattern.grey_rows)
    assert all(row.isHidden() for row in pattern.outline_rows)
    settled()
    exported(qtbot, window)


def test_a_text_is_written_round_the_ring(qtbot: QtBot, window: MainWindow, pattern: PatternSection) -> None:
    reach(window, pattern.motif)
    click(pattern.motif.text_button)
    dialog = pattern.motif.seam_dialog
    assert dialog is not None
    dialog.text.clear()
    QTest.keyClicks(dialog.text, "tide")
    qtbot.waitUntil(lambda: dialog.settled and dialog.use_button.isEnabled(), timeout=20_000)
    put_on_ring(qtbot, pattern)
    motif = window.document.design.pattern.motif
    assert motif is not None
    assert motif.text == "tide"
    # Opened again it has the same text, and Cancel changes nothing.
    before = window.document.design
    click(pattern.motif.text_button)
    assert pattern.motif.seam_dialog is not None
    assert pattern.motif.seam_dialog.text.text() == "tide"
    pattern.motif.seam_dialog.reject()
    assert pattern.motif.seam_dialog is None
    assert window.document.design is before


def test_a_bad_drawing_is_explained_and_changes_nothing(
    qtbot: QtBot, window: MainWindow, pattern: PatternSection, tmp_path: Path
) -> None:
    drawing = tmp_path / "bad.svg"
    drawing.write_text("<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 9 9'><text>a</text></svg>")
    before = window.document.design
    import_drawing(qtbot, window, pattern, drawing)
    qtbot.waitUntil(lambda: "covers no area" in pattern.motif.explained, timeout=20_000)
    # The element and the file are named.
    assert "text on line 1" in pattern.motif.explained
    assert "bad.svg" in pattern.motif.explained
    assert window.document.design is before


def test_a_picture_runs_once_round_the_ring_if_so_chosen(
    qtbot: QtBot, window: MainWindow, settled: Callable[[], None], pattern: PatternSection, tmp_path: Path
) -> None:
    ramp = np.linspace(0.0, 65535.0, 90)[None, :].repeat(60, axis=0)
    Image.fromarray(np.rint(ramp).astype(np.uint16)).save(tmp_path / "ramp.png")
    import_drawing(qtbot, window, pattern, tmp_path / "ramp.png")
    qtbot.waitUntil(lambda: pattern.motif.seam_dialog is not None, timeout=20_000)
    dialog = pattern.motif.seam_dialog
    assert dialog is not None
    assert dialog.windowTitle() == "Own motif: ramp"
    for field in (dialog.around, dialog.across, dialog.arrangement, dialog.alternate, dialog.once, dialog.blend):
        assert field.toolTip() == field.accessibleName() != ""
    qtbot.waitUntil(lambda: "repeats round the ring" in dialog.words.text(), timeout=20_000)
    # Without a blend the words say so, and nothing else.
    dialog.blend.setValue(0.0)
    qtbot.waitUntil(lambda: "Nothing is blended" in dialog.words.text(), timeout=20_000)
    assert "is blended" not in dialog.words.text().replace("Nothing is blended", "")
    dialog.once.setCurrentIndex(1)
    dialog.once.activated.emit(1)
    qtbot.waitUntil(lambda: "Once round the ring" in dialog.words.text(), timeout=20_000)
    assert not dialog.around.isEnabled()
    put_on_ring(qtbot, pattern)
    settled()
    # What has no effect then is not shown, and the summary counts what there is.
    assert pattern.around.isHidden()
    assert pattern.alternate.isHidden()
    assert pattern.sizes.isHidden()
    assert pattern.summary().startswith("motif 1 ×")
    assert window.view is not None
    assert window.view.report is not None
    advice = [each.advice for each in window.view.report.findings if each.kind is Kind.STRETCHED_CELLS]
    assert advice
    assert "times as long as high" in advice[0]
