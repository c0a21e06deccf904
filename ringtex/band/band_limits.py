"""Bands that no one can make or wear, refused by name before anything is built."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ringtex.band.band_options import MIN_EDGE_MM, BandOptions
from ringtex.band.bore import BoreOptions
from ringtex.band.station_curve import StationCurve
from ringtex.basics.arrays import Floats
from ringtex.basics.errors import InputError
from ringtex.basics.tolerances import CREASE_RADIUS_MM

STEEPEST = 2.0
"""Edge and crown lines may run 2 mm across or up for 1 mm round the ring (63 degrees): steeper, the face doubles back
on itself under any relief, and no finger could wear the step."""

_LOOKS = 1440


def refuse_unmakeable(
    options: BandOptions, bore: BoreOptions, bore_radius_mm: float, measures: StationCurve, angles_deg: Sequence[float]
) -> None:
    """Raise `InputError` for a band that is sound station by station but not as a whole.

    Checks 1440 angles: metal over a comfort bore's rise, steepness, court arcs that overhang, creases too steep for
    their radius.

    Parameters:
        options, bore: what was asked for.
        bore_radius_mm: radius of the finger hole.
        measures: half-width, height, edge height and fullness round the ring.
        angles_deg: the stations' angles, checked besides.
    Raises: InputError naming the key and the angle.
    """
    theta = np.linspace(-np.pi, np.pi, _LOOKS, endpoint=False)
    theta = np.concatenate((theta, np.deg2rad(np.asarray(angles_deg, dtype=float))))
    half_width, height, edge, _ = np.moveaxis(np.asarray(measures.at(theta), dtype=float), -1, 0)
    # Heights may sag between stations by 1.5 % of their value; limits are the stations', so a margin is allowed.
    _refuse_thin_edges(bore, theta, edge)
    rise = height - edge
    if options.section == "court":
        _refuse_overhang(theta, half_width, rise)
    if options.section == "knife_edge":
        _refuse_narrow_crease(theta, half_width, rise)
    if not measures.constant:
        _refuse_steep(bore_radius_mm, measures)


def _degrees(theta: float) -> str:
    return f"{(np.rad2deg(theta) + 180.0) % 360.0 - 180.0:.0f} degrees"


def _refuse_thin_edges(bore: BoreOptions, theta: Floats, edge: Floats) -> None:
    worst = int(np.argmin(edge))
    left = edge[worst] - bore.rise_mm
    if left < 0.98 * MIN_EDGE_MM:
        raise InputError(
            f"Near {_degrees(theta[worst])} the comfort bore's rise leaves {max(left, 0.0):.2f} mm at the edges",
            f"Raise the edge height to at least {bore.rise_mm + MIN_EDGE_MM:g} mm there, or lower the bore's rise",
            "bore.rise",
        )


def _refuse_overhang(theta: Floats, half_width: Floats, rise: Floats) -> None:
    over = rise - half_width
    worst = int(np.argmax(over))
    if over[worst] > 1e-9:
        raise InputError(
            f"Near {_degrees(theta[worst])} the court arc rises {rise[worst]:.2f} mm over a width of "
            f"{2.0 * half_width[worst]:.2f} mm and would overhang its edges",
            "Raise the edge height or widen the band there",
            "band.stations",
        )


def _refuse_narrow_crease(theta: Floats, half_width: Floats, rise: Floats) -> None:
    room = half_width**2 - 4.0 * rise * CREASE_RADIUS_MM
    worst = int(np.argmin(room))
    if room[worst] < 0.0:
        raise InputError(
            f"Near {_degrees(theta[worst])} a knife-edge that rises {rise[worst]:.2f} mm over a width of "
            f"{2.0 * half_width[worst]:.2f} mm leaves no room for the crown's radius of {CREASE_RADIUS_MM:g} mm",
            "Widen the band or raise its edges there",
            "band.stations",
        )


def _refuse_steep(bore_radius_mm: float, measures: StationCurve) -> None:
    # Each span is looked at closely, for a step between near stations is shorter than any even spacing.
    share = np.linspace(0.0, 1.0, 33)
    theta = (measures.start[:, None] + measures.span[:, None] * share[None, :-1]).ravel()
    step = np.imag(measures.at(theta + 1e-30j)) / 1e-30
    radius = bore_radius_mm + np.real(measures.at(theta))[:, 1]
    for column, name in ((0, "width"), (1, "height"), (2, "edge height")):
        steep = np.abs(step[:, column]) / radius
        worst = int(np.argmax(steep))
        if not steep[worst] <= STEEPEST:
            raise InputError(
                f"Near {_degrees(theta[worst])} the {name} changes by {steep[worst]:.1f} mm for each mm round the ring",
                f"Move the stations there apart or make them more alike: at most {STEEPEST:g} can be made",
                "band.stations",
            )
