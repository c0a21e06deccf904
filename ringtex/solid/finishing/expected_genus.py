"""How many holes a finished ring must have through it, worked out from its design and not from its mesh."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from ringtex.band.band import Band
from ringtex.basics.arrays import Floats
from ringtex.solid.finishing.hollow_options import Drain, HollowOptions

if TYPE_CHECKING:
    from manifold3d import Manifold

    from ringtex.solid.finishing.stone_seats import SetStone


def expected_genus(
    band: Band,
    hollow: HollowOptions | None,
    hollow_body: Manifold | None,
    stones: tuple[SetStone, ...],
    pierced: int = 0,
) -> int:
    """Genus of the finished ring, worked out from its design and not from its mesh.

    The finger hole is one. Every stone's hole that goes through, and every pierced cell, is one more. An open hollow is
    a pocket in the bore and adds none. A closed hollow is an inner shell until something opens it: of n openings
    between it and the outside, the first joins the shell to the outside and each other one adds a hole. Drains open it
    once; a stone's hole opens it twice (roof and floor), of which its own passage through the ring is one already
    counted. Holes that have run into one by both faces of the floor count once there (where they meet at one face only,
    the web between them still makes them two).

    Holes that meet in the metal, or break out at an edge, are not covered; the checks report those stones.

    Parameters:
        band: the band.
        hollow, hollow_body: the hollow's options and its body, or None.
        stones: the stones in their seats.
        pierced: number of pierced cells.
    Returns: the genus.
    """
    holes = [each for each in stones if each.place.through]
    genus = 1 + len(holes) + pierced
    if hollow is None or hollow.floor_mm is None or hollow_body is None:
        return genus
    from ringtex.solid.finishing.stone_seats import seat_cutter

    drilled = [_drain_axis(band, drain, hollow.floor_mm) for drain in hollow.drains]
    radius = [0.5 * drain.diameter_mm for drain in hollow.drains]
    for each in holes:
        if not (hollow_body ^ seat_cutter(each.stone, each.place)).is_empty():
            drilled.append(_hole_axis(each, hollow.floor_mm))
            radius.append(0.5 * each.stone.hole * each.stone.diameter_mm)
    return genus + _count_separate(np.array(drilled), np.array(radius)) - 1


def _drain_axis(band: Band, drain: Drain, floor_mm: float) -> Floats:
    """(2, 3) where a drain's axis meets the bore, and the floor's other face."""
    angle = np.deg2rad(drain.angle_deg)
    rise = float(band.bore_radius_at(np.array([angle]), np.array([drain.along_mm]))[0])
    radius = np.array([[rise], [rise + floor_mm]])
    return np.hstack((radius * [-np.sin(angle), np.cos(angle)], np.full((2, 1), drain.along_mm)))


def _hole_axis(each: SetStone, floor_mm: float) -> Floats:
    """The same of a stone's hole."""
    depths = np.array([[each.place.metal_mm], [each.place.metal_mm - floor_mm]])
    return np.asarray(each.place.table - depths * each.place.axis)


def _count_separate(axes: Floats, radius: Floats) -> int:
    """How many separate holes there are among those along axes (n, 2, 3)."""
    apart = np.linalg.norm(axes[:, None] - axes[None, :], axis=-1)
    merged = np.all(apart <= (radius[:, None] + radius[None, :])[..., None], axis=-1)
    count = len(axes)
    group = np.arange(count)
    while True:
        lower = np.min(np.where(merged, group[None, :], count), axis=1)
        if np.array_equal(lower, group):
            return len(np.unique(group))
        group = lower
