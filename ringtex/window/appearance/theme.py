"""Light and dark by the palette, following the system unless told otherwise."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QObject, Qt
from PySide6.QtGui import QColor, QFont, QGuiApplication, QPalette
from PySide6.QtWidgets import QApplication, QWidget

from ringtex.window.appearance.colours import Colours, colours
from ringtex.window.appearance.style_sheet import style_sheet
from ringtex.window.building.view_state import ViewState

GRID: Final = 8
"""Pixels: every spacing and margin is this, its half or a multiple."""
MODES: Final = ("system", "light", "dark")


def make_palette(chosen: Colours) -> QPalette:
    """Qt's palette of these colours."""
    palette = QPalette()
    roles = {
        QPalette.ColorRole.Window: chosen.window,
        QPalette.ColorRole.WindowText: chosen.text,
        QPalette.ColorRole.Base: chosen.field,
        QPalette.ColorRole.AlternateBase: chosen.panel,
        QPalette.ColorRole.Text: chosen.text,
        QPalette.ColorRole.PlaceholderText: chosen.soft_text,
        QPalette.ColorRole.Button: chosen.panel,
        QPalette.ColorRole.ButtonText: chosen.text,
        QPalette.ColorRole.BrightText: chosen.error,
        QPalette.ColorRole.Highlight: chosen.accent,
        QPalette.ColorRole.HighlightedText: chosen.on_accent,
        QPalette.ColorRole.Accent: chosen.accent,
        QPalette.ColorRole.Link: chosen.accent,
        QPalette.ColorRole.LinkVisited: chosen.accent,
        QPalette.ColorRole.ToolTipBase: chosen.field,
        QPalette.ColorRole.ToolTipText: chosen.text,
        QPalette.ColorRole.Light: chosen.field,
        QPalette.ColorRole.Midlight: chosen.hover,
        QPalette.ColorRole.Mid: chosen.line,
        QPalette.ColorRole.Dark: chosen.line,
        QPalette.ColorRole.Shadow: chosen.line,
    }
    for role, colour in roles.items():
        palette.setColor(role, QColor(colour))
    for role in (QPalette.ColorRole.WindowText, QPalette.ColorRole.Text, QPalette.ColorRole.ButtonText):
        palette.setColor(QPalette.ColorGroup.Disabled, role, QColor(chosen.faint_text))
    return palette


def even_figures(font: QFont) -> QFont:
    """The font with figures of equal width, so that changing numbers do not jump."""
    even = QFont(font)
    even.setFeature(QFont.Tag("tnum"), 1)
    return even


class Theme(QObject):
    """Keeps the application in one of MODES and tells the state whether that is dark."""

    def __init__(self, state: ViewState, mode: str = "system") -> None:
        super().__init__(state)
        self._state = state
        self._mode = mode if mode in MODES else "system"
        self._window: QWidget | None = None
        QGuiApplication.styleHints().colorSchemeChanged.connect(self._follow_system)
        self._apply()

    def style(self, window: QWidget) -> None:
        """Give a window its style sheet, now and when the mode changes.

        To be called when all widgets are in their places, as Qt styles a widget anew each time it is put into another.
        The sheet is the window's: one of the application takes five times as long to change, 1.1 s for 900 widgets.
        """
        self._window = window
        self._apply()

    @property
    def mode(self) -> str:
        """One of MODES."""
        return self._mode

    def set_mode(self, mode: str) -> None:
        """Follow the system, or stay light or dark. An unknown mode (of a newer version's preferences) follows it."""
        self._mode = mode if mode in MODES else "system"
        self._apply()

    def _follow_system(self) -> None:
        if self._mode == "system":
            self._apply()

    def _apply(self) -> None:
        system_dark = QGuiApplication.styleHints().colorScheme() == Qt.ColorScheme.Dark
        dark = system_dark if self._mode == "system" else self._mode == "dark"
        chosen = colours(dark)
        palette = make_palette(chosen)
        # Qt asks every widget anew for a palette or a sheet that it already has.
        if QGuiApplication.palette() != palette:
            QApplication.setPalette(palette)
        sheet = style_sheet(chosen)
        if self._window is not None and self._window.styleSheet() != sheet:
            self._window.setStyleSheet(sheet)
        self._state.set_dark(dark)
