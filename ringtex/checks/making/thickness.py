"""The thinnest metal: between the relief and the finger hole, at the edges, beside a hollow and over letters."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ringtex.band.bore import BoreOptions
from ringtex.basics.arrays import Floats, Ints, sorted_unique
from ringtex.checks.finding import Finding, Kind
from ringtex.checks.making.making_limits import MakingLimits, judged
from ringtex.checks.strip_geometry import BandView
from ringtex.solid.finishing.finish import FinishedRing
from ringtex.solid.mesh.booleans import original_number
from ringtex.solid.mesh.ring_mesh import RingSolid
from ringtex.solid.mesh.triangle_distance import SampledTriangles, least_distance

_SCAN_STEPS = 33
_SCANNED_AT_ONCE = 16384
_TABLE_STEPS = 8192
_REFINE_WITHIN_MM = 0.2
_REFINE_ROUNDS = 40
_GOLDEN = (5.0**0.5 - 1.0) / 2.0

ADDED: Final = ("collar", "plain")
"""Parts that lie on the ring's outside beside its own faces."""


SPACING_MM: Final = 0.5
"""Distance of the places along an edge at which a wall is measured: by Pythagoras a wall of 0.7 is at most 0.05 thinner
halfway between two, and that only over a needle's point. A hollow lies level with the outside."""

MAX_PARTS: Final = 64
"""Parts of one edge: a hollow's longest, from roof to bore, is some 10 mm."""


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

    Parameters:
        solid: the ring before finishing.
        band: the ring's band.
        kept: indices of the vertices that a pierced ring still has; None for all.
    Returns: the least distance and where it is.
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
    half_width = band.half_width(table)
    if np.ptp(half_width) == 0.0:
        return np.full(len(theta), half_width[0])
    return np.interp(theta, table, half_width)


def _distance_to_bore(out: Floats, across: Floats, half_width: Floats, bore: BoreOptions) -> Floats:
    """Signed like `out` (height over the bore radius) where that is negative: the relief has gone through the bore."""
    if bore.rise_mm == 0.0:
        beyond = np.maximum(across - half_width, 0.0)
        straight: Floats = np.copysign(np.hypot(out, beyond), out)
        return straight
    distance, nearest = _scanned(out, across, half_width, bore)
    # Only what can be a thinnest place is refined; the scan alone is right to some hundredths.
    for zone in (half_width - across >= distance, half_width - across < distance):
        worst = np.flatnonzero(zone & (distance < np.min(distance[zone], initial=np.inf) + _REFINE_WITHIN_MM))
        distance[worst] = _refined(out[worst], across[worst], half_width[worst], nearest[worst], bore)
    inside_bore = out < bore.height_at(np.minimum(across / half_width, 1.0))
    signed: Floats = np.where(inside_bore, -distance, distance)
    return signed


def _scanned(out: Floats, across: Floats, half_width: Floats, bore: BoreOptions) -> tuple[Floats, Floats]:
    """(n,) least distance from even steps across the bore, and (n,) the ratio of the half-width of the nearest one."""
    squared, nearest = np.full(len(out), np.inf), np.zeros(len(out))
    ratios = np.linspace(0.0, 1.0, _SCAN_STEPS)
    rises = bore.height_at(ratios)
    for start in range(0, len(out), _SCANNED_AT_ONCE):
        part = slice(start, start + _SCANNED_AT_ONCE)
        least, at, height, from_middle, half = (each[part] for each in (squared, nearest, out, across, half_width))
        for ratio, rise in zip(ratios, rises, strict=True):
            now = np.square(height - rise)
            now += np.square(from_middle - ratio * half)
            np.copyto(at, ratio, where=now < least)
            np.minimum(least, now, out=least)
    return np.sqrt(squared), nearest


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
    metal, edge = thinnest.metal_mm, thinnest.edge_mm
    message = _only(metal, "between the relief and the finger hole")
    advice = "Make the band higher there or the relief shallower"
    found = judged(Kind.THIN_METAL, limits, "metal_mm", metal, message, advice, thinnest.place)
    message = _only(edge, "at the edge of the band")
    advice = "Give a larger edge height, or a rail so that the relief stays away from the edge"
    return [*found, *judged(Kind.THIN_METAL, limits, "edge_mm", edge, message, advice, thinnest.edge_place)]


def _only(measured: float, where: str) -> str:
    return f"Only {measured:.2f} mm of metal {where}" if measured > 0.0 else f"No metal is left {where}"


@dataclass(frozen=True)
class HollowWall:
    """Thinnest metal between the hollow and the outside, mm, and its place on the hollow's side.

    floor_mm, floor_place: the same between a closed hollow and the finger hole, inscriptions included; None where open.
    """

    wall_mm: float
    place: Floats
    floor_mm: float | None = None
    floor_place: Floats | None = None


