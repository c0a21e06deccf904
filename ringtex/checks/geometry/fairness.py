"""Whether a band's face is fair: how its curvature runs along the crown and the edges.

A polished surface shows a jump of curvature as a kink in its reflections, though its tangents run on.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Protocol

import numpy as np

from ringtex.basics.arrays import Floats

LOOKS: Final = 2880
"""Places on each line, one every eighth of a degree."""

SUSPECTS: Final = 96
HALVINGS: Final = 5
"""Steps looked at closely, and how often they are halved: down to 0.004 degrees, still over the differences by which a
band takes its curvatures."""

LINES: Final = {"crown": 0.0, "lower edge": -0.98, "upper edge": 0.98}
"""Lines looked at, by section parameter; just inside the edges, where a round face still has one curvature."""

FAIR_JUMP: Final = 1e-3
"""A jump of curvature under this (1/mm; a radius of 10 mm that becomes 10.1) is not seen in polished metal (common
practice, no source)."""


class CurvedBand(Protocol):
    """What fairness needs of a band."""

    def curvatures(self, theta: Floats, across: Floats) -> tuple[Floats, Floats]:
        """Principal curvatures at angles (radians) and section parameters, 1/mm."""

    def profile(self, theta: Floats, across: Floats) -> tuple[Floats, Floats]:
        """Radius and z."""


@dataclass(frozen=True)
class LineFairness:
    """One line: the largest jump of a principal curvature (1/mm) and its angle in degrees from the head; the fastest
    smooth change (1/mm for each mm of line) and its angle.
    """

    line: str
    jump: float
    jump_deg: float
    change: float
    change_deg: float


@dataclass(frozen=True)
class Fairness:
    """The crown and both edges."""

    lines: tuple[LineFairness, ...]

    @property
    def worst(self) -> LineFairness:
        """The line with the largest jump."""
        return max(self.lines, key=lambda line: line.jump)

    @property
    def fair(self) -> bool:
        """No jump of curvature can be seen."""
        return self.worst.jump <= FAIR_JUMP


def measure_fairness(band: CurvedBand) -> Fairness:
    """Look along the crown and both edges.

    Where a curvature changes fastest from one place to the next, the step is halved towards the faster half five times;
    what then does not halve with the step is a jump.
    """
    return Fairness(tuple(_along(band, name, across) for name, across in LINES.items()))


def _along(band: CurvedBand, name: str, across: float) -> LineFairness:
    theta = np.linspace(-np.pi, np.pi, LOOKS, endpoint=False)
    step = 2.0 * np.pi / LOOKS
    place = np.full(LOOKS, across)
    curvatures = np.stack(band.curvatures(theta, place))
    steps = np.abs(np.roll(curvatures, -1, axis=1) - curvatures)
    jump, jump_at = max(_left_of_step(band, across, theta, steps[k], step, k) for k in range(2))
    radius, z = band.profile(theta, place)
    points = np.column_stack([radius * np.cos(theta), radius * np.sin(theta), z])
    change = np.max(steps, axis=0) / np.linalg.norm(np.roll(points, -1, axis=0) - points, axis=1)
    fastest = int(np.argmax(change))
    degrees = float(np.rad2deg(jump_at)), float(np.rad2deg(theta[fastest]))
    return LineFairness(name, jump, degrees[0], float(change[fastest]), degrees[1])


def _left_of_step(
    band: CurvedBand, across: float, theta: Floats, steps: Floats, step: float, which: int
) -> tuple[float, float]:
    """The largest jump of the larger (0) or smaller (1) curvature, and its angle in radians."""
    low = theta[np.argsort(-steps, kind="stable")[:SUSPECTS]]
    place = np.full(len(low), across)
    for _ in range(HALVINGS):
        step *= 0.5
        at_low, at_middle, at_high = (band.curvatures(low + k * step, place)[which] for k in range(3))
        whole, first, second = np.abs(at_high - at_low), np.abs(at_middle - at_low), np.abs(at_high - at_middle)
        low = np.where(second > first, low + step, low)
    # What changes evenly is half over half the step; a jump is whole over both.
    left = np.maximum(2.0 * np.maximum(first, second) - whole, 0.0)
    worst = int(np.argmax(left))
    return float(left[worst]), float(low[worst])
