"""The workshop sheet by mouse: both formats, both papers, opened on wish, cancelled."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt, QUrl
from PySide6.QtGui import QDesktopServices
from pytestqt.qtbot import QtBot

from ringtex.basics.resources import demo_folder
from ringtex.design.design_file import read_design
from ringtex.document import workshop_sheet
from ringtex.export.sheet.sheet_pdf import PAPER_MM
from ringtex.window.app.main_window import MainWindow
from ringtex.window.dialogs.sheet_dialog import SheetDialog

LEFT = Qt.MouseButton.LeftButton
PATIENCE_MS = 60_000


class Opened:
    """Stands for the system's programs: takes what is opened."""

    def __init__(self) -> None:
        self.urls: list[QUrl] = []

    def openUrl(self, url: QUrl) -> bool:  # noqa: N802 - Qt's name
        self.urls.append(url)
        return True


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch) -> Opened:
    taken = Opened()
    monkeypatch.setattr(QDesktopServices, "openUrl", taken.openUrl)
    return taken


@pytest.fixture
def dialog(qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, opened: Opened) -> Iterator[SheetDialog]:
    monkeypatch.setattr(workshop_sheet, "PICTURE_PIXELS", 60)
    made = SheetDialog(read_design(demo_folder() / "plain_flat.ring.json"), None, tmp_path, "band")
    made.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose, False)
    qtbot.addWidget(made)
    made.show()
    yield made
    made.close()


def write(qtbot: QtBot, dialog: SheetDialog) -> Path:
    with qtbot.waitSignal(dialog.written, timeout=PATIENCE_MS) as told:
        qtbot.mouseClick(dialog.start_button, LEFT)
    path = told.args[0]
    assert isinstance(path, Path)
    return path


def click(qtbot: QtBot, button: object) -> None:
    """On the round mark at the left end."""
    place = button.rect().center()  # type: ignore[attr-defined]
    place.setX(8)
    qtbot.mouseClick(button, LEFT, pos=place)  # type: ignore[arg-type]


def test_a_pdf_on_the_chosen_paper_is_written_and_opened(
    qtbot: QtBot, dialog: SheetDialog, opened: Opened, tmp_path: Path
) -> None:
    click(qtbot, dialog.papers["letter"])
    path = write(qtbot, dialog)
    assert path == tmp_path / "band_sheet.pdf"
    box = re.search(rb"/MediaBox \[ 0 0 ([\d.]+) ([\d.]+) \]", path.read_bytes())
    assert box is not None
    assert [float(side) * 25.4 / 72.0 for side in box.groups()] == pytest.approx(PAPER_MM["letter"], abs=0.01)
    assert [url.toLocalFile() for url in opened.urls] == [str(path)]
    assert "band_sheet.pdf" in dialog.status.text()


def test_html_needs_no_paper_and_is_opened_only_on_wish(qtbot: QtBot, dialog: SheetDialog, opened: Opened) -> None:
    click(qtbot, dialog.kinds[".html"])
    assert not dialog.papers["a4"].isEnabled()
    click(qtbot, dialog.open_after)
    dialog.date.setText("12 May")
    path = write(qtbot, dialog)
    text = path.read_text(encoding="utf-8")
    assert "Take care" in text
    assert "12 May" in text
    assert opened.urls == []
    qtbot.mouseClick(dialog.open_file, LEFT)
    assert [url.toLocalFile() for url in opened.urls] == [str(path)]


def test_it_says_what_it_replaces_and_a_stop_leaves_it(qtbot: QtBot, dialog: SheetDialog, tmp_path: Path) -> None:
    old = tmp_path / "old_sheet.pdf"
    old.write_bytes(b"old")
    dialog.name.selectAll()
    qtbot.keyClicks(dialog.name, "old_sheet")
    assert dialog.start_button.text() == "Replace the sheet"
    assert "old_sheet.pdf" in dialog.status.text()
    qtbot.mouseClick(dialog.start_button, LEFT)
    qtbot.mouseClick(dialog.close_button, LEFT)
    qtbot.waitUntil(lambda: not dialog.running, timeout=PATIENCE_MS)
    qtbot.waitUntil(lambda: "Stopped" in dialog.status.text(), timeout=PATIENCE_MS)
    assert old.read_bytes() == b"old"
    assert dialog.isVisible()
    assert [file.name for file in tmp_path.iterdir() if "sheet" in file.name] == ["old_sheet.pdf"]


def test_a_missing_folder_is_a_sentence(qtbot: QtBot, dialog: SheetDialog, tmp_path: Path) -> None:
    dialog.place.edit.setText(str(tmp_path / "nowhere"))
    qtbot.mouseClick(dialog.start_button, LEFT)
    qtbot.waitUntil(lambda: bool(dialog.status.text()) and not dialog.running, timeout=PATIENCE_MS)
    qtbot.waitUntil(lambda: "nowhere" in dialog.status.text(), timeout=PATIENCE_MS)
    assert dialog.start_button.isEnabled()


def test_the_menu_opens_it_with_the_ring_in_view(qtbot: QtBot, window: MainWindow) -> None:
    window.menus.trigger("sheet")
    dialog = window.making.dialog
    assert isinstance(dialog, SheetDialog)
    qtbot.waitUntil(dialog.isVisible)
    assert window.view is not None
    assert dialog.order().built is window.view.built
    qtbot.keyClick(dialog, Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: window.making.dialog is None)
