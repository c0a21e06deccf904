"""Passes, tops and bottoms of a field kept clear of its levels, so that what lies between two contour lines has no
pinches there and no islands too small to make.

Critical points of a grid by the signs round each node (Banchoff 1967); two contour lines come together at a saddle
whose value is nearly theirs.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from ringtex.basics.arrays import Bools, Floats, short_way

REACH: Final = 1.8
"""How far a change spreads, in widths of a ring."""

ROUNDS: Final = 6
"""A change moves the point that it was made for, and may reach others."""

STEP: Final = 0.9
"""Of what is missing, in each round."""

SAME: Final = 0.5
"""Critical points of a kind that are nearer to each other, in widths of a ring, are one."""

CLEARANCE: Final = {"saddle": (0.25, 0.12), "top": (0.45, 0.03), "bottom": (0.03, 0.42)}
"""Least way from the level below and to the level above, in widths of a ring. A pass just over a level leaves a neck
between two rings about twice as wide as that way and a fillet; just under one it falls off slowly to both sides."""

RAIL_CLEARANCE: Final = {
    (True, False): (0.5, 0.0), (True, True): (0.0, 0.5), (False, True): (0.05, 0.65), (False, False): (-0.3, -0.1)
}  # fmt: skip
"""The same of the field along a rail: where it is largest or smallest there, and rises or falls inwards. The last is
where a rail cuts the rings of a pith: they touch it about where they end, for in between they would thin out along it.
"""


@dataclass(frozen=True)
class Grid:
    """Nodes of a field that goes on round the ring.

    u       (columns,) mm on the strip.
    v       (rows,) mm on the strip.
    length  of a turn, mm.
    scale   (columns, rows) mm that the field counts for a millimetre of strip.
    width   mean width of a ring, mm of these.
    rails   where rails end, mm on the strip.
    """

    u: Floats
    v: Floats
    length: float
    scale: Floats
    width: float
    rails: tuple[float, float]


def clear_of_levels(field: Floats, grid: Grid, levels: Floats) -> Floats:
    """The field with its critical values moved away from the levels, by smooth bumps round the critical points.

    Parameters:
        field: (columns, rows) mm.
        grid: its nodes.
        levels: (k,) in rising order, mm.
    Returns: (columns, rows) mm.
    """
    field = field.copy()
    for _ in range(ROUNDS):
        places, scale, change = _wanted(field, grid, levels)
        if not len(change):
            break
        reach = REACH * grid.width / scale
        weight = _bump(_ways(places[:, None], places[None], grid.length), reach[None])
        height = STEP * change / np.sum(weight, axis=1)
        for place, far, rise in zip(places, reach.tolist(), height.tolist(), strict=True):
            rows = np.flatnonzero(np.abs(grid.v - place[1]) < far)
            away = short_way(grid.u - place[0], grid.length)
            columns = np.flatnonzero(np.abs(away) < far)
            distance = np.hypot(away[columns][:, None], grid.v[rows] - place[1])
            field[np.ix_(columns, rows)] += rise * _bump(distance, far)
    return field


def _bump(distance: Floats, reach: Floats | float) -> Floats:
    """1 in the middle, level there and at the reach."""
    return np.asarray(np.maximum(1.0 - np.square(distance / reach), 0.0) ** 3)


def _ways(one: Floats, other: Floats, length: float) -> Floats:
    way = one - other
    return np.asarray(np.hypot(short_way(way[..., 0], length), way[..., 1]))


def _wanted(field: Floats, grid: Grid, levels: Floats) -> tuple[Floats, Floats, Floats]:
    """Places (n, 2), scales and missing heights of the critical points that are too near to a level."""
    found: list[tuple[Floats, Floats, Floats]] = []
    for kind, at in critical_nodes(field).items():
        column, row = np.nonzero(at)
        change = _missing(field[column, row], levels, *(grid.width * each for each in CLEARANCE[kind]))
        found.append((np.column_stack((grid.u[column], grid.v[row])), grid.scale[column, row], change))
    for side, rail in enumerate(grid.rails):
        found += _wanted_at_rail(field, grid, levels, side, rail)
    kept = []
    for places, scale, change in found:
        far = np.argsort(-np.abs(change), kind="stable")
        far = far[change[far] != 0.0]
        chosen: list[int] = []
        for each in far.tolist():
            near = SAME * grid.width / scale[each]
            if not chosen or np.min(_ways(places[chosen], places[each], grid.length)) > near:
                chosen.append(each)
        kept.append((places[chosen], scale[chosen], change[chosen]))
    places, scale, change = (np.concatenate(each) for each in zip(*kept, strict=True))
    return places, scale, change


def _wanted_at_rail(
    field: Floats, grid: Grid, levels: Floats, side: int, rail: float
) -> list[tuple[Floats, Floats, Floats]]:
    """The same of the field along a rail, for each kind.

    Parameters:
        field: (columns, rows) mm.
        grid: its nodes.
        levels: (k,) mm.
        side: 0 at the lower, 1 at the upper rail.
        rail: where it ends, mm.
    Returns: places (n, 2), scales and heights, once a kind.
    """
    row = min(int(np.searchsorted(grid.v, rail, side="right")), len(grid.v) - 1) - 1
    part = (rail - grid.v[row]) / (grid.v[row + 1] - grid.v[row])
    along = (1.0 - part) * field[:, row] + part * field[:, row + 1]
    rises = (field[:, row + 1] > field[:, row]) != bool(side)
    before, after = np.roll(along, 1), np.roll(along, -1)
    found = []
    for (is_top, inwards), clear in RAIL_CLEARANCE.items():
        extreme = (along > before) & (along > after) if is_top else (along < before) & (along < after)
        column = np.flatnonzero(extreme & (rises == inwards))
        change = _missing(along[column], levels, *(grid.width * each for each in clear))
        places = np.column_stack((grid.u[column], np.full(len(column), rail)))
        found.append((places, grid.scale[column, row], change))
    return found


def critical_nodes(field: Floats) -> dict[str, Bools]:
    """(columns, rows) each: the nodes that are saddles, tops and bottoms among their eight neighbours; none in the
    first and last row."""
    around = [
        np.roll(field, -along, axis=0)[:, 1 + up : field.shape[1] - 1 + up]
        for along, up in ((1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1))
    ]
    over = np.array(around) > field[:, 1:-1]
    turns = np.count_nonzero(over != np.roll(over, 1, axis=0), axis=0)
    number = np.count_nonzero(over, axis=0)
    found = {"saddle": turns >= 4, "top": number == 0, "bottom": number == 8}
    return {kind: np.pad(each, ((0, 0), (1, 1))) for kind, each in found.items()}


def _missing(value: Floats, levels: Floats, low: float, high: float) -> Floats:
    """(n,) how far values are from the nearest that is `low` over a level and `high` under the next one; where both are
    below 0, from the nearest that is less than these under or over one."""
    if low < 0.0:
        starts, ends = levels + low, levels - high
    else:
        starts = np.concatenate(([-np.inf], levels)) + low
        ends = np.concatenate((levels, [np.inf])) - high
    starts, ends = starts[starts <= ends], ends[starts <= ends]
    if not len(starts):
        return np.zeros(len(value))
    change = np.clip(value[:, None], starts, ends) - value[:, None]
    return np.asarray(change[np.arange(len(value)), np.argmin(np.abs(change), axis=1)])
