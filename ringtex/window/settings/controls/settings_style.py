"""How the column's fields and boxes look, light and dark."""

from __future__ import annotations

from ringtex.window.appearance.colours import Colours

_STYLE = """
QLineEdit {{ background: {field}; color: {text}; border: 1px solid {line}; border-radius: 4px; padding: 3px 6px;
    selection-background-color: {accent}; selection-color: {on_accent}; }}
QLineEdit:hover {{ border-color: {soft_text}; }}
QLineEdit:focus {{ border: 2px solid {accent}; padding: 2px 5px; }}
QLineEdit[refused="true"] {{ border-color: {error}; }}
QLabel[role="explanation"] {{ color: {text}; border-left: 3px solid {error}; padding-left: 8px; }}
QComboBox {{ padding: 3px 8px; }}
QComboBox QAbstractItemView {{ background: {field}; color: {text}; selection-background-color: {accent};
    selection-color: {on_accent}; }}
QCheckBox {{ spacing: 8px; padding: 3px; border: 1px solid transparent; border-radius: 4px; }}
QCheckBox:focus {{ border-color: {accent}; }}
QToolButton {{ background: {field}; border: 1px solid {line}; }}
QToolButton:checked {{ background: {hover}; border: 2px solid {accent}; }}
QToolButton:focus {{ border: 2px solid {accent}; }}
QToolButton[role="fold"] {{ background: transparent; border: 1px solid transparent; padding: 3px 0; font-weight: 600; }}
QToolButton[role="fold"]:hover {{ background: {hover}; }}
QToolButton[role="fold"]:focus {{ border-color: {accent}; }}
QToolButton::menu-indicator {{ subcontrol-position: right center; subcontrol-origin: padding; right: 8px; }}
"""


def settings_style(chosen: Colours) -> str:
    """The style sheet of these colours."""
    return _STYLE.format(**chosen.__dict__)
