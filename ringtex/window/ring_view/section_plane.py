"""The plane that cuts the ring open: through the finger's axis, turned round it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ringtex.basics.arrays import Floats


@dataclass(frozen=True)
class SectionPlane:
    """A cut through the ring's axis and the place at an angle from the head (degrees, counter-clockwise from +z).

    flipped: the other half is taken away.
    """

    angle_deg: float = 0.0
    flipped: bool = False

    @property
    def radial(self) -> Floats:
        """(3,) unit, from the axis to the cut place."""
        theta = math.radians(self.angle_deg)
        return np.array([-math.sin(theta), math.cos(theta), 0.0])

    @property
    def kept(self) -> Floats:
        """(3,) unit normal of the plane towards the half that stays."""
        theta = math.radians(self.angle_deg)
        along = np.array([-math.cos(theta), -math.sin(theta), 0.0])
        return -along if self.flipped else along

    def facing(self, eye: Floats) -> SectionPlane:
        """The same cut with that half taken away on whose side the eye is, so that the cut face is seen."""
        on_kept_side = float(eye @ self.kept) > 0.0
        return SectionPlane(self.angle_deg, self.flipped != on_kept_side)


def turned_to(origin: Floats, direction: Floats) -> float | None:
    """Angle in degrees of the place where a ray meets the plane across the finger (z = 0); None where it does not."""
    if abs(direction[2]) < 0.05:
        # Seen from the side the plane is a line: the nearest place to the axis along the ray's own plane serves.
        place = origin - direction * float(origin @ direction)
    else:
        place = origin - direction * (origin[2] / direction[2])
    if math.hypot(place[0], place[1]) < 1e-6:
        return None
    return math.degrees(math.atan2(-place[0], place[1]))
