"""What is written in the bore."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from ringtex.basics.errors import InputError

PACKAGED_FONT: Final = "dejavu_sans"
"""The font that comes with the program."""

MAX_TEXT: Final = 120
"""At the smallest height a line of so many letters is as long as a large finger hole is round."""


@dataclass(frozen=True)
class InscriptionOptions:
    """One line of text in the bore, read from inside the ring with the +z edge up.

    text       the words.
    font       "dejavu_sans", which comes with the program, or the path of a .ttf or .otf file.
    height_mm  of capital letters.
    depth_mm   how deep the letters are cut, or how high they stand.
    raised     letters stand into the finger hole instead of being cut.
    angle_deg  where the middle of the line is, from the head: 180 is the palm.
    along_mm   how far the middle of the letters lies from mid-width, towards the +z edge.
    """

    text: str
    font: str = PACKAGED_FONT
    height_mm: float = 1.5
    depth_mm: float = 0.2
    raised: bool = False
    angle_deg: float = 180.0
    along_mm: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what cannot be made, naming the key."""
        if not self.text.strip():
            raise InputError(
                "the inscription has no letters", "Write some, or set inscription to null", _WHERE + "text"
            )
        if len(self.text) > MAX_TEXT or not self.text.isprintable():
            advice = f"Use at most {MAX_TEXT} ordinary characters on one line"
            raise InputError("this text cannot be written in a ring", advice, _WHERE + "text")
        if self.font != PACKAGED_FONT and not self.font.lower().endswith((".ttf", ".otf")):
            advice = f"Use {PACKAGED_FONT}, or the path of a .ttf or .otf file"
            raise InputError("this is no font", advice, _WHERE + "font")
        _within("height", self.height_mm, 0.6, 10.0)
        _within("depth", self.depth_mm, 0.05, 0.6)
        _within("angle", self.angle_deg, -180.0, 180.0)
        _within("along", self.along_mm, -20.0, 20.0)


_WHERE: Final = "inscription."


def _within(key: str, value: float, low: float, high: float) -> None:
    if not (math.isfinite(value) and low <= value <= high):
        raise InputError(f"{value:g} is out of reach", f"Use {low:g} to {high:g}", _WHERE + key)
