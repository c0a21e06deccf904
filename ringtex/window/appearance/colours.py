"""The window's colours: warm neutral greys and one accent, light and dark; every text at 4.5 to 1 or more."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True)
class Colours:
    """One set of colours as "#rrggbb".

    window: what everything lies on; panel: bars and raised parts; field: where one types or looks; line: hairlines;
    text, soft_text: figures and their units; accent and on_accent: the one colour and the text on it; error, warning
    and note: findings, which always carry a shape and a word too.
    """

    window: str
    panel: str
    field: str
    line: str
    text: str
    soft_text: str
    faint_text: str
    accent: str
    on_accent: str
    hover: str
    error: str
    warning: str
    note: str


LIGHT: Final = Colours(
    window="#f1efeb",
    panel="#e8e5e0",
    field="#fbfaf8",
    line="#cdc8c1",
    text="#2a2826",
    soft_text="#5f5a54",
    faint_text="#8d877f",
    accent="#1d6468",
    on_accent="#ffffff",
    hover="#dcd8d2",
    error="#9c2f1c",
    warning="#7a4f00",
    note="#3f5560",
)
DARK: Final = Colours(
    window="#252321",
    panel="#2e2b29",
    field="#1c1b19",
    line="#48443f",
    text="#ebe7e2",
    soft_text="#b1aaa2",
    faint_text="#7d776f",
    accent="#74c0c1",
    on_accent="#0f2223",
    hover="#3a3734",
    error="#f39b87",
    warning="#e6b866",
    note="#a9c2cc",
)

MIN_CONTRAST: Final = 4.5
"""Of text on its ground. Source: WCAG 2.1, success criterion 1.4.3."""


def colours(dark: bool) -> Colours:
    """The set for a dark or a light window."""
    return DARK if dark else LIGHT


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two "#rrggbb", 1 to 21. Source: WCAG 2.1, definition of contrast ratio."""
    brighter, darker = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (brighter + 0.05) / (darker + 0.05)


def _luminance(colour: str) -> float:
    """Relative luminance of an sRGB colour. Source: WCAG 2.1, definition of relative luminance."""
    parts = [int(colour[place : place + 2], 16) / 255.0 for place in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
