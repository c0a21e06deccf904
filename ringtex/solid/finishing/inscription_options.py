"""What is written in the bore."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Final

from ringtex.basics.errors import InputError
from ringtex.basics.limits import Within, require_limits

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
    height_mm: Annotated[float, Within(0.6, 10.0, "mm")] = 1.5
    depth_mm: Annotated[float, Within(0.05, 0.6, "mm")] = 0.2
    raised: bool = False
    angle_deg: Annotated[float, Within(-180.0, 180.0, "degrees")] = 180.0
    along_mm: Annotated[float, Within(-20.0, 20.0, "mm")] = 0.0

    def __post_init__(self) -> None:
        """Refuse what cannot be made, naming the key."""
        if not self.text.strip():
            raise InputError(
                "the inscription has no letters", "Write some, or set inscription to null", "inscription.text"
            )
        if len(self.text) > MAX_TEXT or not self.text.isprintable():
            advice = f"Use at most {MAX_TEXT} ordinary characters on one line"
            raise InputError("this text cannot be written in a ring", advice, "inscription.text")
        if self.font != PACKAGED_FONT and not self.font.lower().endswith((".ttf", ".otf")):
            advice = f"Use {PACKAGED_FONT}, or the path of a .ttf or .otf file"
            raise InputError("this is no font", advice, "inscription.font")
        require_limits(self, "inscription")
