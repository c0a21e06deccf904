"""Places of the outer face that are left smooth."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Final, Literal

from ringtex.basics.errors import InputError
from ringtex.basics.limits import FRACTION, Within, require_limits

MAX_PLACES: Final = 24
"""Each is one more body to join or cut; a ring has a hallmark, a sizing place and perhaps a few windows."""


@dataclass(frozen=True)
class PlainPlace:
    """A window without relief: for a hallmark, a sizing or soldering place, a signature.

    shape      "round" (an ellipse where the height differs) or "rectangle".
    u, v       its middle, as shares of the strip's length and width (u 0 is the palm, 0.5 the head).
    width_mm   along the ring, on the ring, through its middle.
    height_mm  across it; None: as wide as high. It may reach over the band's edges: a sizing place usually does.
    corner_mm  radius of a rectangle's corners.
    level      "ground": just under the relief's lowest; "top": just over its highest.
    fade_mm    cells nearer than this grow shallower towards it; 0: the relief ends at its border.
    """

    u: Annotated[float, FRACTION]
    v: Annotated[float, FRACTION]
    width_mm: Annotated[float, Within(0.5, 60.0, "mm")]
    height_mm: Annotated[float, Within(0.5, 60.0, "mm")] | None = None
    shape: Literal["round", "rectangle"] = "rectangle"
    corner_mm: Annotated[float, Within(0.05, 20.0, "mm")] = 0.5
    level: Literal["ground", "top"] = "ground"
    fade_mm: Annotated[float, Within(0.0, 20.0, "mm")] = 0.0

    def __post_init__(self) -> None:
        """Refuse what cannot be made, naming the key."""
        require_limits(self, "plain")
        for key, value, choices in (("shape", self.shape, ("round", "rectangle")), ("level", self.level, LEVELS)):
            if value not in choices:
                raise InputError(f"'{value}' is no {key}", f"Use {' or '.join(choices)}", f"plain.{key}")

    @property
    def half_mm(self) -> tuple[float, float]:
        """Half its width and half its height."""
        return 0.5 * self.width_mm, 0.5 * (self.width_mm if self.height_mm is None else self.height_mm)

    @property
    def rounding_mm(self) -> float:
        """The radius that a rectangle's corners can have."""
        return min(self.corner_mm, 0.98 * min(self.half_mm))


LEVELS: Final = ("ground", "top")
"""Where a plain place lies."""
