"""Reflection lines: how straight stripes of light lie on the metal. Where they kink the surface does, where they have
corners its curvature jumps; on a fair surface they flow (Klass 1980; from memory).
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.floating]

STRIPES: Final = 28
"""Dark stripes in a full turn: on a ring a few millimetres apart."""

SOFTNESS: Final = 0.25
"""Share of a stripe over which dark goes over to light."""


def reflection_values(normals: Floats, towards_eye: Floats, along: Floats, stripes: int = STRIPES) -> Floats:
    """(n,) 0 in dark to 1 in light stripes.

    Parameters: normals (n, 3), unit, outwards; towards_eye (n, 3) or (3,), unit; along (3,), the direction that the
    stripes run in: they lie on a far round wall about it, so that lines and not distances count.
    """
    facing = np.sum(normals * towards_eye, axis=-1, keepdims=True)
    return stripes_on_wall(2.0 * facing * normals - towards_eye, along, stripes)


def stripes_on_wall(directions: Floats, along: Floats, stripes: int = STRIPES) -> Floats:
    """(n,) 0 dark to 1 light of the wall in unit directions (n, 3)."""
    along = np.asarray(along) / np.linalg.norm(along)
    # Any two directions square to the stripes; the least part of `along` says which axis is well off it.
    first = np.cross(along, np.eye(3)[int(np.argmin(np.abs(along)))])
    first /= np.linalg.norm(first)
    second = np.cross(along, first)
    angle = np.arctan2(directions @ second, directions @ first)
    return np.asarray(np.clip(0.5 + np.sin(stripes * angle) / (2.0 * SOFTNESS), 0.0, 1.0))
