"""The finger hole: straight, or a comfort bore that opens towards the edges."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal, get_args

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.basics.errors import InputError
from ringtex.basics.limits import Within, require_limits

BoreShape = Literal["straight", "comfort"]

MAX_RISE_MM = 2.0
"""A comfort bore rises by 0.2 to 0.6 as a rule (common practice, no source); 2 leaves room without eating the band."""


@dataclass(frozen=True)
class BoreOptions:
    """The shape of the finger hole.

    shape    straight, or opening towards the edges.
    rise_mm  how far a comfort bore has risen from mid-width to the edges; a straight bore has none.
    """

    shape: BoreShape = "straight"
    rise_mm: Annotated[float, Within(0.0, MAX_RISE_MM, "mm", "a comfort bore only breaks the inner edges")] = 0.0

    def __post_init__(self) -> None:
        if self.shape not in get_args(BoreShape):
            raise InputError(f"There is no bore shape {self.shape!r}", "Use straight or comfort", "bore.shape")
        require_limits(self, "bore")
        if self.shape == "straight" and self.rise_mm > 0.0:
            raise InputError("A straight bore has no rise", "Set the rise to 0 or the shape to comfort", "bore.rise")

    def height_at(self, share: Floats) -> Floats:
        """Rise (mm) above the bore radius at a share of the half-width: 0 at mid-width, -1 and 1 at the edges.

        A parabola: one smooth sweep, level at mid-width, where ISO 8653 reads the size of a rounded inside.
        """
        return self.rise_mm * np.square(share)
