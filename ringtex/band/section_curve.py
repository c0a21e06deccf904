"""Cross sections: from the section parameter to the place on the outer face.

Every section maps the section parameter xi in [-1, 1] (from the -z edge to the +z edge) to z and to the height above
the bore, given the half-width a, the edge height e, the rise b from edge to crown, and the fullness. All formulas hold
for complex arguments, so that derivatives are taken by complex steps (Squire & Trapp 1998, SIAM Review 40: exact to
rounding). The rise may be zero or, between stations, slightly negative.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ringtex.band.band_options import Section
from ringtex.basics.tolerances import CREASE_RADIUS_MM

Numbers = NDArray[Any]
SectionFormula = Callable[[Numbers, Numbers, Numbers, Numbers, Numbers], tuple[Numbers, Numbers]]

MAX_CROWN_ROUNDING, MAX_EDGE_ROUNDING = 0.3, 0.1
"""Rounding of a free section's creases as a share of the section, at most; more at the edges would lift the flanks."""
FINEST_STRETCH = 0.005
"""A knife-edge spreads its parameter towards the crown, but never finer than this share of the half-width."""


def half_round(xi: Numbers, a: Numbers, e: Numbers, b: Numbers, fullness: Numbers) -> tuple[Numbers, Numbers]:
    """A half-ellipse from edge to crown; xi is its elliptical angle, so it is smooth however low the rise.

    Parameters:
        xi: section parameter.
        a, e, b, fullness: half-width, edge height, rise and fullness, mm.
    Returns: z and height above the bore, mm.
    """
    angle = xi * (np.pi / 2.0)
    return a * np.sin(angle), e + b * np.cos(angle)


def flat(xi: Numbers, a: Numbers, e: Numbers, b: Numbers, fullness: Numbers) -> tuple[Numbers, Numbers]:
    """A straight line at crown height.

    Parameters:
        xi: section parameter.
        a, e, b, fullness: half-width, edge height, rise and fullness, mm.
    Returns: z and height above the bore, mm.
    """
    return a * xi, (e + b) + 0.0 * xi


def _sinc(x: Numbers) -> Numbers:
    """sin(x) / x."""
    small = np.abs(x) < 1e-4
    safe = np.where(small, 1.0, x)
    return np.where(small, 1.0 - x * x / 6.0, np.sin(safe) / safe)


def court(xi: Numbers, a: Numbers, e: Numbers, b: Numbers, fullness: Numbers) -> tuple[Numbers, Numbers]:
    """A circular arc through edges and crown; xi is proportional to its angle. The rise is at most the half-width.

    Parameters:
        xi: section parameter.
        a, e, b, fullness: half-width, edge height, rise and fullness, mm.
    Returns: z and height above the bore, mm.
    """
    ratio = b / a
    small = np.abs(ratio) < 1e-4
    half_angle = 2.0 * np.arctan(ratio)
    # Half the arc's length = radius x half angle, written so that a vanishing rise is a straight line.
    half_length = np.where(
        small, a * (1.0 + ratio**2 * (2.0 / 3.0)), (a * a + b * b) / (2.0 * np.where(small, 1.0, b)) * half_angle
    )
    turn = half_angle * xi
    drop = half_length * xi * _sinc(turn / 2.0) * np.sin(turn / 2.0)
    return half_length * xi * _sinc(turn), e + b - drop


def knife_edge(xi: Numbers, a: Numbers, e: Numbers, b: Numbers, fullness: Numbers) -> tuple[Numbers, Numbers]:
    """Straight flanks from the edges to the crown, which is rounded as a hyperbola of radius CREASE_RADIUS_MM.

    y = e + b + m^2 q - m sqrt(x^2 + m^2 q^2) with crown radius q; it meets both edges if m^2 = b^2 / (a^2 - 2 b q).

    Parameters:
        xi: section parameter.
        a, e, b, fullness: half-width, edge height, rise and fullness, mm.
    Returns: z and height above the bore, mm.
    """
    slope = b / np.sqrt(a * a - 2.0 * b * CREASE_RADIUS_MM)
    crease = slope * CREASE_RADIUS_MM
    stretch = np.arcsinh(a / np.sqrt(crease * crease + (FINEST_STRETCH * a) ** 2))
    x = a * np.sinh(stretch * xi) / np.sinh(stretch)
    return x, e + b + slope * crease - slope * np.sqrt(x * x + crease * crease)


def _rounding(share: Numbers, most: float, fullness: Numbers) -> Numbers:
    """A crease's rounding: the share wanted, softly limited, and gone for full sections, which have no crease there."""
    limited = share / (1.0 + (share / most) ** 4) ** 0.25
    return limited / (1.0 + ((fullness - 1.0) / 1.5) ** 6)


def free_section(xi: Numbers, a: Numbers, e: Numbers, b: Numbers, fullness: Numbers) -> tuple[Numbers, Numbers]:
    """A superellipse of exponent `fullness` between edges and crown, in elliptical polar form; 2 is the half-ellipse.

    Below 2 the crown and the edges would be creases: both carry a radius, CREASE_RADIUS_MM where there is room.

    Parameters:
        xi: section parameter.
        a, e, b, fullness: half-width, edge height, rise and fullness, mm.
    Returns: z and height above the bore, mm.
    """
    angle = xi * (np.pi / 2.0)
    s, c = np.sin(angle), np.cos(angle)
    rise = np.sqrt(b * b + (0.01 * a) ** 2)
    crown = _rounding(CREASE_RADIUS_MM * rise / (a * a), MAX_CROWN_ROUNDING, fullness) ** 2
    edge = _rounding(CREASE_RADIUS_MM * a / (rise * rise), MAX_EDGE_ROUNDING, fullness) ** 2
    half = fullness / 2.0
    at_crown = crown**half + (1.0 + edge) ** half - 1.0
    at_edge = (1.0 + crown) ** half + edge**half - 1.0
    sum_of_powers = (s * s + crown) ** half + (c * c + edge) ** half - at_crown * c * c - at_edge * s * s
    reach = sum_of_powers ** (-1.0 / fullness)
    return a * reach * s, e + b * reach * c


@dataclass(frozen=True)
class SectionCurve:
    """A section's formula and what its parameter is like."""

    formula: SectionFormula
    round_edges: bool
    """The face turns steeply towards its edges, where tables need more nodes."""
    crease: bool
    """The crown may be a crease."""


_NAMED: dict[Section, SectionCurve] = {
    "half_round": SectionCurve(half_round, round_edges=True, crease=False),
    "flat": SectionCurve(flat, round_edges=False, crease=False),
    "court": SectionCurve(court, round_edges=False, crease=False),
    "knife_edge": SectionCurve(knife_edge, round_edges=False, crease=True),
}


def section_curve(section: Section | None, least_fullness: float) -> SectionCurve:
    """The curve of a named section, or the free section for None."""
    if section is None:
        return SectionCurve(free_section, round_edges=True, crease=least_fullness < 2.0)
    return _NAMED[section]
