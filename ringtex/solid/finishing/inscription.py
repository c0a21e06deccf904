"""Letters in the bore, as a body to cut or to join."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

import numpy as np

from ringtex.band.band import Band
from ringtex.basics.arrays import Floats
from ringtex.basics.errors import InputError
from ringtex.solid.finishing.hollow_options import HollowOptions
from ringtex.solid.finishing.inscription_options import InscriptionOptions
from ringtex.solid.finishing.letter_outlines import text_outlines
from ringtex.solid.mesh.booleans import as_manifold, from_manifold
from ringtex.solid.mesh.ring_mesh import RingMesh

if TYPE_CHECKING:
    from manifold3d import CrossSection, Manifold

    from ringtex.solid.finishing.pierced_cells import PiercedCells

OVERLAP_MM: Final = 0.15
"""How far letters reach over the bore's face to the other side: into the metal where they stand, into the finger hole
where they are cut."""

ARC_FRACTION: Final = 0.8
"""Fraction of the chord tolerance that edges round the ring may take: the middle of a triangle may lie deeper."""

MAX_TURN_FRACTION: Final = 0.97
"""A line that is longer than this fraction of the bore's circumference would run into itself."""

BORDER_MM: Final = 0.15
"""Plain bore that is left between the letters and the band's edges."""

MIN_FLOOR_MM: Final = 0.3
"""Metal that letters must leave of a closed hollow's floor."""


CLEAR_MM: Final = 0.02
"""How far raised letters stay away from holes, beside what the holes' walls may be off: faces in one place would leave
the union to rounding, and where they cross twice a slit is left."""

ARC_SEGMENTS: Final = 24
"""Of a whole turn round a hole's corners."""


def letters(
    band: Band, options: InscriptionOptions, hollow: HollowOptions | None, pierced: PiercedCells | None, chord_mm: float
) -> Manifold:
    """The letters as a body bent to the bore: to be joined where they are raised, else to be cut.

    Read from inside the finger hole with the +z edge up, x runs to the right: towards smaller angles.

    Parameters:
        band: whose bore is written in.
        options: text, font, size and position.
        hollow: which the letters must leave whole, or None.
        pierced: whose holes raised letters leave open, or None.
        chord_mm: how far curves may lie from their polygons.
    Returns: the body in the ring's coordinates, mm.
    Raises: InputError where the line does not fit.
    """
    import manifold3d

    lines = text_outlines(options.text, options.font, options.height_mm, chord_mm)
    if not lines:
        raise InputError("the inscription has no letters", "Write some, or set inscription to null", "inscription.text")
    points = np.concatenate(lines)
    theta, z = _on_bore(band, options, points[:, 0], points[:, 1])
    _refuse_outside(band, options, points, theta, z)
    _refuse_in_hollow(band, options, hollow, theta, z)
    flat = manifold3d.CrossSection(list(lines), manifold3d.FillRule.NonZero)
    if options.raised and pierced is not None and pierced.count:
        flat -= _holes(band, options, pierced, points, chord_mm)
        if flat.is_empty():
            message = "the raised letters have no metal to stand on: they lie over pierced cells alone"
            raise InputError(message, "Turn or move them, make them larger, or cut them", "inscription.angle")
    thick = options.depth_mm + OVERLAP_MM
    step = math.sqrt(8.0 * ARC_FRACTION * chord_mm * band.bore_radius_mm)
    body = from_manifold(flat.extrude(thick).refine_to_length(step))
    x, y, up = body.vertices.T
    theta, z = _on_bore(band, options, x, y)
    # The extrusion's own height runs towards the finger, so that (right, up, finger) stays right-handed.
    outermost = OVERLAP_MM if options.raised else options.depth_mm
    radius = band.bore_radius_at(theta, z) + outermost - up
    bent = np.column_stack((-radius * np.sin(theta), radius * np.cos(theta), z))
    return as_manifold(RingMesh(bent, body.faces), "inscription")


def _on_bore(band: Band, options: InscriptionOptions, x: Floats, y: Floats) -> tuple[Floats, Floats]:
    """theta and z of points of the line, x to the right and y up, as seen from inside."""
    return math.radians(options.angle_deg) - x / band.bore_radius_mm, options.along_mm + y


def _holes(
    band: Band, options: InscriptionOptions, pierced: PiercedCells, points: Floats, chord_mm: float
) -> CrossSection:
    """The pierced cells as the line's own plane has them, somewhat larger; points (n, 2) are the line's."""
    import manifold3d

    x = (math.radians(options.angle_deg) - pierced.theta) * band.bore_radius_mm
    first = pierced.outlines.start[:-1]
    begin, end = np.minimum.reduceat(x, first), np.maximum.reduceat(x, first)
    outlines = np.split(np.column_stack((x, pierced.z - options.along_mm)), first[1:])
    low, high = np.min(points[:, 0]) - 1.0, np.max(points[:, 0]) + 1.0
    turn = 2.0 * math.pi * band.bore_radius_mm
    near = [
        outlines[number] + np.array([shift, 0.0])
        for shift in (-turn, 0.0, turn)
        for number in np.flatnonzero((end + shift > low) & (begin + shift < high)).tolist()
    ]
    holes = manifold3d.CrossSection(near, manifold3d.FillRule.EvenOdd)
    return holes.offset(CLEAR_MM + chord_mm, manifold3d.JoinType.Round, 2.0, ARC_SEGMENTS)


def _refuse_outside(band: Band, options: InscriptionOptions, points: Floats, theta: Floats, z: Floats) -> None:
    turn = 2.0 * math.pi * band.bore_radius_mm
    length = float(np.ptp(points[:, 0]))
    if length > MAX_TURN_FRACTION * turn:
        message = f"the line is {length:.1f} mm long, and the bore only {turn:.1f} mm round"
        raise InputError(message, "Make the letters smaller, or the text shorter", "inscription.height")
    clearance = band.half_width(theta) - np.abs(z)
    if np.min(clearance) < BORDER_MM:
        message = f"the letters come within {float(np.min(clearance)):.2f} mm of the band's edge"
        advice = f"Make them smaller or move them, so that {BORDER_MM:g} mm are left"
        raise InputError(message, advice, "inscription.height")


def _refuse_in_hollow(
    band: Band, options: InscriptionOptions, hollow: HollowOptions | None, theta: Floats, z: Floats
) -> None:
    if hollow is None:
        return
    if hollow.floor_mm is not None:
        if not options.raised and options.depth_mm > hollow.floor_mm - MIN_FLOOR_MM:
            message = f"letters {options.depth_mm:g} mm deep leave too little of the hollow's floor"
            raise InputError(message, "Make them shallower, or the floor thicker", "inscription.depth")
        return
    turned = np.abs(theta - 2.0 * math.pi * np.rint(theta / (2.0 * math.pi)))
    inside = (turned < math.radians(hollow.reach_deg)) & (np.abs(z) < band.half_width(theta) - hollow.lip_mm)
    if np.any(inside):
        message = "the letters would lie over the hollow's opening"
        raise InputError(message, "Move them to the palm side, or make the hollow's reach smaller", "inscription.angle")
