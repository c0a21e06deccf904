"""Light and dark reach every part of the window, also what is folded away and what opens later."""

from __future__ import annotations

import pytest

pytest.importorskip("PySide6")

from PySide6.QtGui import QPalette
from PySide6.QtWidgets import QLineEdit, QWidget

from ringtex.window.app.main_window import MainWindow
from ringtex.window.appearance.colours import DARK, LIGHT


def ground(widget: QWidget) -> str:
    """The colour behind a widget's text, as it is painted."""
    picture = widget.grab().toImage()
    return picture.pixelColor(picture.width() // 2, 4).name()


def test_every_part_follows(window: MainWindow) -> None:
    window.settings.section("Making").set_folded(True)
    fields = window.settings.findChildren(QLineEdit)
    for mode, colours in (("dark", DARK), ("light", LIGHT), ("dark", DARK)):
        window.menus.trigger(f"theme_{mode}")
        assert window.state.dark == (mode == "dark")
        assert {field.palette().color(QPalette.ColorRole.Text).name() for field in fields} == {colours.text}
        assert ground(window.settings.name.field) == colours.field
        assert ground(window.readings) == colours.panel
    window.menus.trigger("export")
    dialog = window.files.export_dialog
    assert dialog is not None
    assert dialog.folder.palette().color(QPalette.ColorRole.Text).name() == DARK.text
    assert ground(dialog.folder) == DARK.field
    dialog.close()
