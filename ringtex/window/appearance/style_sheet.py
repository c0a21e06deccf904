"""The window's small style sheet, on an 8-pixel grid."""

from __future__ import annotations

from typing import Final

from ringtex.basics.resources import resource_folder
from ringtex.window.appearance.colours import DARK, Colours

_STYLE: Final = """
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
QDialog QAbstractSpinBox {{ min-height: 18px; }}
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
SettingsPanel QLineEdit {{ background: {field}; color: {text}; border: 1px solid {line}; border-radius: 4px;
    padding: 3px 6px;
    selection-background-color: {accent}; selection-color: {on_accent}; }}
SettingsPanel QLineEdit:hover {{ border-color: {soft_text}; }}
SettingsPanel QLineEdit:focus {{ border: 2px solid {accent}; padding: 2px 5px; }}
SettingsPanel QLineEdit[refused="true"] {{ border-color: {error}; }}
QLabel[role="explanation"] {{ color: {text}; border-left: 3px solid {error}; padding-left: 8px; }}
SettingsPanel QComboBox {{ padding: 3px 8px; }}
SettingsPanel QComboBox QLineEdit,
SettingsPanel QComboBox QLineEdit:focus {{ background: transparent; border: none; padding: 0; }}
SettingsPanel QComboBox QAbstractItemView {{ background: {field}; color: {text}; selection-background-color: {accent};
    selection-color: {on_accent}; }}
SettingsPanel QCheckBox {{ spacing: 8px; padding: 3px; border: 1px solid transparent; border-radius: 4px; }}
SettingsPanel QCheckBox:focus {{ border-color: {accent}; }}
SettingsPanel QToolButton {{ background: {field}; border: 1px solid {line}; }}
SettingsPanel QToolButton:checked {{ background: {hover}; border: 2px solid {accent}; }}
SettingsPanel QToolButton:focus {{ border: 2px solid {accent}; }}
SettingsPanel QToolButton[role="fold"] {{ background: transparent; border: 1px solid transparent;
    padding: 3px 0; font-weight: 600; }}
SettingsPanel QToolButton[role="fold"]:hover {{ background: {hover}; }}
SettingsPanel QToolButton[role="fold"]:focus {{ border-color: {accent}; }}
SettingsPanel QToolButton::menu-indicator {{ subcontrol-position: right center; subcontrol-origin: padding;
    right: 8px; }}
"""


def style_sheet(chosen: Colours) -> str:
    """The style sheet of these colours, for a whole window."""
    name = "dark" if chosen is DARK else "light"
    tick = resource_folder() / "icons" / f"tick_on_{name}_theme.svg"
    return _STYLE.format(**chosen.__dict__, tick=tick.as_posix())
