"""Places of the outer face that are left smooth."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal

from ringtex.basics.errors import InputError

MAX_PLACES: Final = 24
"""Each is one more body to join or cut; a ring has a hallmark, a sizing place and perhaps a few windows."""


@dataclass(frozen=True)
class PlainPlace:
    """A window without relief: for a hallmark, a sizing or soldering place, a signature.

    shape      "round" (an ellipse where the height differs) or "rectangle".
    u, v       its middle, as shares of the strip's length and width (u 0 is the palm, 0.5 the head).
    width_mm   along the ring, on the ring, through its middle. height_mm: across it; None: as wide as high. It may
               reach over the band's edges: a sizing place usually does.
    corner_mm  radius of a rectangle's corners.
    level      "ground": a hair under the relief's lowest; "top": a hair over its highest.
    fade_mm    cells nearer than this grow shallower towards it; 0: the relief ends at its border.
    """

    u: float
    v: float
    width_mm: float
    height_mm: float | None = None
    shape: Literal["round", "rectangle"] = "rectangle"
    corner_mm: float = 0.5
    level: Literal["ground", "top"] = "ground"
    fade_mm: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what cannot be made, naming the key."""
        _within("u", self.u, 0.0, 1.0)
        _within("v", self.v, 0.0, 1.0)
        _within("width", self.width_mm, 0.5, 60.0)
        if self.height_mm is not None:
            _within("height", self.height_mm, 0.5, 60.0)
        _within("corner", self.corner_mm, 0.05, 20.0)
        _within("fade", self.fade_mm, 0.0, 20.0)
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


def _within(key: str, value: float, low: float, high: float) -> None:
    if not (math.isfinite(value) and low <= value <= high):
        raise InputError(f"{value:g} is out of reach", f"Use {low:g} to {high:g}", f"plain.{key}")
