"""The thinnest metal between the relief and the finger hole."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ringtex.band.bore import BoreOptions
from ringtex.basics.arrays import Floats
from ringtex.checks.finding import Finding, Kind, Level
from ringtex.checks.making.making_limits import Limit, MakingLimits
from ringtex.checks.ring_position import as_place, words_for
from ringtex.checks.strip_geometry import BandView
from ringtex.solid.mesh.ring_mesh import RingSolid

_SCAN_STEPS = 33
_TABLE_STEPS = 8192
_REFINE_WITHIN_MM = 0.2
_REFINE_ROUNDS = 40
_GOLDEN = (5.0**0.5 - 1.0) / 2.0


@dataclass(frozen=True)
class ThinnestMetal:
    """Thinnest metal, mm, and its outer vertex: in the band itself, and in the zone along its two edges.

    The edge zone is where a side face is nearer than the bore; there the edge height bounds the metal, by design, and a
    wedge is allowed to be thinner. A band so narrow that it is all edge has its thinnest place in both.
    """

    metal_mm: float
    place: Floats
    edge_mm: float
    edge_place: Floats


def measure_thinnest_metal(solid: RingSolid, band: BandView, kept: NDArray[np.int32] | None = None) -> ThinnestMetal:
    """Nearest distance from every vertex of the outer face to the bore's true surface.

    kept: numbers of the vertices that are still there in a pierced ring; None for all.

    Exact for a straight bore. For a comfort bore the nearest point is sought in the plane of the vertex and the axis;
    where the half-width changes round the ring this is too large by less than 0.1 % (the bore's slope round the ring,
    squared). Between vertices the outer face is flat, so that metal can be thinner by the chord error of the mesh.
    """
    outer = solid.mesh.vertices[: len(solid.strip_positions)]
    outer = outer if kept is None else outer[kept]
    metal, edge_away = metal_to_bore(outer, band)
    at_edge = edge_away < metal
    inner = np.flatnonzero(~at_edge) if not np.all(at_edge) else np.arange(len(outer))
    edge = np.flatnonzero(at_edge) if np.any(at_edge) else np.arange(len(outer))
    thin, thin_edge = inner[np.argmin(metal[inner])], edge[np.argmin(metal[edge])]
    return ThinnestMetal(float(metal[thin]), outer[thin], float(metal[thin_edge]), outer[thin_edge])


def metal_to_bore(places: Floats, band: BandView) -> tuple[Floats, Floats]:
    """(n,) distance (mm) of places (n, 3) from the bore's true surface, and (n,) how far inside the band's edge they
    lie. As exact as `measure_thinnest_metal` where metal is thinnest; elsewhere to some hundredths over a comfort bore.
    """
    out, across = np.hypot(places[:, 0], places[:, 1]) - band.bore_radius_mm, np.abs(places[:, 2])
    half_width = _half_width(band, np.arctan2(-places[:, 0], places[:, 1]))
    return _distance_to_bore(out, across, half_width, band.bore), half_width - across


def _half_width(band: BandView, theta: Floats) -> Floats:
    """Half-widths from a table: right to 1e-6 mm, and a tenth of the time on a band that varies round the ring."""
    if len(theta) <= _TABLE_STEPS:
        return band.half_width(theta)
    table = np.linspace(-np.pi, np.pi, _TABLE_STEPS + 1)
    return np.interp(theta, table, band.half_width(table))


def _distance_to_bore(out: Floats, across: Floats, half_width: Floats, bore: BoreOptions) -> Floats:
    """Signed like `out` (height over the bore radius) where that is negative: the relief has gone through the bore."""
    if bore.rise_mm == 0.0:
        beyond = np.maximum(across - half_width, 0.0)
        straight: Floats = np.copysign(np.hypot(out, beyond), out)
        return straight
    shares = np.linspace(0.0, 1.0, _SCAN_STEPS)
    rises = bore.height_at(shares)
    squared = np.full(len(out), np.inf)
    nearest = np.zeros(len(out))
    for share, rise in zip(shares, rises, strict=True):
        now = np.square(out - rise) + np.square(across - share * half_width)
        closer = now < squared
        squared[closer] = now[closer]
        nearest[closer] = share
    distance = np.sqrt(squared)
    # Only what can be a thinnest place is refined; the scan alone is right to some hundredths.
    for zone in (half_width - across >= distance, half_width - across < distance):
        worst = np.flatnonzero(zone & (distance < np.min(distance[zone], initial=np.inf) + _REFINE_WITHIN_MM))
        distance[worst] = _refined(out[worst], across[worst], half_width[worst], nearest[worst], bore)
    inside_bore = out < bore.height_at(np.minimum(across / half_width, 1.0))
    signed: Floats = np.where(inside_bore, -distance, distance)
    return signed


def _refined(out: Floats, across: Floats, half_width: Floats, nearest: Floats, bore: BoreOptions) -> Floats:
    """Golden-section search within one scan step of the nearest share."""

    def squared(share: Floats) -> Floats:
        near: Floats = np.square(out - bore.height_at(share)) + np.square(across - share * half_width)
        return near

    step = 1.0 / (_SCAN_STEPS - 1)
    low, high = np.maximum(nearest - step, 0.0), np.minimum(nearest + step, 1.0)
    for _ in range(_REFINE_ROUNDS):
        left, right = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
        go_left = squared(left) < squared(right)
        low, high = np.where(go_left, low, left), np.where(go_left, right, high)
    nearest_squared: Floats = np.minimum(np.minimum(squared(low), squared(high)), squared((low + high) / 2.0))
    return np.sqrt(nearest_squared)


def check_thickness(thinnest: ThinnestMetal, limits: MakingLimits) -> list[Finding]:
    """Thin metal under the relief, and thin edges."""
    under = _judged(
        thinnest.metal_mm,
        thinnest.place,
        limits.metal_mm,
        "between the relief and the finger hole",
        "Make the band higher there or the relief shallower",
    )
    edge = _judged(
        thinnest.edge_mm,
        thinnest.edge_place,
        limits.edge_mm,
        "at the edge of the band",
        "Give a larger edge height, or a rail so that the relief stays away from the edge",
    )
    return [*under, *edge]


def _judged(measured: float, place: Floats, limit: Limit, between: str, advice: str) -> list[Finding]:
    level = limit.judge(measured)
    if level is None:
        return []
    message = f"Only {measured:.2f} mm of metal {between}" if measured > 0.0 else f"No metal is left {between}"
    least = limit.least if level is Level.ERROR else limit.near
    where = words_for(place)
    return [Finding(Kind.THIN_METAL, level, message, advice, measured, least, where=where, place=as_place(place))]
