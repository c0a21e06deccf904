"""How far it is from inside the band to its outer face, and how far out a column may go before it comes too near."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ringtex.band.band import Band
from ringtex.basics.arrays import Floats
from ringtex.basics.progress import Progress

if TYPE_CHECKING:
    from scipy.spatial import cKDTree


STEPS = 14
"""Steps outwards until the wall is met; most columns need six."""

MET_MM = 0.001
"""The wall counts as met within this distance: a tenth of the 0.01 that the wall is measured to."""

AROUND, ACROSS = 360, 91
"""Places on the outer face."""


@dataclass(frozen=True, eq=False)
class OuterFace:
    """A band's outer face from inside."""

    band: Band

    def room(self, places: Floats) -> Floats:
        """(n,) distance of places (n, 3) from the outer face, mm; negative outside it."""
        points, normals, along = self._samples
        nearest, sample = self._tree.query(places)
        away = points[sample] - places
        # The tangent plane at the nearest sample is nearer than the sample itself, and as near as the surface to 1e-3.
        under = np.einsum("ij,ij->i", away, normals[sample])
        # At an edge the face ends: there it is the edge's own tangent line.
        on_edge = ~np.isnan(along[sample, 0])
        run = np.einsum("ij,ij->i", away[on_edge], along[sample[on_edge]])
        level = np.maximum(under, 0.5 * nearest)
        level[on_edge] = np.sqrt(np.maximum(nearest[on_edge] ** 2 - run**2, 0.0))
        return np.asarray(np.where(under > 0.0, np.minimum(nearest, level), -nearest))

    @cached_property
    def _tree(self) -> cKDTree:
        from scipy.spatial import cKDTree

        return cKDTree(self._samples[0])

    @cached_property
    def _samples(self) -> tuple[Floats, Floats, Floats]:
        """Places (n, 3), their normals, and the edges' directions at the places on an edge (NaN at the others)."""
        theta = np.linspace(-np.pi, np.pi, AROUND, endpoint=False)
        across = np.sin(np.linspace(-0.5 * np.pi, 0.5 * np.pi, ACROSS))
        angle, width = (grid.ravel() for grid in np.meshgrid(theta, across, indexing="ij"))
        frame = self.band.outer(angle, width)
        edge = np.abs(width) == 1.0
        along = np.full(frame.point.shape, np.nan)
        along[edge] = frame.d_theta[edge] / np.linalg.norm(frame.d_theta[edge], axis=1)[:, None]
        return frame.point, frame.normal, along

    def out_to(self, keep_mm: float, theta: Floats, z: Floats, start_mm: float, progress: Progress) -> Floats:
        """(n,) for each column the largest radius that is keep_mm from the outer face, found to MET_MM; never over it.

        From start_mm outwards by the room that is free, with secant steps once the room is seen to shrink slower.
        Columns that are too close already there get -infinity.
        """

        def free_at(column: NDArray[np.intp], radius: Floats) -> Floats:
            return self.room(on_ring(theta[column], radius, z[column])) - keep_mm - MET_MM

        radius = np.full(len(theta), start_mm)
        walking = np.arange(len(theta))
        free = free_at(walking, radius)
        radius[free <= 0.0] = -np.inf
        walking, last = walking[free > 0.0], free[free > 0.0]
        slope = np.ones(len(walking))
        clear = radius.copy()
        for _ in range(STEPS):
            progress.check()
            if len(walking) == 0:
                break
            step = last / slope
            radius[walking] += step
            now = free_at(walking, radius[walking])
            slope = np.clip((last - now) / np.where(step == 0.0, 1.0, step), 0.3, 1.0)
            inside = walking[now >= -MET_MM]
            clear[inside] = np.maximum(clear[inside], radius[inside])
            going = np.abs(now) > MET_MM
            walking, last, slope = walking[going], now[going], slope[going]
        # Where the steps did not settle, the furthest place that was clear is kept: less is taken out, never too much.
        radius[walking] = clear[walking]
        return radius


def on_ring(theta: Floats, radius: Floats, z: Floats) -> Floats:
    """(n, 3) places at angle, radius and z."""
    return np.stack((-radius * np.sin(theta), radius * np.cos(theta), z), axis=1)