def measure_hollow_wall(
    finished: FinishedRing, solid: RingSolid, outside: SampledTriangles | None = None
) -> HollowWall | None:
    """Nearest distance from the hollow's own faces to the ring's outer face, relief and sides; None without a hollow.

    Exact to the outer triangles from places all over the hollow's faces, their rims and insides included. Seats, drains
    and the opening to the finger are no part of the outside, so that a wall that ends at them by design is not thin.

    Parameters:
        finished, solid: the ring as it is made, and before.
        outside: its `outer_triangles`, where they are at hand.
    Returns: the least distances and where they are.
    """
    own = finished.original_id == original_number("hollow")
    if finished.hollow is None or not np.any(own):
        return None
    vertices = finished.mesh.vertices
    places = _spread(vertices, finished.mesh.faces[own])
    wall, place = least_distance(places, outer_triangles(finished, solid) if outside is None else outside)
    if not finished.hollow_closed:
        return HollowWall(wall, place)
    return HollowWall(wall, place, *least_distance(places, SampledTriangles(vertices, _bore_faces(finished, solid))))


def _spread(vertices: Floats, faces: Ints) -> Floats:
    """(p, 3) places all over faces (n, 3): their corners and middles, and along every edge at most SPACING_MM apart."""
    start, end = faces.astype(np.int64), faces[:, [1, 2, 0]]
    sides = sorted_unique(np.minimum(start, end) * len(vertices) + np.maximum(start, end))
    ends = vertices[np.column_stack(np.divmod(sides, len(vertices)))]
    length = np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1)
    parts = np.clip(np.ceil(length / SPACING_MM), 1, MAX_PARTS).astype(np.int64)
    places = [vertices[sorted_unique(faces)], vertices[faces].mean(axis=1)]
    for count in np.unique(parts[parts > 1]):
        share = (np.arange(1, count) / count)[None, :, None]
        start, end = ends[parts == count, :1], ends[parts == count, 1:]
        places.append((start + share * (end - start)).reshape(-1, 3))
    return np.concatenate(places)


def outer_faces(finished: FinishedRing, solid: RingSolid) -> Ints:
    """(k, 3) triangles of the finished mesh that lie on the outer face, its relief and the sides."""
    before_bore = solid.face_ranges["sides"].stop
    outside = (finished.original_id == original_number("ring")) & (finished.face_id < before_bore)
    for name in ADDED:
        outside |= finished.original_id == original_number(name)
    return np.asarray(finished.mesh.faces[outside])


def outer_triangles(finished: FinishedRing, solid: RingSolid) -> SampledTriangles:
    """The triangles of `outer_faces`, for searches."""
    return SampledTriangles(finished.mesh.vertices, outer_faces(finished, solid))


def _bore_faces(finished: FinishedRing, solid: RingSolid) -> Ints:
    bore = (finished.original_id == original_number("ring")) & (finished.face_id >= solid.face_ranges["bore"].start)
    return np.asarray(finished.mesh.faces[bore | (finished.original_id == original_number("inscription"))])


def check_hollow_wall(wall: HollowWall | None, limits: MakingLimits) -> list[Finding]:
    """A wall or a floor that is thin to cast and to wear."""
    if wall is None:
        return []
    sides = [(wall.wall_mm, wall.place, "the outside", "wall or lip")]
    if wall.floor_mm is not None and wall.floor_place is not None:
        sides.append((wall.floor_mm, wall.floor_place, "the finger", "floor"))
    found: list[Finding] = []
    for measured, place, side, part in sides:
        message = _only(measured, f"between the hollow and {side}")
        found += judged(
            Kind.THIN_METAL,
            limits,
            "hollow_wall_mm",
            measured,
            message,
            lambda least, part=part: f"Make the hollow's {part} {least:g} mm or more",  # type: ignore[misc]
            place,
        )
    return found


@dataclass(frozen=True)
class LettersMetal:
    """Thinnest metal between the letters and the outside, mm, and its place on the letters."""

    metal_mm: float
    place: Floats


def measure_letters(
    finished: FinishedRing, solid: RingSolid, outside: SampledTriangles | None = None
) -> LettersMetal | None:
    """The nearest distance from the letters to the outside on the finished mesh; None without an inscription.

    Letters that stand into the finger hole leave more than the bore does.

    Parameters:
        finished, solid: the ring as it is made, and before.
        outside: its `outer_triangles`, where they are at hand.
    Returns: the least distance and where it is.
    """
    own = finished.original_id == original_number("inscription")
    if not np.any(own):
        return None
    vertices = finished.mesh.vertices
    letters = vertices[sorted_unique(finished.mesh.faces[own])]
    return LettersMetal(*least_distance(letters, outer_triangles(finished, solid) if outside is None else outside))


def check_inscription(letters: LettersMetal | None, limits: MakingLimits) -> list[Finding]:
    """Thin metal between the letters and the outside."""
    if letters is None:
        return []
    message = _only(letters.metal_mm, "between the inscription and the relief")
    advice = "Make the letters shallower, or the band higher there"
    return judged(Kind.THIN_METAL, limits, "metal_mm", letters.metal_mm, message, advice, letters.place)
