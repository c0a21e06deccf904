"""Relief that grows shallower along the ring, across it and round any place, as curves and spots ask."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Final, TypeAlias

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.basics.errors import InputError
from ringtex.basics.limits import Within, require_limits
from ringtex.basics.smooth_curve import SmoothCurve
from ringtex.pattern.density_factor import PlacedStrip
from ringtex.pattern.density_options import Angle, LengthShare, WidthShare, refuse_doubles

MAX_POINTS: Final = 72
MAX_SPOTS: Final = 500
"""A point every 5 degrees; as many spots as a hand could paint."""

DepthShare: TypeAlias = Annotated[float, Within(0.0, 1.0, "of the depth")]

MAX_RADIUS_MM: Final = 15.0
"""A spot beyond this reaches the ring's other side."""


@dataclass(frozen=True)
class FadeOptions:
    """How deep the relief is, as a share 0 to 1 of its depth; where several act, their shares multiply.

    around  (angle in degrees from the head, share), joined smoothly and closed round the ring.
    across  (share of the strip's width from the -z edge, share of the depth), joined smoothly: ((0, 0), (0.5, 1),
            (1, 0)) fades towards both edges.
    spots   (u, v, radius, share): round a place, given as shares of the strip's length and width; the radius in mm on
            the ring; the share at the middle goes over to 1 at the rim.

    Raises InputError naming the key when a value cannot be used.
    """

    around: tuple[tuple[Angle, DepthShare], ...] = ()
    across: tuple[tuple[WidthShare, DepthShare], ...] = ()
    spots: tuple[
        tuple[LengthShare, WidthShare, Annotated[float, Within(0.1, MAX_RADIUS_MM, "mm")], DepthShare], ...
    ] = ()

    def __post_init__(self) -> None:
        for key, count, most in (
            ("around", len(self.around), MAX_POINTS),
            ("across", len(self.across), MAX_POINTS),
            ("spots", len(self.spots), MAX_SPOTS),
        ):
            if count > most:
                raise InputError(f"{count} entries are too many", f"Give at most {most}", f"relief.fade.{key}")
        require_limits(self, "relief.fade")
        refuse_doubles([angle % 360.0 for angle, _ in self.around], "relief.fade.around", "angle")
        refuse_doubles([place for place, _ in self.across], "relief.fade.across", "place")


def depth_factor(strip: PlacedStrip, options: FadeOptions, u: Floats, v: Floats) -> Floats:
    """(n,) share of the depth, 0 to 1, at strip places (n,), (n,)."""
    share = np.ones(len(u))
    if options.around:
        angles, shares = np.array(options.around).T
        theta, _ = strip.to_band(u, v)
        share *= SmoothCurve(angles, shares, 360.0)(np.rad2deg(theta))
    if options.across:
        places, shares = np.array(options.across).T
        share *= SmoothCurve(places, shares)(v / strip.width)
    if options.spots:
        points = strip.point(u, v)
        for at_u, at_v, radius, middle_share in options.spots:
            # Straight through the metal: over a spot's radius as good as along the face, and the same from every side.
            middle = strip.point(np.array([at_u * strip.length]), np.array([at_v * strip.width]))
            away = np.minimum(np.linalg.norm(points - middle, axis=1) / radius, 1.0)
            share *= middle_share + (1.0 - middle_share) * away * away * (3.0 - 2.0 * away)
    return np.asarray(np.clip(share, 0.0, 1.0), dtype=np.float64)
