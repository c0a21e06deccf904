"""What the ring weighs as cast, as finished and with its stones, in any alloy, and what the metal costs."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats, Ints, crosses, dots, lengths
from ringtex.basics.errors import InputError
from ringtex.checks.making.alloys import ALLOYS, Alloy, weight_g
from ringtex.checks.making.thickness import outer_faces
from ringtex.solid.finishing.finish import FinishedRing
from ringtex.solid.mesh.half_edges import half_edges, paired_half_edges
from ringtex.solid.mesh.ring_mesh import RingSolid

_TINY = 1e-30
_SHARPEST = np.radians(150.0)

MAX_PRICE: Final = 1_000_000.0
"""A price per gram over this is a slip of the keyboard in any currency with coins."""


@dataclass(frozen=True)
class Amounts:
    """Metal by volume, mm3: as drawn, as it leaves the mould, and when it is finished (no shrinkage in any)."""

    drawn_mm3: float
    cast_mm3: float
    finished_mm3: float


@dataclass(frozen=True)
class AlloyWeights:
    """Weights in one alloy, g: as cast (without sprue), as finished, and that with its stones."""

    alloy: Alloy
    cast_g: float
    finished_g: float
    with_stones_g: float


def measure_amounts(finished: FinishedRing, solid: RingSolid, cast_mm3: float, polish_mm: float) -> Amounts:
    """How much metal there is at each step.

    Finishing is taken to reach every face of the outside and the bore, but no hollow and no seat.

    Parameters:
        finished: the ring as it is made.
        solid: the ring before finishing.
        cast_mm3: volume with the bore as cast, before the shrinkage allowance.
        polish_mm: loss per face, mm.
    Returns: the metal at each step.
    """
    drawn = finished.mesh.volume
    if polish_mm == 0.0:
        return Amounts(drawn, cast_mm3, drawn)
    lost = lost_by_finishing(finished.mesh.vertices, outer_faces(finished, solid), polish_mm)
    return Amounts(drawn, cast_mm3, max(drawn - lost, 0.0))


def lost_by_finishing(vertices: Floats, faces: Ints, loss_mm: float) -> float:
    """Volume (mm3) between triangles and the same moved inwards by loss_mm.

    Area times loss, less what neighbours at a convex edge take twice, more what is rounded out of a concave one: exact
    where faces stay larger than the loss. Source: Steiner's formula, for a polyhedron moved inwards.

    Parameters:
        vertices: (n, 3) mm.
        faces: (m, 3) vertex indices.
        loss_mm: depth taken off every face, mm.
    Returns: the volume lost, mm3.
    """
    places = np.ascontiguousarray(vertices.T)
    a, b, c = (places.take(corner, axis=1) for corner in np.ascontiguousarray(faces.T, dtype=np.intp))
    normals = crosses(b - a, c - a)
    twice = lengths(normals)
    normals /= np.maximum(twice, _TINY)
    start, end = half_edges(faces)
    first, second = paired_half_edges(start, end, len(vertices))
    here, there = normals.take(first // 3, axis=1), normals.take(second // 3, axis=1)
    angle = np.arccos(np.clip(dots(here, there), -1.0, 1.0))
    beginning = places.take(start[first], axis=1)
    # The third corner of the other triangle is the end of the side after the shared one.
    across = places.take(end[second - second % 3 + (second + 1) % 3], axis=1) - beginning
    convex = dots(across, here) < 0.0
    along = beginning - places.take(end[first], axis=1)
    length = lengths(along)
    angle = np.minimum(angle, _SHARPEST)
    twice_taken = np.where(convex, np.tan(angle / 2.0), -angle / 2.0) @ length
    return float(0.5 * np.sum(twice) * loss_mm - twice_taken * loss_mm**2)


def weights_in(amounts: Amounts, alloy: Alloy, stones_g: float) -> AlloyWeights:
    """The weights in one alloy.

    Parameters:
        amounts: the metal at each step.
        alloy: of the ring.
        stones_g: weight of the stones, g.
    Returns: the weights.
    """
    finished = weight_g(amounts.finished_mm3, alloy)
    return AlloyWeights(alloy, weight_g(amounts.cast_mm3, alloy), finished, finished + stones_g)


def weights_in_every_alloy(amounts: Amounts, stones_g: float) -> list[AlloyWeights]:
    """The weights in every metal of the table, in its order."""
    return [weights_in(amounts, alloy, stones_g) for alloy in ALLOYS.values() if alloy.is_metal]


def metal_cost(weights: AlloyWeights, price_per_g: float) -> float:
    """What the metal as cast costs, in the price's currency; sprue, loss and work not counted.

    Raises: InputError for a price that is none.
    """
    return weights.cast_g * checked_price(price_per_g)


def checked_price(price_per_g: float) -> float:
    """The price if it is one. Raises: InputError."""
    if not (math.isfinite(price_per_g) and 0.0 <= price_per_g <= MAX_PRICE):
        raise InputError(f"{price_per_g:g} is no price per gram", f"Give 0 to {MAX_PRICE:g}", "--price")
    return price_per_g
