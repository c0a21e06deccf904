"""From a flattened grid to the places on the band of even strip nodes."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.errors import SelfCheckError
from ringtex.strip.flat_grid import FlatGrid
from ringtex.strip.spline_table import SplineTable

Floats = NDArray[np.float64]

_TURN = 2.0 * np.pi


class GridInverse:
    """u and v as C2 functions of (theta, across) through the grid's nodes, and their inverse by Newton."""

    def __init__(self, flat: FlatGrid) -> None:
        self._flat = flat
        self._ripple = flat.u - (flat.length * (flat.theta + np.pi) / _TURN)[:, None]
        self._table = SplineTable(np.stack((self._ripple, flat.v), axis=-1))

    def guess(self, theta: Floats, across: Floats) -> tuple[Floats, Floats]:
        """u and v of places on the band."""
        turn = (theta + np.pi) / _TURN
        ripple, v = self._table.at(turn, (across + 1.0) / 2.0).T
        return self._flat.length * turn + ripple, v

    def at_nodes(self, u: Floats, v: Floats) -> tuple[Floats, Floats]:
        """theta and across (n, m), where the grid has u (n,) x v (m,); v starts at 0 and ends at the width.

        Raises: SelfCheckError where the flattened grid cannot be turned back (it would fold).
        """
        theta, across = self._start(u, v)
        shape = theta.shape
        want_u, want_v = (grid.ravel() for grid in np.broadcast_arrays(u[:, None], v[None, :]))
        theta, across = theta.ravel(), across.ravel()
        edge = np.zeros(shape, dtype=bool)
        edge[:, 0] = edge[:, -1] = True
        self._newton(theta, across, want_u, want_v, edge.ravel())
        return theta.reshape(shape), across.reshape(shape)

    def _start(self, u: Floats, v: Floats) -> tuple[Floats, Floats]:
        """First places: theta from the crown's u (increasing), then across from v at that theta."""
        flat = self._flat
        middle = flat.u[:, len(flat.across) // 2]
        theta_1 = np.interp(
            u, np.append(middle, middle[0] + flat.length), np.append(flat.theta, flat.theta[0] + _TURN), period=None
        )
        near = np.rint((theta_1 + np.pi) / _TURN * len(flat.theta)).astype(int) % len(flat.theta)
        across = np.stack([np.interp(v, flat.v[row], flat.across) for row in near])
        across[:, 0], across[:, -1] = -1.0, 1.0
        return np.repeat(theta_1[:, None], len(v), axis=1), across

    def _newton(self, theta: Floats, across: Floats, u: Floats, v: Floats, edge: NDArray[np.bool_]) -> None:
        """Move theta and across, in place, to where the table has u and v; on the edges only theta moves."""
        length = self._flat.length
        active = np.arange(len(theta))
        for _ in range(60):
            turn = (theta[active] + np.pi) / _TURN
            found, by_turn, by_w = self._table.with_slopes(turn, (across[active] + 1.0) / 2.0)
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
            across[active] = np.clip(across[active] + shorten * step_a, -1.0, 1.0)
            active = active[np.abs(miss_u) + np.abs(miss_v) > 1e-11 * length]
            if not len(active):
                return
        raise SelfCheckError(
            f"Flattening this band did not settle at {len(active)} of {len(theta)} places",
            "Make the stations more alike or move them apart",
            "band.stations",
        )
