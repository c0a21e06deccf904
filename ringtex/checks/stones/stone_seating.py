"""How stones sit: how near to each other, to the band's edges and to the hollow, and how much metal carries them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats, Ints, Longs
from ringtex.checks.making.thickness import outer_triangles
from ringtex.solid.finishing.finish import FinishedRing
from ringtex.solid.finishing.stone_options import Stone
from ringtex.solid.finishing.stone_seats import SetStone, square_to
from ringtex.solid.mesh.booleans import original_number
from ringtex.solid.mesh.ring_mesh import RingMesh, RingSolid
from ringtex.solid.mesh.triangle_distance import PAIRS_AT_ONCE, SampledTriangles, least_distance

AROUND: Final = 96
"""Places on a girdle's circle: distances between two such circles of 5 mm are right to 0.002 mm."""

STEPS: Final = 65
"""Places along a hole from which distances are taken: the nearest is right to 1e-3 mm in 10 mm of metal."""

AS_ONE: Final = 0.8
"""Holes whose middles end nearer than this share of their radii's sum have become one there, as under a head."""

_POINT_MM2: Final = 1e-12
"""A stone as deep as the metal leaves a hole without length, which is then the place where it ends."""

BEYOND_HOLE_MM: Final = 0.02
"""A rim this much wider than the hole lies on the bearing: ten times what the hole's facets take off its circle."""

BESIDE_MM: Final = 0.05
"""The metal beside a stone is looked at this far outside of its girdle, where no seat is cut."""

REACH_MM: Final = 1.0
"""A seat's own faces end within this of its hole's ends."""


@dataclass(frozen=True)
class StoneRims:
    """How the seat of one stone meets the hollow.

    rims: closed lines along which seat and hollow meet; a hole through a roof has one, through roof and floor two.
    meets_bore: the seat's hole also ends in the finger hole's own face. on_bearing_mm: how far a rim reaches out on to
    the bearing that carries the stone, over the hole's radius; 0 where all rims lie in the hole.
    """

    rims: int
    meets_bore: bool
    on_bearing_mm: float


@dataclass(frozen=True)
class StoneSeating:
    """One stone as it sits; lengths mm, infinity where there is nothing near.

    gap_mm: metal to the nearest other stone's girdle. hole_gap_mm: metal between its hole and another's inside the
    ring, save for holes that have come together where they end.
    edge_mm: from girdle, or from its hole in the finger hole, to the
    band's side. culet_mm: from the culet to the finger hole, along the stone's axis. seat_mm: metal between girdle and
    hollow. rims: how its seat meets the hollow. wall_mm: how far the metal beside it stands over its girdle, at the
    lowest; negative where it lies lower. cuts_letter: its hole runs into a letter of the inscription.
    """

    gap_mm: float
    hole_gap_mm: float
    edge_mm: float
    culet_mm: float
    seat_mm: float
    rims: StoneRims
    wall_mm: float = np.inf
    cuts_letter: bool = False


def measure_stones(
    finished: FinishedRing, solid: RingSolid, outside: SampledTriangles | None = None
) -> list[StoneSeating]:
    """Every stone's seating; between meshes exact, save for AROUND.

    Parameters:
        finished, solid: the ring as it is made, and before.
        outside: its `outer_triangles`, where they are at hand.
    Returns: in the order of the stones.
    """
    if not finished.stones:
        return []
    circles = np.array([_circle(each, each.stone.diameter_mm, _girdle(each.stone)) for each in finished.stones])
    exits = np.array(
        [_circle(each, each.stone.hole * each.stone.diameter_mm, -each.place.metal_mm) for each in finished.stones]
    )
    sides = solid.mesh.faces[solid.face_ranges["sides"]]
    edge = np.minimum(*_least((circles, exits), solid.mesh, sides))
    hollow = finished.mesh.faces[finished.original_id == original_number("hollow")]
    (seat,) = _least((circles,), finished.mesh, hollow)
    rims = stone_rims(finished, solid.face_ranges["bore"].start)
    outside = outer_triangles(finished, solid) if outside is None else outside
    letters = _cut_letters(finished)
    return [
        StoneSeating(
            _gap(finished.stones, circles, number),
            hole_gap(finished.stones, number),
            float(edge[number]),
            each.place.metal_mm - each.stone.depth_mm,
            float(seat[number]),
            rims[number],
            _lowest_metal(each, outside),
            number in letters,
        )
        for number, each in enumerate(finished.stones)
    ]


def _girdle(stone: Stone) -> float:
    """Height of the girdle's lower edge over the table: below it."""
    return -stone.diameter_mm * (stone.proportions.crown_height + stone.proportions.girdle)


