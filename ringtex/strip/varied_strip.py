"""The strip of a band that varies round the ring: smooth tables of its map, places and metric."""

from __future__ import annotations

from functools import cached_property
from threading import Lock
from typing import Final

import numpy as np

from ringtex.band.band import Band
from ringtex.basics.arrays import Floats, Longs
from ringtex.strip.arc_length_map import arc_length_grid
from ringtex.strip.conformal_map import conformal_grid
from ringtex.strip.edge_spacing import EdgeSpacing
from ringtex.strip.equal_area_map import equal_area_grid
from ringtex.strip.flat_grid import FlatGrid, metric_terms
from ringtex.strip.grid_inverse import GridInverse
from ringtex.strip.node_density import node_density
from ringtex.strip.spline_table import SplineTable
from ringtex.strip.strip_map import BandPoints, StripMap
from ringtex.strip.strip_options import Keep

GRID = (256, 128)
"""Elements round and across for flattening: dilatation under 1.003 on a dome ring."""
ABRUPT_RAD = 0.35
"""Stations closer than this (20 degrees) get twice the elements round."""
LOW_RISE_SHARE = 0.04
"""A rounded section that rises less, or has creases, turns fast at its edges: it gets twice the elements across."""
TABLE_AROUND = (256, 768)
"""Nodes of the tables round the ring, at least and at most."""
TURN_PER_NODE = 0.055
"""Radians round the ring from one table node to the next, at most, as far as the most nodes allow."""
CHUNK = 16384

_FILLING: Final = Lock()

_FLATTEN = {"length": arc_length_grid, "shape": conformal_grid, "area": equal_area_grid}


