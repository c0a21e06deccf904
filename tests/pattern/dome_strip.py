"""The dome that even cells are judged on, and areas by plain triangles that know nothing of the strip's metric."""

from __future__ import annotations

import math
from functools import cache

import numpy as np

from ringtex.band.band import Band
from ringtex.band.band_options import BandOptions, Station
from ringtex.band.bore import BoreOptions
from ringtex.pattern.tiling import Tiling
from ringtex.strip.strip_map import StripMap
from ringtex.strip.unwrap import unwrap


@cache
def dome_strip(keep: str = "shape") -> StripMap:
    """Size 54; 18 wide and 9 high at the head, 5 and 1.5 at the palm; edge 1.2: the area scale varies 30 times."""
    stations = (Station(0, 18, 9, 1.2), Station(180, 5, 1.5, 1.2))
    return unwrap(Band(54.0 / (2.0 * math.pi), BoreOptions(), BandOptions(None, stations, True)), keep)


def triangle_areas(tiling: Tiling, strip: StripMap, parts: int = 10) -> np.ndarray:
    """(c,) each cell's area in mm2, added up from flat triangles between places of the outer face: the cell's fan from
    a point inside, every triangle split into parts^2. Chords make it low by about 1e-4 at 10 parts.
    """
    middle = tiling.kernel[0][tiling.corner_cell]
    first, second = tiling.corners - middle, tiling.corners[tiling.next_corner] - middle
    i, j = np.meshgrid(np.arange(parts + 1), np.arange(parts + 1), indexing="ij")
    keep = i + j <= parts
    number = np.full(i.shape, -1)
    number[keep] = np.arange(int(keep.sum()))
    up = i + j < parts
    down = up & (i + j < parts - 1)
    triangles = np.concatenate(
        [
            np.column_stack([number[i[up], j[up]], number[i[up] + 1, j[up]], number[i[up], j[up] + 1]]),
            np.column_stack(
                [number[i[down] + 1, j[down]], number[i[down] + 1, j[down] + 1], number[i[down], j[down] + 1]]
            ),
        ]
    )
    shares = np.column_stack([i[keep], j[keep]]) / parts
    places = middle[:, None] + shares[None, :, :1] * first[:, None] + shares[None, :, 1:] * second[:, None]
    points = strip.point(places[..., 0].ravel(), places[..., 1].ravel()).reshape(*places.shape[:2], 3)
    a, b, c = (points[:, triangles[:, k]] for k in range(3))
    fan = 0.5 * np.sum(np.linalg.norm(np.cross(b - a, c - a), axis=-1), axis=1)
    return np.add.reduceat(fan, tiling.cell_start[:-1])
