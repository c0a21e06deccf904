"""The values in an SVG's attributes: lengths, transforms, colours, styles. After SVG 1.1 and 2, from memory."""

from __future__ import annotations

import math
import re
from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.basics.errors import InputError

MM_PER_UNIT: Final = {
    "": 25.4 / 96.0, "px": 25.4 / 96.0, "in": 25.4, "mm": 1.0, "cm": 10.0, "pt": 25.4 / 72.0, "pc": 25.4 / 6.0,
    "q": 0.25,
}  # fmt: skip
"""CSS Values and Units: 96 px to the inch, 72 pt, 6 pc; Q is a quarter of a millimetre."""

NUMBER: Final = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
_LENGTH = re.compile(rf"\s*({NUMBER})\s*([a-zA-Z%]*)\s*$")
_FUNCTION = re.compile(r"\s*,?\s*([a-zA-Z]+)\s*\(([^()]*)\)")
_NUMBERS = re.compile(NUMBER)


MAX_NUMBER: Final = 1e9
"""Of user units: 260 km. Squares and products of such numbers stay far within floating point."""


def bounded(text: str) -> float:
    """A number of a drawing; nothing where it is below 1e-9. Raises: InputError beyond 1e9."""
    value = float(text)
    if abs(value) > MAX_NUMBER:
        raise InputError(f"the number {text[:20]} goes beyond all bounds", "Correct the drawing", "svg")
    return value if abs(value) >= 1.0 / MAX_NUMBER else 0.0


def numbers(text: str) -> list[float]:
    """All numbers in a text, in order.

    >>> numbers("1,2 -3.5e1.5")
    [1.0, 2.0, -35.0, 0.5]
    """
    return [bounded(each) for each in _NUMBERS.findall(text)]


def length(text: str | None, percent_of: float, default: float = 0.0) -> float:
    """A length in user units (px).

    Parameters:
        text: as the attribute has it; None where there is none.
        percent_of: what 100 % are, user units.
        default: the value where nothing usable is given.
    Returns: user units.
    """
    found = _LENGTH.match(text or "")
    if found is None:
        return default
    value, unit = bounded(found[1]), found[2].lower()
    if unit == "%":
        return value / 100.0 * percent_of
    if unit in ("em", "ex", "rem"):
        # Of a font that is nowhere given: 16 px, an x-height of half.
        return value * (8.0 if unit == "ex" else 16.0)
    return value * MM_PER_UNIT.get(unit, MM_PER_UNIT[""]) / MM_PER_UNIT[""]


def transform(text: str | None) -> Floats:
    """(3, 3) matrix of a transform list, the first function outermost; functions that are none are left out.

    What goes beyond floating point leaves a matrix that is not finite.

    >>> transform("translate(2) scale(3)")[0].tolist()
    [3.0, 0.0, 2.0]
    """
    matrix = np.eye(3)
    for name, inside in _FUNCTION.findall(text or ""):
        matrix = matrix @ _one_transform(name, numbers(inside))
    return matrix


def _one_transform(name: str, given: list[float]) -> Floats:
    matrix = np.eye(3)
    if name == "matrix" and len(given) == 6:
        matrix[:2] = np.reshape(given, (3, 2)).T
    elif name == "translate" and given:
        matrix[:2, 2] = given[0], given[1] if len(given) > 1 else 0.0
    elif name == "scale" and given:
        matrix[0, 0], matrix[1, 1] = given[0], given[1] if len(given) > 1 else given[0]
    elif name == "rotate" and given:
        cosine, sine = math.cos(math.radians(given[0])), math.sin(math.radians(given[0]))
        matrix[:2, :2] = (cosine, -sine), (sine, cosine)
        if len(given) == 3:
            centre = np.array(given[1:])
            matrix[:2, 2] = centre - matrix[:2, :2] @ centre
    elif name == "skewX" and given:
        matrix[0, 1] = math.tan(math.radians(given[0]))
    elif name == "skewY" and given:
        matrix[1, 0] = math.tan(math.radians(given[0]))
    return matrix


def declarations(text: str | None) -> dict[str, str]:
    """Property and value of each declaration of a style attribute or of a rule's body."""
    pairs = (part.split(":", 1) for part in (text or "").split(";") if ":" in part)
    return {name.strip().lower(): value.replace("!important", "").strip() for name, value in pairs}


def style_rules(text: str) -> dict[str, dict[str, str]]:
    """Declarations by simple selector (`.name`, `#name`, `element`, `*`) of a style sheet; others are left out."""
    rules: dict[str, dict[str, str]] = {}
    for selectors, body in re.findall(r"([^{}]+)\{([^{}]*)\}", re.sub(r"/\*.*?\*/", "", text, flags=re.DOTALL)):
        for selector in selectors.split(","):
            if re.fullmatch(r"[.#]?[\w*-]+", selector.strip()):
                rules.setdefault(selector.strip(), {}).update(declarations(body))
    return rules


def is_none(colour: str) -> bool:
    """Whether a paint leaves no mark."""
    return colour.strip().lower() in ("none", "transparent")


def is_white(colour: str) -> bool:
    """Whether a paint is white, which takes away what lies under it."""
    text = colour.strip().lower()
    if re.fullmatch(r"#(?:[0-9a-f]{3}|[0-9a-f]{6})", text):
        return set(text[1:]) == {"f"}
    if text.startswith("rgb"):
        given = numbers(text)[:3]
        return len(given) == 3 and min(given) >= (100.0 if "%" in text else 255.0)
    return text == "white"
