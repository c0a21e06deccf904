"""What may be asked of an own grey picture."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any, Final, Literal

from ringtex.basics.caches import cached
from ringtex.basics.known_names import unknown_name
from ringtex.basics.limits import Within, require_limits

HIGH: Final = ("white", "black")


@dataclass(frozen=True)
class GreyOptions:
    """A grey picture as relief.

    pixels     the picture, written when it is imported (`picture_text`).
    high       which end of the greys stands higher, "white" or "black".
    smooth_mm  standard deviation of the Gaussian blur, mm on the strip.
    blend      0: opposite borders meet as they are; above: so much of a repeat's length and width, at each border, is
               blended with the neighbour's mirror image, and both are equal at the border.
    once       the picture runs once round the ring, whatever number of repeats is asked for.

    Raises InputError naming the key when a value cannot be used.
    """

    pixels: str
    high: Literal["white", "black"] = "white"
    smooth_mm: Annotated[float, Within(0.0, 2.0, "mm")] = 0.05
    blend: Annotated[float, Within(0.0, 0.5, "of a repeat")] = 0.0
    once: bool = False

    def __post_init__(self) -> None:
        require_limits(self, "pattern.motif.grey")
        if self.high not in HIGH:
            raise unknown_name(f"high cannot be {self.high!r}", self.high, HIGH, "pattern.motif.grey.high")
        decoded_grey(self.pixels)


@cached(4)
def decoded_grey(text: str) -> Any:
    """(rows, columns) grey of a text, 0 to 1. Raises: InputError for what is none."""
    from ringtex.pattern.picture.grey_reader import picture_from_text

    return picture_from_text(text)
