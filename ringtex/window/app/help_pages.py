"""Short pages of help: keys, cautions, about."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QTextBrowser, QVBoxLayout, QWidget

from ringtex import __version__
from ringtex.checks.making.cautions import cautions_for
from ringtex.design.design import Design
from ringtex.window.app.window_actions import WindowActions

HAND = (
    ("Wheel on the strip or the ring", "nearer or further"),
    ("Drag on the strip", "slide the pattern; with the middle button, go round the ring"),
    ("Double-click on a cell", "make it flat, deeper or raised"),
    ("Drag on the ring", "turn it"),
    ("Double-click on a curve or on the band's drawings", "add a point; Delete, or dragging it out, takes one away"),
    ("Arrow keys in a number", "one step; with Shift, ten"),
)


class HelpPage(QDialog):
    """A page of text."""

    def __init__(self, title: str, html: str, parent: QWidget) -> None:
        super().__init__(parent)
        self.setWindowTitle(title)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.resize(560, 520)
        page = QTextBrowser(self)
        page.setHtml(html)
        page.setAccessibleName(title)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close, self)
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 16, 16, 16)
        column.addWidget(page)
        column.addWidget(buttons)


def keys_html(actions: WindowActions) -> str:
    """Every key, and what the mouse does."""
    rows = [
        (action.shortcut().toString(QKeySequence.SequenceFormat.NativeText), actions.commands[name].words)
        for name, action in actions.actions.items()
        if not action.shortcut().isEmpty()
    ]
    lines = [f"<tr><td><b>{key}</b>&nbsp;&nbsp;</td><td>{_plain(words)}</td></tr>" for key, words in [*rows, *HAND]]
    return f"<table cellspacing=4>{''.join(lines)}</table>"


def cautions_html(design: Design) -> str:
    """What to beware of with this ring."""
    return "".join(
        f"<p>{caution.text}<br><small>Source: {caution.source}</small></p>" for caution in cautions_for(design.make)
    )


def about_html() -> str:
    """What the program is."""
    return (
        f"<h3>ringtex {__version__}</h3><p>Seamless relief patterns on finger rings: from a finger size to a "
        "watertight, checked mesh ready to cast.</p><p>MIT license. Drawn with Qt (LGPL).</p>"
    )


def _plain(words: str) -> str:
    return words.replace("&", "").rstrip(". ")
