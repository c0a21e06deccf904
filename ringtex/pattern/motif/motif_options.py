"""What may be asked of an own motif: its outline, and how it is fitted to whole repeats."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any, Final, Literal, TypeAlias

from ringtex.basics.caches import cached
from ringtex.basics.errors import InputError
from ringtex.basics.known_names import unknown_name
from ringtex.basics.limits import Within, require_limits
from ringtex.pattern.picture.grey_options import GreyOptions

ARRANGEMENTS: Final = ("straight", "brick", "half_drop")
ALTERNATIONS: Final = ("none", "mirrored", "turned")
FITS: Final = ("motif", "page")

MAX_TEXT: Final = 120
"""Letters of a text that becomes a motif."""

Length: TypeAlias = Annotated[float, Within(1e-3, 1e5, "mm")]


@dataclass(frozen=True)
class MotifOptions:
    """A drawn motif or a grey picture, repeated `around` times round the ring and `across` times over it.

    name         of the drawing it came from.
    outline      SVG path data in whole steps, 50,000 along the longer side of the page, from the page's lower left
                 corner, y upwards; written when a drawing is imported (`outline_text`). Empty for a picture.
    width_mm, height_mm  the page as it was drawn.
    fit          "motif": the drawing keeps its proportions, as large as `size` of its repeat; "page": the page, with
                 what lies near its borders, is stretched to the whole repeat, so that drawings that run on from border
                 to border join. What is outside of the page then lies over the neighbours, and joins them.
    size         how much of its repeat the motif takes, 0.05 to 3; over 1 it reaches over its neighbours.
    turn_deg     turned counter-clockwise on the strip; with the fit "page" not used.
    arrangement  "straight"; "brick": every other row is moved by half a repeat round the ring; "half_drop": every other
                 column is moved by half a repeat across it.
    alternate    "none", or every other repeat "mirrored" left to right or "turned" by half a turn, like a chessboard.
    text, font   the line of text that the outline was made of, and its font, to write it anew. A ring is made of the
                 outline alone, and needs no font. Empty for other motifs.
    grey         a grey picture in place of an outline, which always fills its repeat: size and turn are not used.

    Raises InputError naming the key when a value cannot be used.
    """

    outline: str
    name: str = ""
    width_mm: Length = 10.0
    height_mm: Length = 10.0
    fit: Literal["motif", "page"] = "motif"
    size: Annotated[float, Within(0.05, 3.0, "of its repeat")] = 0.9
    turn_deg: Annotated[float, Within(-360.0, 360.0, "degrees")] = 0.0
    arrangement: Literal["straight", "brick", "half_drop"] = "straight"
    alternate: Literal["none", "mirrored", "turned"] = "none"
    text: str = ""
    font: str = ""
    grey: GreyOptions | None = None

    def __post_init__(self) -> None:
        require_limits(self, "pattern.motif")
        for key, value, known in (
            ("fit", self.fit, FITS),
            ("arrangement", self.arrangement, ARRANGEMENTS),
            ("alternate", self.alternate, ALTERNATIONS),
        ):
            if value not in known:
                message = f"{key} cannot be {value!r}"
                raise unknown_name(message, value, known, f"pattern.motif.{key}")
        if len(self.text) > MAX_TEXT or not self.text.isprintable():
            advice = f"Use at most {MAX_TEXT} ordinary characters on one line"
            raise InputError("this text cannot be a motif", advice, "pattern.motif.text")
        if self.grey is None:
            decoded_outline(self.outline)
        elif self.outline:
            raise InputError("a motif is an outline or a picture, not both", "Leave out one", "pattern.motif.outline")


@cached(8)
def decoded_outline(text: str) -> Any:
    """The outline of a text as a shapely MultiPolygon in steps. Raises: InputError for what is none."""
    from ringtex.pattern.motif.motif_outline import outline_from_text

    return outline_from_text(text)
