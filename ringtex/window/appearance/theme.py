"""Light and dark: palette and a small style sheet on an 8-pixel grid, following the system unless told otherwise."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QObject, Qt
from PySide6.QtGui import QColor, QFont, QGuiApplication, QPalette
from PySide6.QtWidgets import QApplication

from ringtex.basics.resources import resource_folder
from ringtex.window.appearance.colours import DARK, Colours, colours
from ringtex.window.building.view_state import ViewState

GRID: Final = 8
"""Pixels: every spacing and margin is this, its half or a multiple."""
MODES: Final = ("system", "light", "dark")

_STYLE = """
QToolTip {{ background: {field}; color: {text}; border: 1px solid {line}; padding: 4px; }}
QToolBar {{ background: {panel}; border: none; border-bottom: 1px solid {line}; spacing: 4px; padding: 4px 8px; }}
QToolBar::separator {{ background: {line}; width: 1px; margin: 4px 4px; }}
QToolButton {{ background: transparent; border: 1px solid transparent; border-radius: 4px; padding: 4px 8px; }}
QToolButton:hover {{ background: {hover}; }}
QToolButton:pressed, QToolButton:checked {{ background: {hover}; border-color: {line}; }}
QToolButton:focus {{ border-color: {accent}; }}
QToolButton:disabled {{ color: {faint_text}; }}
QMenuBar {{ background: {panel}; }}
QMenuBar::item {{ background: transparent; padding: 4px 8px; border-radius: 4px; }}
QMenuBar::item:selected {{ background: {hover}; }}
QMenu {{ background: {field}; border: 1px solid {line}; padding: 4px; }}
QMenu::item {{ padding: 4px 24px 4px 24px; border-radius: 4px; }}
QMenu::item:selected {{ background: {accent}; color: {on_accent}; }}
QMenu::item:disabled {{ color: {faint_text}; background: transparent; }}
QMenu::separator {{ height: 1px; background: {line}; margin: 4px 8px; }}
QSplitter::handle {{ background: {line}; }}
QSplitter::handle:hover {{ background: {accent}; }}
QPushButton {{ background: {field}; border: 1px solid {line}; border-radius: 4px; padding: 4px 12px; }}
QPushButton:hover {{ background: {hover}; }}
QPushButton:focus {{ border-color: {accent}; }}
QPushButton:checked {{ background: {hover}; border-color: {accent}; color: {accent}; }}
QPushButton:default, QPushButton[role="primary"] {{ background: {accent}; color: {on_accent}; border-color: {accent}; }}
QPushButton[role="primary"]:focus {{ border-color: {text}; }}
QPushButton:disabled {{ background: {panel}; color: {faint_text}; border-color: {line}; }}
QDialogButtonBox {{ dialogbuttonbox-buttons-have-icons: 0; }}
QDialog QLineEdit {{ background: {field}; border: 1px solid {line}; border-radius: 4px;
    padding: 4px; }}
QDialog QLineEdit:focus {{ border-color: {accent}; }}
QDialog QAbstractSpinBox QLineEdit {{ border: none; padding: 0; background: transparent; }}
QCheckBox::indicator {{ width: 16px; height: 16px; background: {field}; border: 1px solid {soft_text};
    border-radius: 4px; }}
QCheckBox::indicator:focus {{ border-color: {accent}; }}
QCheckBox::indicator:checked {{ background: {accent}; border-color: {accent}; image: url("{tick}"); }}
QDialog QRadioButton::indicator {{ width: 14px; height: 14px; background: {field}; border: 1px solid {soft_text};
    border-radius: 8px; }}
QDialog QRadioButton::indicator:focus {{ border-color: {accent}; }}
QDialog QRadioButton::indicator:checked {{ width: 6px; height: 6px; border: 5px solid {accent}; }}
QDialog QTableWidget {{ background: {field}; border: 1px solid {line}; border-radius: 4px; }}
QDialog QHeaderView, QDialog QHeaderView::section {{ background: {panel}; border: none; padding: 2px 4px; }}
QDialog QHeaderView::section {{ border-bottom: 1px solid {line}; }}
QScrollArea {{ border: none; }}
QScrollBar:horizontal {{ height: 10px; background: transparent; margin: 0; }}
QScrollBar:vertical {{ width: 10px; background: transparent; margin: 0; }}
QScrollBar::handle {{ background: {line}; border-radius: 3px; margin: 2px; }}
QScrollBar::handle:horizontal {{ min-width: 32px; }}
QScrollBar::handle:vertical {{ min-height: 32px; }}
QScrollBar::handle:hover {{ background: {faint_text}; }}
QScrollBar::add-line, QScrollBar::sub-line {{ width: 0; height: 0; }}
QScrollBar::add-page, QScrollBar::sub-page {{ background: transparent; }}
QFrame[role="row"] {{ background: {window}; border: none; border-bottom: 1px solid {line}; }}
QFrame[role="row"] QToolButton {{ padding: 2px 6px; }}
QProgressBar {{ background: {line}; border: none; border-radius: 2px; text-align: center; }}
QProgressBar::chunk {{ background: {accent}; border-radius: 2px; }}
QLabel[role="soft"] {{ color: {soft_text}; }}
QLabel[role="strong"] {{ font-weight: 600; }}
QLabel[role="error"] {{ color: {error}; }}
QLabel[role="warning"] {{ color: {warning}; }}
QLabel[role="note"] {{ color: {note}; }}
QFrame[role="bar"] {{ background: {panel}; border: none; border-top: 1px solid {line}; }}
QFrame[role="notice"] {{ background: {field}; border: none; border-bottom: 1px solid {line};
    border-left: 4px solid {accent}; }}
QFrame[role="notice"][level="error"] {{ border-left-color: {error}; }}
QFrame[role="notice"][level="warning"] {{ border-left-color: {warning}; }}
"""


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


def style_sheet(chosen: Colours) -> str:
    """The small style sheet of these colours."""
    name = "dark" if chosen is DARK else "light"
    tick = resource_folder() / "icons" / f"tick_on_{name}_theme.svg"
    return _STYLE.format(**chosen.__dict__, tick=tick.as_posix())


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
        QGuiApplication.styleHints().colorSchemeChanged.connect(self._follow_system)
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
        application = QApplication.instance()
        sheet = style_sheet(chosen)
        # Qt styles every widget anew for a sheet that it already has: a second for a whole window.
        if isinstance(application, QApplication) and application.styleSheet() != sheet:
            application.setPalette(make_palette(chosen))
            application.setStyleSheet(sheet)
        self._state.set_dark(dark)
