"""Voronoi cells (and power cells) of sites on the strip: periodic round the ring, cut straight at the borders.

Copies of the sites one turn on stand in for the ring; each meeting point of three cells is named by its three sites
and the turns between them, so the copies fall together by number and nothing is matched by place.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from ringtex.basics.arrays import Floats, Ints, Longs
from ringtex.basics.errors import InputError
from ringtex.pattern.cellular.regular_triangulation import power_centres, regular_triangulation
from ringtex.pattern.clip import clip_to_borders, wrap
from ringtex.pattern.patterned_part import PatternedPart
from ringtex.pattern.tiling import Tiling


class _Copies(NamedTuple):
    """Points round the ring: place, number of the site that each copies (guards come after the sites), turns."""

    points: Floats
    home: Longs
    turn: Longs
    weights: Floats | None


def voronoi_tiling(part: PatternedPart, sites: Floats, weights: Floats | None = None) -> Tiling:
    """The cells of points nearest to each site, cell i belonging to site i.

    A power cell with no area is left out, and then cells no longer count like sites. Cells that meet themselves round
    the ring are possible with very few sites.

    Parameters:
        part: the rectangle between the rails.
        sites: (n, 2), n >= 3, u in [0, length), strictly between the borders, mm.
        weights: (n,) mm2, for power cells.
    Returns: a tiling whose short walls are not closed; three cells meet at every inner vertex.
    Raises: InputError when the cells do not close (sites in exactly regular rows are ambiguous).
    """
    spacing = math.sqrt(part.area / len(sites))
    reach = part.length + part.width
    # Near copies suffice almost always; when the cells then do not close, more copies are made.
    for margin, distance in ((min(10.0 * spacing, reach), 8.0 * spacing), (reach, reach), (3.0 * reach, 3.0 * reach)):
        tiling = _open_cells(part, _copies(part, sites, weights, margin, distance), len(sites))
        if tiling is not None:
            clipped = clip_to_borders(tiling)
            if _is_closed(clipped):
                return clipped
    advice = "Change the seed or the scatter"
    raise InputError("the Voronoi cells of the sites do not close round the ring", advice, "pattern.seed")


def meets_itself(tiling: Tiling) -> bool:
    """Whether some cell reaches all round the ring to itself."""
    inner = np.flatnonzero(tiling.twin >= 0)
    return bool(np.any(tiling.corner_cell[inner] == tiling.corner_cell[tiling.twin[inner]]))


def refuse_self_meeting(tiling: Tiling) -> None:
    """Raise InputError where so few sites are left that a cell meets itself round the ring."""
    if meets_itself(tiling):
        message = "with these sites a cell would reach all round the ring and meet itself"
        raise InputError(message, "Bring some of the removed sites back, or move sites apart", "edits.sites")


def _copies(part: PatternedPart, sites: Floats, weights: Floats | None, margin: float, distance: float) -> _Copies:
    """Sites, a row of guards well outside each border (so that every site's cell is bounded), and copies of both."""
    count = max(3, math.ceil(part.length / distance)) + 1
    guard_u = (np.arange(count) + 0.37) * part.length / count
    rows = [np.column_stack([guard_u, np.full(count, v)]) for v in (part.lower - distance, part.upper + distance)]
    base = np.concatenate([sites, *rows])
    turns = np.arange(-math.ceil(margin / part.length), math.ceil(margin / part.length) + 1)
    turn = np.repeat(turns, len(base))
    home = np.tile(np.arange(len(base)), len(turns))
    points = base[home] + np.column_stack([turn * part.length, np.zeros(len(turn))])
    near = (points[:, 0] > -margin) & (points[:, 0] < part.length + margin)
    near |= home >= len(sites)
    copied = None if weights is None else np.concatenate([weights, np.zeros(2 * count)])[home[near]]
    return _Copies(points[near], home[near], turn[near], copied)


def _open_cells(part: PatternedPart, copies: _Copies, count: int) -> Tiling | None:
    """The cells before they are cut at the borders; None when more copies are needed."""
    triangles = regular_triangulation(copies.points, copies.weights)
    # Each corner of a triangle that is a site itself (not a copy) is one corner of that site's cell.
    star = np.concatenate([triangles, triangles[:, [1, 2, 0]], triangles[:, [2, 0, 1]]])
    star = star[(copies.home[star[:, 0]] < count) & (copies.turn[star[:, 0]] == 0)]
    middle = np.mean(copies.points[star], axis=1) - copies.points[star[:, 0]]
    site = copies.home[star[:, 0]]
    order = np.lexsort((np.arctan2(middle[:, 1], middle[:, 0]), site))
    star, site = star[order], site[order]
    start = np.unique(site, return_index=True)[1]
    following = np.arange(1, len(star) + 1)
    following[np.append(start[1:], len(star)) - 1] = start
    if np.any(star[:, 2] != star[following, 1]):
        return None
    vertices, corner_vertex, corner_winding = _meeting_points(part, copies, star)
    return Tiling(
        length=part.length,
        lower=part.lower,
        upper=part.upper,
        vertices=vertices,
        cell_start=np.append(start, len(star)).astype(np.int32),
        corner_vertex=corner_vertex,
        corner_winding=corner_winding,
        twin=_twins(site, copies.home[star[:, 2]], copies.turn[star[:, 2]]),
    )


def _meeting_points(part: PatternedPart, copies: _Copies, star: Longs) -> tuple[Floats, Ints, Ints]:
    """Vertices named by their three sites, and the vertex and turn of each corner."""
    home, turn = copies.home[star], copies.turn[star]
    # A name must not depend on the copy: sites in order, turns counted from the first of them.
    rank = np.argsort(home * 64 + turn, axis=1)
    home, turn = np.take_along_axis(home, rank, 1), np.take_along_axis(turn, rank, 1)
    base = turn[:, 0]
    steps = turn[:, 1:] - base[:, None]
    low, span = int(steps.min()), int(np.ptp(steps)) + 1
    most = int(home.max()) + 1
    name = ((home[:, 0] * most + home[:, 1]) * most + home[:, 2]) * span * span
    name += (steps[:, 0] - low) * span + steps[:, 1] - low
    _, first, vertex = np.unique(name, return_index=True, return_inverse=True)
    first_star = np.take_along_axis(star[first], rank[first], 1)
    corners = copies.points[first_star]
    corners[:, :, 0] -= (part.length * base[first])[:, None]
    centre = power_centres(corners, None if copies.weights is None else copies.weights[first_star])
    u, wrapped = wrap(centre[:, 0], part.length)
    corner_winding = base + wrapped[vertex]
    return np.column_stack([u, centre[:, 1]]), vertex.astype(np.int32), corner_winding.astype(np.int32)


def _twins(site: Longs, other: Longs, turn: Longs) -> Ints:
    """The half-edge on the other side: from the other site's cell to this one, as many turns back."""
    most, low = int(max(site.max(), other.max())) + 1, int(np.abs(turn).max())
    span = 2 * low + 1
    here = (site * most + other) * span + turn + low
    there = (other * most + site) * span - turn + low
    order = np.argsort(here)
    found = np.minimum(np.searchsorted(here[order], there), len(here) - 1)
    mate = order[found]
    return np.where(here[mate] == there, mate, -1).astype(np.int32)


def _is_closed(tiling: Tiling) -> bool:
    border = np.flatnonzero(tiling.twin < 0)
    v, v_end = tiling.corners[border, 1], tiling.corners[tiling.next_corner[border], 1]
    on_border = (v == v_end) & ((v == tiling.lower) | (v == tiling.upper))
    mates = tiling.twin[tiling.twin >= 0]
    walls = (len(tiling.twin) + len(border)) // 2
    euler = len(tiling.vertices) - walls + tiling.cells
    return bool(np.all(on_border)) and euler == 0 and len(np.unique(mates)) == len(mates)