def _circle(each: SetStone, diameter: float, height: float) -> Floats:
    """(AROUND, 3) places on a circle about a stone's axis."""
    axis = each.place.axis
    side = square_to(axis)
    angle = 2.0 * np.pi * np.arange(AROUND)[:, None] / AROUND
    spoke = np.cos(angle) * side + np.sin(angle) * np.cross(axis, side)
    return np.asarray(each.place.table + height * axis + 0.5 * diameter * spoke)


def _least(groups: tuple[Floats, ...], mesh: RingMesh, faces: NDArray[np.int32]) -> list[Floats]:
    """For each group of circles (stones, p, 3), the least distance of each circle from the triangles."""
    if len(faces) == 0:
        return [np.full(len(circles), np.inf) for circles in groups]
    triangles = SampledTriangles(mesh.vertices, faces)
    return [np.array([least_distance(circle, triangles)[0] for circle in circles]) for circles in groups]


def _lowest_metal(each: SetStone, outside: SampledTriangles) -> float:
    """Least height of the outside over a girdle, just beside it and along the stone's axis, mm.

    Negative where the outside lies under the girdle; minus infinity where it ends within the girdle.
    """
    circle = _circle(each, each.stone.diameter_mm + 2.0 * BESIDE_MM, _girdle(each.stone))
    axis, middle = each.place.axis, circle.mean(axis=0)
    extent = float(np.max(np.linalg.norm(circle - middle, axis=1)))
    right = (circle[0] - middle) / extent
    frame = np.stack((right, np.cross(axis, right), axis))
    under = -each.stone.depth_mm - each.stone.diameter_mm
    # The far side of the ring lies under the finger, further down than any stone reaches.
    vertices, faces = (outside.vertices - middle) @ frame.T, outside.faces
    points = (circle - middle) @ frame.T
    for across in vertices.T[:2]:
        least, most = _bounds(across, faces)
        faces = faces[(least <= extent) & (most >= -extent)]
    corners = vertices[faces[_bounds(vertices[:, 2], faces)[1] > under]]
    a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
    double = _cross(b - a, c - a)
    keep = np.abs(double) > 1e-12
    a, b, c, double = a[keep], b[keep], c[keep], double[keep]
    height = np.full(len(points), -np.inf)
    step = max(1, PAIRS_AT_ONCE // max(len(a), 1))
    for first in range(0, len(points), step):
        point = points[first : first + step, None]
        at_b, at_c = _cross(point - a, c - a) / double, _cross(b - a, point - a) / double
        over = a[:, 2] + at_b * (b[:, 2] - a[:, 2]) + at_c * (c[:, 2] - a[:, 2])
        hit = (at_b >= -1e-9) & (at_c >= -1e-9) & (at_b + at_c <= 1.0 + 1e-9)
        height[first : first + step] = np.max(over, axis=1, where=hit, initial=-np.inf)
    return float(np.min(height))


def _bounds(values: Floats, faces: Ints | Longs) -> tuple[Floats, Floats]:
    """(k,) least and greatest value at the corners of each triangle."""
    first, second, third = (values[faces[:, corner]] for corner in range(3))
    return np.minimum(np.minimum(first, second), third), np.maximum(np.maximum(first, second), third)


def _cross(one: Floats, other: Floats) -> Floats:
    """(...) cross product of the first two coordinates."""
    return np.asarray(one[..., 0] * other[..., 1] - one[..., 1] * other[..., 0])


def _cut_letters(finished: FinishedRing) -> set[int]:
    """Numbers of the stones whose seats meet a letter."""
    faces, original = finished.mesh.faces, finished.original_id
    own = [faces[original == original_number(name)] for name in ("inscription", "seat")]
    shared = np.intersect1d(*own)
    owner, _ = _nearest_stone(finished, finished.mesh.vertices[shared])
    return {int(number) for number in owner}


def _gap(stones: tuple[SetStone, ...], circles: Floats, number: int) -> float:
    """From one girdle to the nearest other, negative by how far two of them overlap."""
    from scipy.spatial import cKDTree

    middle = circles.mean(axis=1)
    radius = np.array([0.5 * each.stone.diameter_mm for each in stones])
    apart = np.linalg.norm(middle - middle[number], axis=1) - radius - radius[number]
    apart[number] = np.inf
    near = np.flatnonzero(apart < 1.0)
    if len(near) == 0:
        return float(np.min(apart))
    clear = near[apart[near] > 0.0]
    if len(clear) < len(near):
        return float(np.min(apart[near]))
    # Tilted girdles come nearer than their middles tell.
    return float(np.min(cKDTree(circles[clear].reshape(-1, 3)).query(circles[number])[0]))


def hole_gap(stones: tuple[SetStone, ...], number: int) -> float:
    """Metal between the hole of one stone and the nearest other one, mm; negative where they meet.

    Holes that have come together at the finger hole do not count: they lean towards each other and end as one, which
    is usual under a head. Those that meet on the way and part again leave a web between them.
    """
    if not stones[number].place.through:
        return float("inf")
    starts, ends, radii = _ways(stones)
    along = np.linspace(0.0, 1.0, STEPS)[:, None]
    own = starts[number] + along * (ends[number] - starts[number])
    run = ends - starts
    away = own[:, None, :] - starts
    share = np.clip(np.sum(away * run, axis=2) / np.maximum(np.sum(run * run, axis=1), _POINT_MM2), 0.0, 1.0)
    apart = np.min(np.linalg.norm(away - share[..., None] * run, axis=2), axis=0)
    reach = radii + radii[number]
    at_end = np.linalg.norm(ends - ends[number], axis=1)
    through = np.array([each.place.through for each in stones])
    judged = through & (at_end > AS_ONE * reach)
    judged[number] = False
    return float(np.min((apart - reach)[judged], initial=np.inf))


def _ways(stones: tuple[SetStone, ...]) -> tuple[Floats, Floats, Floats]:
    """(n, 3) where each hole begins under its bearing and where it ends at the finger hole; (n,) its radius."""
    table = np.array([each.place.table for each in stones])
    axis = np.array([each.place.axis for each in stones])
    girdle = np.array([each.stone.depth_mm * 0.5 for each in stones])
    metal = np.array([each.place.metal_mm for each in stones])
    radius = np.array([0.5 * each.stone.hole * each.stone.diameter_mm for each in stones])
    return table - np.minimum(girdle, metal)[:, None] * axis, table - metal[:, None] * axis, radius


def stone_rims(finished: FinishedRing, first_bore_face: int) -> list[StoneRims]:
    """For every stone, in order. first_bore_face: number of the first bore face of the ring before it was finished."""
    part, faces = finished.original_id, finished.mesh.faces
    seat, hollow = part == original_number("seat"), part == original_number("hollow")
    bore = (part == original_number("ring")) & (finished.face_id >= first_bore_face)
    vertices = finished.mesh.vertices
    edges = _shared_edges(faces[seat], faces[hollow], len(vertices))
    ends = np.column_stack(np.divmod(edges, len(vertices)))
    bore_ends = np.intersect1d(faces[seat], faces[bore])
    owner, radius = _nearest_stone(finished, vertices[ends[:, 0]])
    bore_owner, _ = _nearest_stone(finished, vertices[bore_ends])
    found = []
    for number, each in enumerate(finished.stones):
        mine = owner == number
        hole = 0.5 * each.stone.hole * each.stone.diameter_mm
        out = float(np.max(radius[mine] - hole, initial=0.0))
        reaches = out if out > BEYOND_HOLE_MM else 0.0
        found.append(StoneRims(_loops(ends[mine]), bool(np.any(bore_owner == number)), reaches))
    return found


def _shared_edges(first: NDArray[np.int32], second: NDArray[np.int32], count: int) -> Longs:
    """Edges, low vertex * count + high vertex, that triangles of both groups have."""

    def edges(faces: NDArray[np.int32]) -> Longs:
        start = faces.astype(np.int64)
        end = start[:, [1, 2, 0]]
        return np.asarray((np.minimum(start, end) * count + np.maximum(start, end)).ravel())

    return np.intersect1d(edges(first), edges(second))


def _nearest_stone(finished: FinishedRing, places: Floats) -> tuple[Longs, Floats]:
    """(n,) the stone whose axis each place is nearest to, and its distance from that axis."""
    if len(finished.stones) == 0 or len(places) == 0:
        return np.zeros(len(places), dtype=np.int64), np.zeros(len(places))
    table = np.array([each.place.table for each in finished.stones])
    axis = np.array([each.place.axis for each in finished.stones])
    away = places[:, None, :] - table
    along = np.sum(away * axis, axis=2)
    off = np.linalg.norm(away - along[..., None] * axis, axis=2)
    # Beyond the hole's ends lies the other side of the ring.
    depth = np.array([each.place.hole_mm for each in finished.stones])
    off = np.where((along <= REACH_MM) & (along >= -depth - REACH_MM), off, np.inf)
    # By their own holes' radii: the rim of a wide hole comes near to the axis of a narrow one beside it.
    owner = np.argmin(off / [each.stone.hole * each.stone.diameter_mm for each in finished.stones], axis=1)
    return owner, off[np.arange(len(places)), owner]


def _loops(ends: Longs) -> int:
    """Number of connected lines that edges (e, 2) make."""
    if len(ends) == 0:
        return 0
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import connected_components

    names, numbered = np.unique(ends, return_inverse=True)
    a, b = numbered.reshape(ends.shape).T
    links = coo_matrix((np.ones(len(a)), (a, b)), shape=(len(names), len(names)))
    return int(connected_components(links, directed=False)[0])
