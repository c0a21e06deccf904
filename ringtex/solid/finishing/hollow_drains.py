"""A closed hollow: the floor between it and the finger, and the drains through that floor."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from ringtex.band.band import Band
from ringtex.basics.errors import InputError
from ringtex.solid.finishing.hollow_options import HollowOptions
from ringtex.solid.mesh.booleans import as_manifold, from_manifold, marked
from ringtex.solid.mesh.ring_mesh import RingMesh

if TYPE_CHECKING:
    from manifold3d import Manifold


AROUND = 256
"""Columns of the floor: within 0.001 mm of the bore's circle."""

ROWS = 24
"""Rows of the floor across the band, for comfort bores; a straight one is measured with two."""

PAST_FLOOR_MM = 0.12
"""How far a drain reaches beyond the floor: hollows are deeper than this almost to their sides, so roofs stay whole."""

OPEN_SHARE = 0.7
"""Share of a drain's mouth that must lie in the hollow."""

DRAIN_SEGMENTS = 48
"""Segments of a drain's circle."""


def closed_by_floor(band: Band, tool: RingMesh, floor_mm: float) -> RingMesh:
    """The part of an open hollow's body that lies above a floor.

    Parameters:
        band: the band.
        tool: the body of the open hollow.
        floor_mm: thickness of the floor over the bore, mm.
    Returns: a closed mesh.
    Raises: InputError where nothing is left, or what is left comes in several bodies (each would need its own drain).
    """
    left = as_manifold(tool) - as_manifold(_bore_body(band, floor_mm))
    if left.is_empty() or left.volume() <= 0.0:
        raise InputError(
            f"a floor of {floor_mm:g} mm leaves no hollow above it", "Make the floor thinner or open", "hollow.floor"
        )
    parts = left.decompose()
    if len(parts) > 1:
        raise InputError(
            f"a floor of {floor_mm:g} mm cuts the hollow into {len(parts)} parts",
            "Make the reach smaller or the floor thinner, so that it stays in one",
            "hollow.floor",
        )
    return from_manifold(left)


def outside_bore(band: Band, body: Manifold) -> float:
    """Volume of a body, mm3, without what reaches into the finger hole."""
    rows = ROWS if band.bore.rise_mm else 2
    return float(body.volume() - (body ^ as_manifold(_bore_body(band, 0.0, rows))).volume())


def drain_holes(band: Band, options: HollowOptions, hollow: Manifold) -> list[Manifold]:
    """The drains as bodies to cut out, from the finger hole through the floor. Open hollows have none.

    Parameters:
        band, options: the band and its hollow.
        hollow: the hollow's body.
    Returns: one body for each drain.
    Raises: InputError for a drain that does not open into the hollow.
    """
    if options.floor_mm is None:
        return []
    import manifold3d

    holes = []
    for number, drain in enumerate(options.drains):
        angle = float(np.deg2rad(drain.angle_deg))
        outward = np.array([-np.sin(angle), np.cos(angle), 0.0])
        rise = float(band.bore_radius_at(np.array([angle]), np.array([drain.along_mm]))[0]) - band.bore_radius_mm
        radius = 0.5 * drain.diameter_mm
        # The floor is round about the finger: a drain's rim meets it further out than its middle does.
        past_floor = PAST_FLOOR_MM + radius**2 / (2.0 * band.bore_radius_mm)
        length = 1.0 + rise + options.floor_mm + past_floor
        body = manifold3d.Manifold.cylinder(length, radius, circular_segments=DRAIN_SEGMENTS)
        start = (band.bore_radius_mm - 1.0) * outward + np.array([0.0, 0.0, drain.along_mm])
        side = np.array([0.0, 0.0, 1.0])
        frame = np.column_stack((side, np.cross(outward, side), outward, start))
        placed = marked(body.transform(frame), "drain")
        opening = float((placed ^ hollow).volume())
        if opening < OPEN_SHARE * np.pi * radius**2 * PAST_FLOOR_MM:
            message = f"the drain at {drain.angle_deg:g} degrees does not open into the hollow"
            advice = "Move it under the hollow, nearer to the head and to mid-width, or make it narrower"
            raise InputError(message, advice, f"hollow.drains[{number}]")
        holes.append(placed)
    return holes


def _bore_body(band: Band, floor_mm: float, row_count: int = ROWS) -> RingMesh:
    """A plug of the finger hole, floor_mm wider than the bore, longer than the band is wide, in rows across it."""
    theta = 2.0 * np.pi * np.arange(AROUND) / AROUND
    widest = 2.0 * float(np.max(band.half_width(theta))) + 2.0
    z = np.linspace(-0.5 * widest, 0.5 * widest, row_count)
    angle, height = (grid.ravel() for grid in np.meshgrid(theta, z))
    inside = np.clip(height, -band.half_width(angle), band.half_width(angle))
    # Its facets must not come nearer to the bore than the floor.
    radius = (band.bore_radius_at(angle, inside) + floor_mm) / np.cos(np.pi / AROUND)
    rows = np.stack((-radius * np.sin(angle), radius * np.cos(angle), height), axis=1)
    ends = np.array([[0.0, 0.0, z[0]], [0.0, 0.0, z[-1]]])
    number = np.arange(AROUND * row_count).reshape(row_count, AROUND)
    a, b = number[:-1], np.roll(number[:-1], -1, axis=1)
    d, c = number[1:], np.roll(number[1:], -1, axis=1)
    low, high = AROUND * row_count, AROUND * row_count + 1
    first, last = number[0], number[-1]
    faces = (
        np.stack((a.ravel(), b.ravel(), c.ravel()), axis=1),
        np.stack((a.ravel(), c.ravel(), d.ravel()), axis=1),
        np.stack((np.roll(first, -1), first, np.full(AROUND, low)), axis=1),
        np.stack((last, np.roll(last, -1), np.full(AROUND, high)), axis=1),
    )
    return RingMesh(np.concatenate((rows, ends)), np.concatenate(faces).astype(np.int32))
