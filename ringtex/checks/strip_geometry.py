"""What the checks ask of the strip and its band: no more than this."""

from __future__ import annotations

from typing import Protocol

from ringtex.band.bore import BoreOptions
from ringtex.basics.arrays import Floats


class BandView(Protocol):
    """The bore and the half-width of a band. Lengths mm, theta in radians from the head."""

    @property
    def bore_radius_mm(self) -> float:
        """Radius of the finger hole at mid-width."""

    @property
    def bore(self) -> BoreOptions:
        """Shape of the finger hole."""

    @property
    def is_flat(self) -> bool:
        """The outer face is a cylinder of one width."""

    def half_width(self, theta: Floats) -> Floats:
        """Half the band's width at each angle."""


class ShellView(Protocol):
    """The strip's way on to the ring."""

    def shell_map(self, u: Floats, v: Floats, h: Floats | float) -> Floats:
        """(n, 3) points on the ring, mm.

        Parameters:
            u: (n,) round the ring, mm.
            v: (n,) across, mm.
            h: (n,) heights over the outer face, mm.
        Returns: (n, 3) points on the ring, mm.
        """


class StripView(ShellView, Protocol):
    """The strip's length and the curvature of the band under it."""

    @property
    def band(self) -> BandView:
        """The band that was unwrapped."""

    @property
    def length(self) -> float:
        """Length L of the strip; u and u + L are one place."""

    def metric(self, u: Floats, v: Floats) -> tuple[Floats, Floats, Floats]:
        """E, F, G of the outer face: squared mm on the ring per squared mm on the strip."""

    def curvatures(self, u: Floats, v: Floats) -> tuple[Floats, Floats]:
        """Principal curvatures, 1/mm, positive where the face is convex outwards."""
