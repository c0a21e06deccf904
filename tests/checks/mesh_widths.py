"""Widths of relief measured on a closed mesh alone: its creases part it into the network of walls, flanks and insides.

Knows nothing of how the mesh was made. The relief must have sharp corners and flanks much steeper than the facets of
its curved faces.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import trimesh
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import ConvexHull, QhullError, cKDTree

from ringtex.solid.mesh.ring_mesh import RingMesh

CREASE_DEG = 30.0
MAX_CELL_MM = 12.0
SLIVER_MM = 0.1
SLIVER_TRIANGLES = 2
"""Smooth regions of so few triangles, narrower than this, are pieces of a flank at a sharp tip."""
SPACING_MM = 0.06
"""Between points along an edge."""
NEIGHBOURS = 60
REACH_MM = 0.1
"""Segments may come nearer than their own points by this."""


@dataclass(frozen=True)
class MeshWidths:
    """Least distance between the feet of two cells, least width across an inside, mm; number of insides."""

    wall_mm: float
    inside_mm: float
    cells: int


class NoWidthsError(Exception):
    """The creases of a mesh do not show its cells."""


def regions(mesh: RingMesh) -> np.ndarray:
    """(faces,) the number of the smooth region that each lies in."""
    return _regions(trimesh.Trimesh(mesh.vertices, mesh.faces, process=False))[0]


def _regions(body: trimesh.Trimesh) -> tuple[np.ndarray, np.ndarray]:
    smooth = body.face_adjacency_angles < np.radians(CREASE_DEG)
    region = _components(body.face_adjacency[smooth], len(body.faces))
    return region, region[body.face_adjacency]


def mesh_widths(mesh: RingMesh) -> MeshWidths:
    """Measure the mesh's creases.

    Raises: NoWidthsError where there are none between walls and insides.
    """
    body = trimesh.Trimesh(mesh.vertices, mesh.faces, process=False)
    edges = body.face_adjacency_edges
    region, beside = _regions(body)
    crease = beside[:, 0] != beside[:, 1]
    # The wall network meets the most creases.
    network = int(np.argmax(np.bincount(beside[crease].ravel())))
    at_foot = crease & np.isin(beside, _flanks(beside[crease], network)).any(axis=1) & np.any(beside == network, axis=1)
    if not np.any(at_foot):
        raise NoWidthsError("no feet")
    wall = _least_between_loops(np.asarray(body.vertices), edges[at_foot])
    flanks = np.setdiff1d(beside[at_foot], [network])
    is_flank = np.isin(beside, flanks)
    at_rim = crease & (is_flank[:, 0] != is_flank[:, 1]) & ~np.any(beside == network, axis=1)
    inside = np.where(is_flank[at_rim, 0], beside[at_rim, 1], beside[at_rim, 0])
    widths = [_least_width(body, region == each, edges[at_rim][inside == each]) for each in np.unique(inside)]
    real = [width for width in widths if width is not None]
    return MeshWidths(wall, min(real, default=np.inf), len(real))


def _flanks(beside: np.ndarray, network: int) -> np.ndarray:
    """Regions between the network and one that does not touch it: not the facets of a band that rolls over sharply."""
    touching = np.unique(beside[np.any(beside == network, axis=1)])
    inwards = np.isin(beside, touching).sum(axis=1) == 1
    return np.intersect1d(touching, beside[inwards])


def _components(links: np.ndarray, count: int) -> np.ndarray:
    graph = coo_matrix((np.ones(len(links)), (links[:, 0], links[:, 1])), shape=(count, count))
    return np.asarray(connected_components(graph, directed=False)[1])


def _least_between_loops(vertices: np.ndarray, edges: np.ndarray) -> float:
    """Least distance between two connected lines of edges; lines as long as the ring are none of a cell."""
    names, numbered = np.unique(edges, return_inverse=True)
    loop = _components(numbered.reshape(edges.shape), len(names))[numbered.reshape(edges.shape)[:, 0]]
    ends = vertices[edges]
    for each in np.unique(loop):
        if np.ptp(ends[loop == each].reshape(-1, 3), axis=0).max() > MAX_CELL_MM:
            loop[loop == each] = -1
    ends, loop = ends[loop >= 0], loop[loop >= 0]
    parts = 1 + np.ceil(np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1) / SPACING_MM).astype(int)
    owner = np.repeat(np.arange(len(ends)), parts)
    share = (np.arange(len(owner)) - np.repeat(np.cumsum(parts) - parts, parts)) / (parts[owner] - 1)
    points = ends[owner, 0] + share[:, None] * (ends[owner, 1] - ends[owner, 0])
    least, asked, count = np.inf, np.arange(len(points)), NEIGHBOURS
    # More and more neighbours of the points that may have nearer ones in other loops.
    while len(asked) and count // 2 < len(points):
        away, near = cKDTree(points).query(points[asked], min(count, len(points)))
        here, column = np.nonzero(loop[owner[near]] != loop[owner[asked]][:, None])
        a, b = (ends[owner[near[here, column]], end] for end in (0, 1))
        least = min(least, float(np.min(_to_segments(points[asked[here]], a, b), initial=np.inf)))
        asked, count = asked[away[:, -1] < least + REACH_MM], 4 * count
    return least


def _to_segments(points: np.ndarray, a: np.ndarray, b: np.ndarray) -> np.ndarray:
    edge = b - a
    ratio = np.sum((points - a) * edge, axis=1) / np.sum(edge * edge, axis=1)
    return np.linalg.norm(points - a - np.clip(ratio, 0.0, 1.0)[:, None] * edge, axis=1)


def _rolled_out(points: np.ndarray, middle: float) -> np.ndarray:
    """Points (n, 3) with arcs round the axis made straight, from an angle on, at the points' own radii."""
    radius = np.hypot(points[:, 0], points[:, 1])
    angle = np.remainder(np.arctan2(points[:, 1], points[:, 0]) - middle + np.pi, 2.0 * np.pi) - np.pi
    return np.column_stack((radius * angle, radius, points[:, 2]))


def _least_width(body: trimesh.Trimesh, faces: np.ndarray, rim: np.ndarray) -> float | None:
    """Rotating calipers about the rim of one region, rolled out round the ring's axis and seen along its mean normal;
    None for one as large as the ring."""
    corners = np.asarray(body.vertices)[np.unique(rim)]
    if np.ptp(corners, axis=0).max() > MAX_CELL_MM:
        return None
    middle = np.arctan2(*np.sum(corners[:, 1::-1], axis=0))
    corners = _rolled_out(corners, middle)
    triangles = _rolled_out(np.asarray(body.vertices)[body.faces[faces]].reshape(-1, 3), middle).reshape(-1, 3, 3)
    normal = 0.5 * np.sum(np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0]), axis=0)
    normal /= np.linalg.norm(normal)
    right = np.cross(normal, np.eye(3)[np.argmin(np.abs(normal))])
    right /= np.linalg.norm(right)
    flat = np.column_stack((corners @ right, corners @ np.cross(normal, right)))
    try:
        hull = flat[ConvexHull(flat).vertices]
    except QhullError:
        return None
    side = np.roll(hull, -1, axis=0) - hull
    square = np.column_stack((-side[:, 1], side[:, 0])) / np.linalg.norm(side, axis=1)[:, None]
    width = float(np.min(np.ptp(square @ hull.T, axis=1)))
    return None if width < SLIVER_MM and np.count_nonzero(faces) <= SLIVER_TRIANGLES else width