class VariedStrip(StripMap):
    """The map is a C2 table over (u, w), made from the flattened grid; its inverse is Newton on the same table.

    Tables are computed up to the crown line and mirrored: every section is symmetric about the plane z = 0.
    """

    def __init__(self, band: Band, keep: Keep, grid: tuple[int, int] | None = None) -> None:
        self.band, self.keep = band, keep
        flat = _FLATTEN[keep](band, *(grid or _grid(band)))
        self.length, self.width = flat.length, flat.width
        self._turn = 2.0 * np.pi / self.length
        self._inverse = GridInverse(flat)
        density = node_density(band, self._inverse, self.width, band.section.round_edges)
        self._spacing = EdgeSpacing(self.width, band.section.round_edges, density)
        columns, rows = _table_around(band, flat), 2 * round(float(np.mean(density)) / 2.0)
        self._u = self.length * np.arange(columns) / columns
        self._w = np.linspace(0.0, 1.0, rows + 1)
        lower_v = self._spacing.v_of(self._w[: rows // 2 + 1])
        self._lower_theta, self._lower_xi = self._inverse.at_nodes(self._u, lower_v)
        self._lower_xi[:, -1] = 0.0
        deviation = self._lower_theta - (self._u * self._turn - np.pi)[:, None]
        self._map = self._table(np.stack((deviation, self._lower_xi), axis=-1), (1.0, -1.0))
        # Slopes right on a round edge are 0 / 0; a quarter of a node inside they are sound.
        self._inside = 0.25 / rows if band.section.round_edges else 0.0

    def _table(self, lower: Floats, signs: tuple[float, ...]) -> SplineTable:
        """A table from its values below the crown line and on it, and the signs of those above it."""
        # What is smooth in v is level in w at a clustered edge, where dv / dw = 0.
        return SplineTable(_with_upper(lower, signs), level_ends=self._spacing.clustered)

    def to_band(self, u: Floats, v: Floats) -> tuple[Floats, Floats]:
        """See `StripMap.to_band`."""
        w = self._spacing.coordinate(v)
        found = self._map.at(u / self.length, w)
        return u * self._turn - np.pi + found[:, 0], self._settle(found[:, 1], w)

    @staticmethod
    def _settle(xi: Floats, w: Floats) -> Floats:
        xi = np.clip(xi, -1.0, 1.0)
        return np.where(w <= 0.0, -1.0, np.where(w >= 1.0, 1.0, xi))

    def band_points(self, u: Floats, v: Floats) -> BandPoints:
        """See `StripMap.band_points`."""
        w = self._spacing.coordinate(v)
        inside = np.clip(w, self._inside, 1.0 - self._inside)
        turn = u / self.length
        _, by_turn, by_w = self._map.with_slopes(turn, inside)
        by_u, by_v = by_turn / self.length, by_w / self._spacing.slope(inside)[:, None]
        theta, xi = self.to_band(u, v)
        return BandPoints(theta, xi, self._turn + by_u[:, 0], by_v[:, 0], by_u[:, 1], by_v[:, 1])

    def from_band(self, theta: Floats, xi: Floats) -> tuple[Floats, Floats]:
        """See `StripMap.from_band`."""
        theta, xi = (np.array(given, dtype=float) for given in np.broadcast_arrays(theta, xi))
        u, v = self._inverse.guess(theta, xi)
        w = self._spacing.coordinate(v)
        w = np.where(xi <= -1.0, 0.0, np.where(xi >= 1.0, 1.0, w))
        active = np.arange(len(u))
        for _ in range(60):
            du, dw, change = self._newton_step(u[active], w[active], theta[active], xi[active])
            u[active] += du
            w[active] = np.clip(w[active] + dw, 0.0, 1.0)
            active = active[change > 1e-12]
            if not len(active):
                break
        return u, self._spacing.v_of(w)

    def _newton_step(self, u: Floats, w: Floats, theta: Floats, xi: Floats) -> tuple[Floats, Floats, Floats]:
        found, by_turn, by_w = self._map.with_slopes(u / self.length, w)
        miss_theta = theta - (u * self._turn - np.pi + found[:, 0])
        miss_xi = xi - found[:, 1]
        theta_u, xi_u = self._turn + by_turn[:, 0] / self.length, by_turn[:, 1] / self.length
        theta_w, xi_w = by_w.T
        on_edge = np.abs(xi) >= 1.0
        xi_w = np.where(on_edge, 1.0, np.maximum(xi_w, 1e-9))
        determinant = theta_u * xi_w - np.where(on_edge, 0.0, theta_w * xi_u)
        du = np.where(on_edge, miss_theta / theta_u, (miss_theta * xi_w - miss_xi * theta_w) / determinant)
        dw = np.where(on_edge, 0.0, (miss_xi * theta_u - miss_theta * xi_u) / determinant)
        moved = np.clip(w + dw, 0.0, 1.0)
        change = np.abs(du) + np.abs(self._spacing.v_of(moved) - self._spacing.v_of(w))
        return du, dw, change

    @cached_property
    def _slopes(self) -> Floats:
        """(6, around, lower rows) the profile's slopes at the nodes up to the crown line."""
        return self.band.profile_slopes(self._lower_theta, self._lower_xi)

    @cached_property
    def _places(self) -> SplineTable:
        """Places and normals, x, y, z each."""
        outer = self.band.outer_frame(self._lower_theta, self._lower_xi, self._slopes)
        return self._table(np.concatenate((outer.point, outer.normal), axis=-1), (1.0, 1.0, -1.0) * 2)

    @cached_property
    def _metric(self) -> SplineTable:
        turn, w = self._u / self.length, self._w[: self._lower_xi.shape[1]]
        inside = np.maximum(w, self._inside)
        theta_u, xi_u = np.moveaxis(self._map.on_grid(turn, inside, by_turn=1), -1, 0) / self.length
        theta_v, xi_v = np.moveaxis(self._map.on_grid(turn, inside, by_w=1), -1, 0) / self._spacing.slope(inside)
        theta_u = theta_u + self._turn
        E, F, G = metric_terms(self._slopes)
        terms = [
            E * a_t * b_t + F * (a_t * b_a + a_a * b_t) + G * a_a * b_a
            for a_t, a_a, b_t, b_a in (
                (theta_u, xi_u, theta_u, xi_u),
                (theta_u, xi_u, theta_v, xi_v),
                (theta_v, xi_v, theta_v, xi_v),
            )
        ]
        return self._table(np.stack(terms, axis=-1), (1.0, -1.0, 1.0))

    @cached_property
    def _node_curvatures(self) -> Floats:
        """(2, nodes) principal curvatures at the nodes up to the crown line; NaN where none has been asked for."""
        return np.full((2, self._lower_xi.size), np.nan)

    def _curvatures_known_at(self, nodes: list[Longs]) -> Floats:
        """`_node_curvatures`, known at some nodes: a relief touches a fifth to a half of all."""
        with _FILLING:
            asked = np.zeros(self._lower_xi.size, dtype=bool)
            for each in nodes:
                asked[each] = True
            new = np.flatnonzero(asked & np.isnan(self._node_curvatures[0]))
            if len(new):
                theta, xi = (node.ravel()[new] for node in (self._lower_theta, self._lower_xi))
                self._node_curvatures[:, new] = self.band.curvatures(theta, xi)
            return self._node_curvatures

    def shell_map(self, u: Floats, v: Floats, h: Floats | float) -> Floats:
        """See `StripMap.shell_map`.

        Parameters:
            u, v, h: strip coordinates and height, mm.
        Returns: (n, 3) points, mm.
        """
        u, v, h = (np.ascontiguousarray(given, dtype=float) for given in np.broadcast_arrays(u, v, h))
        places = np.empty((len(u), 3))
        for start in range(0, len(u), CHUNK):
            part = slice(start, start + CHUNK)
            found = self._places.at(u[part] / self.length, self._spacing.coordinate(v[part]))
            found[:, 3:] *= h[part, None]
            np.add(found[:, :3], found[:, 3:], out=places[part])
        self._settle_edges(u, v, h, places)
        return places

    def frames_on_grid(self, u: Floats, v: Floats) -> tuple[Floats, Floats]:
        """See `StripMap.frames_on_grid`."""
        found = self._places.on_grid(u / self.length, self._spacing.coordinate(v))
        places, normals = found[..., :3], found[..., 3:]
        for row in np.flatnonzero((v <= 0.0) | (v >= self.width)):
            places[:, row] = self.point(u, np.full(len(u), v[row]))
        return places, normals

    def _settle_edges(self, u: Floats, v: Floats, h: Floats, places: Floats) -> None:
        """Put what lies on the strip's edges exactly on the band's edges."""
        edge = np.flatnonzero((v <= 0.0) | (v >= self.width))
        if len(edge):
            outer = self.band.outer(*self.to_band(u[edge], v[edge]))
            places[edge] = outer.point + h[edge, None] * outer.normal

    def metric(self, u: Floats, v: Floats) -> tuple[Floats, Floats, Floats]:
        """See `StripMap.metric`."""
        E, F, G = self._metric.at(np.asarray(u) / self.length, self._spacing.coordinate(np.asarray(v))).T
        return E, F, G

    def curvatures(self, u: Floats, v: Floats) -> tuple[Floats, Floats]:
        """See `StripMap.curvatures`."""
        # Straight between nodes: near a steep edge a smooth table would swing below zero.
        turn = np.asarray(u) / self.length
        around = (turn - np.floor(turn)) * len(self._u)
        over = self._spacing.coordinate(np.asarray(v)) * (len(self._w) - 1)
        column = np.minimum(around.astype(np.int64), len(self._u) - 1)
        row = np.minimum(over.astype(np.int64), len(self._w) - 2)
        p, q = around - column, over - row
        nodes = [self._lower_node(column + i, row + j) for j in (0, 1) for i in (0, 1)]
        k1, k2 = (
            (here.take(nodes[0]) * (1.0 - p) + here.take(nodes[1]) * p) * (1.0 - q)
            + (here.take(nodes[2]) * (1.0 - p) + here.take(nodes[3]) * p) * q
            for here in self._curvatures_known_at(nodes)
        )
        return k1, k2

    def _lower_node(self, column: Longs, row: Longs) -> Longs:
        """(n,) numbers of nodes among those up to the crown line; above it a section is its own mirror image."""
        rows = len(self._w) - 1
        return np.asarray(column % len(self._u) * self._lower_xi.shape[1] + np.minimum(row, rows - row))


def _with_upper(lower: Floats, signs: tuple[float, ...]) -> Floats:
    """(n, 2 m + 1, c) values at all nodes across from those (n, m + 1, c) up to the crown line, with the signs (c,) of
    the others: every section is symmetric about the plane z = 0."""
    return np.concatenate((lower, lower[:, -2::-1] * np.array(signs)), axis=1)


def _grid(band: Band) -> tuple[int, int]:
    columns, rows = GRID
    abrupt = band.shortest_change_rad < ABRUPT_RAD
    steep = band.section.round_edges and (band.section.crease or band.least_rise_share < LOW_RISE_SHARE)
    return 2 * columns if abrupt else columns, 2 * rows if steep else rows


def _table_around(band: Band, flat: FlatGrid) -> int:
    """Even nodes along u that are nowhere too far apart in theta."""
    step = np.diff(flat.u, axis=0, append=flat.u[:1] + flat.length)
    fastest = flat.length / (len(flat.theta) * float(np.min(step)))
    apart = min(TURN_PER_NODE, band.shortest_change_rad / 8.0)
    least, most = TABLE_AROUND
    return int(np.clip(64 * np.ceil(2.0 * np.pi * fastest / apart / 64.0), least, most))
