"""From a flattened grid to the places on the band of even strip nodes."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats
from ringtex.basics.errors import InputError
from ringtex.strip.flat_grid import FlatGrid
from ringtex.strip.spline_table import SplineTable

CLOSE_SHARE = 1e-7
"""Of the length, a miss after which one more step is the last."""

_TURN = 2.0 * np.pi


class GridInverse:
    """u and v as C2 functions of (theta, xi) through the grid's nodes, and their inverse by Newton."""

    def __init__(self, flat: FlatGrid) -> None:
        self._flat = flat
        self._ripple = flat.u - (flat.length * (flat.theta + np.pi) / _TURN)[:, None]
        self._table = SplineTable(np.stack((self._ripple, flat.v), axis=-1))

    def guess(self, theta: Floats, xi: Floats) -> tuple[Floats, Floats]:
        """u and v of places on the band."""
        turn = (theta + np.pi) / _TURN
        ripple, v = self._table.at(turn, (xi + 1.0) / 2.0).T
        return self._flat.length * turn + ripple, v

    def at_nodes(self, u: Floats, v: Floats) -> tuple[Floats, Floats]:
        """theta and xi (n, m), where the grid has u (n,) x v (m,).

        Raises: InputError where the grid cannot be turned back: unlike stations too near each other.
        """
        on_edge = (v <= 0.0) | (v >= self._flat.width)
        theta, xi = self._start(u, v)
        xi[:, on_edge] = np.where(v[on_edge] <= 0.0, -1.0, 1.0)
        shape = theta.shape
        want_u, want_v = (grid.ravel() for grid in np.broadcast_arrays(u[:, None], v[None, :]))
        theta, xi = theta.ravel(), xi.ravel()
        self._newton(theta, xi, want_u, want_v, np.broadcast_to(on_edge, shape).ravel())
        return theta.reshape(shape), xi.reshape(shape)

    def _start(self, u: Floats, v: Floats) -> tuple[Floats, Floats]:
        """First places: by turns theta from u down the nearest column of nodes, xi from v along the nearest row."""
        flat = self._flat
        columns, rows = len(flat.theta), len(flat.xi) - 1
        theta_nodes = np.append(flat.theta, flat.theta[0] + _TURN)
        by_column = np.stack([_periodic_inverse(u, flat.u[:, k], theta_nodes, flat.length) for k in range(rows + 1)])
        by_row = np.stack([np.interp(v, flat.v[row], flat.xi) for row in range(columns)])
        u_index, v_index = np.arange(len(u))[:, None], np.arange(len(v))[None, :]
        column = np.full((len(u), len(v)), rows // 2)
        for _ in range(4):
            theta = by_column[column, u_index]
            row = np.rint((theta + np.pi) * (columns / _TURN)).astype(int) % columns
            xi = by_row[row, v_index]
            column = np.rint((xi + 1.0) * (rows / 2.0)).astype(int)
        return theta, xi

    def _newton(self, theta: Floats, xi: Floats, u: Floats, v: Floats, edge: NDArray[np.bool_]) -> None:
        """Move theta and xi, in place, to where the table has u and v; on the edges only theta moves."""
        length = self._flat.length
        active = np.arange(len(theta))
        for _ in range(60):
            turn = (theta[active] + np.pi) / _TURN
            found, by_turn, by_w = self._table.with_slopes(turn, (xi[active] + 1.0) / 2.0)
            held = edge[active]
            miss_u = u[active] - (length * turn + found[:, 0])
            miss_v = np.where(held, 0.0, v[active] - found[:, 1])
            u_t, v_t = (length + by_turn[:, 0]) / _TURN, np.where(held, 0.0, by_turn[:, 1] / _TURN)
            u_a, v_a = np.where(held, 0.0, by_w[:, 0] / 2.0), np.where(held, 1.0, by_w[:, 1] / 2.0)
            determinant = u_t * v_a - u_a * v_t
            step_t = (miss_u * v_a - miss_v * u_a) / determinant
            step_a = (miss_v * u_t - miss_u * v_t) / determinant
            # Far from the answer a full step may leave the band: shorten it, keeping its direction.
            shorten = 1.0 / np.maximum(1.0, np.maximum(np.abs(step_t) / 0.3, np.abs(step_a) / 0.2))
            theta[active] += shorten * step_t
            xi[active] = np.clip(xi[active] + shorten * step_a, -1.0, 1.0)
            # Newton's step squares the miss.
            active = active[np.abs(miss_u) + np.abs(miss_v) > CLOSE_SHARE * length]
            if not len(active):
                return
        raise InputError(
            f"Flattening this band did not settle at {len(active)} of {len(theta)} places",
            "Make the stations more alike or move them apart",
            "band.stations",
        )


def _periodic_inverse(u: Floats, nodes_u: Floats, theta: Floats, length: float) -> Floats:
    """theta where a column of nodes, which gains `length` in a turn, has u; theta has one node more than the column."""
    turns = np.floor((u - nodes_u[0]) / length)
    found = np.interp(u - turns * length, np.append(nodes_u, nodes_u[0] + length), theta)
    return np.asarray(found + turns * _TURN)
