"""Plain rings made by hand, so that the checks are tried without the rooms that build real ones."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from ringtex.band.bore import BoreOptions
from ringtex.basics.arrays import Floats
from ringtex.solid.mesh.ring_mesh import RingMesh, RingSolid

Height = Callable[[Floats, Floats], Floats]
BORE_MM = 54.0 / (2.0 * np.pi)


def level(u: Floats, v: Floats) -> Floats:
    return np.zeros_like(u)


@dataclass(frozen=True)
class PlainBand:
    """A flat band: outer face a cylinder."""

    bore_radius_mm: float = BORE_MM
    bore: BoreOptions = field(default_factory=BoreOptions)
    wall_mm: float = 1.6
    width_mm: float = 6.0
    is_flat: bool = True

    def half_width(self, theta: Floats) -> Floats:
        return np.full_like(theta, self.width_mm / 2.0)

    @property
    def outer_mm(self) -> float:
        return self.bore_radius_mm + self.wall_mm


@dataclass(frozen=True)
class PlainStrip:
    """The flat band's strip, isometric."""

    band: PlainBand = field(default_factory=PlainBand)

    @property
    def length(self) -> float:
        return 2.0 * np.pi * self.band.outer_mm

    def curvatures(self, u: Floats, v: Floats) -> tuple[Floats, Floats]:
        return np.full_like(u, 1.0 / self.band.outer_mm), np.zeros_like(u)


def on_circle(theta: Floats, radius: Floats, z: Floats) -> Floats:
    """Points at an angle from the head (+y), counter-clockwise seen from +z."""
    return np.column_stack((-radius * np.sin(theta), radius * np.cos(theta), z))


def grid_faces(columns: int, rows: int) -> NDArray[np.int32]:
    """Triangles of rows x columns vertices (row by row), closed along the columns, looking out of the ring."""
    column = np.arange(columns)
    after = (column + 1) % columns
    row = columns * np.arange(rows - 1)[:, None]
    a, b, c, d = row + column, row + after, row + columns + after, row + columns + column
    return np.stack((a, b, c, a, c, d), axis=-1).reshape(-1, 3).astype(np.int32)


def plain_ring(strip: PlainStrip, height: Height = level, columns: int = 144, rows: int = 13) -> RingSolid:
    """A flat ring with a relief of height(u, v) on its face; sides straight down to the bore."""
    band = strip.band
    u, v = np.meshgrid(np.arange(columns) * strip.length / columns, np.linspace(0.0, band.width_mm, rows))
    u, v = u.ravel(), v.ravel()
    h = height(u, v)
    theta, z = u / band.outer_mm - np.pi, v - band.width_mm / 2.0
    outer = on_circle(theta, band.outer_mm + h, z)
    top = np.linspace(-1.0, 1.0, 9)
    bore_z = np.repeat(top * band.width_mm / 2.0, columns)
    bore_r = band.bore_radius_mm + band.bore.height_at(np.repeat(top, columns))
    bore = on_circle(np.tile(theta[:columns], len(top)), bore_r, bore_z)
    cells = grid_faces(columns, rows)
    bore_faces = grid_faces(columns, len(top))[:, ::-1] + len(outer)
    side = grid_faces(columns, 2)
    last, bore_last = (rows - 1) * columns, len(outer) + (len(top) - 1) * columns
    low = np.where(side < columns, side + len(outer), side - columns)
    up = np.where(side < columns, side + last, side - columns + bore_last)
    faces = np.concatenate((cells, low, up, bore_faces)).astype(np.int32)
    ends = np.cumsum([len(cells), len(low) + len(up), len(bore_faces)]).tolist()
    parts = {
        "cells": slice(0, ends[0]),
        "rails": slice(ends[0], ends[0]),
        "sides": slice(ends[0], ends[1]),
        "bore": slice(ends[1], ends[2]),
    }
    cell = np.zeros(len(cells), dtype=np.int32)
    places = np.column_stack((u, v, h))
    mesh = RingMesh(np.concatenate((outer, bore)), faces)
    return RingSolid(mesh, places, parts, cell, np.zeros(4, dtype=bool))


def revolved(profile: Floats, columns: int) -> RingMesh:
    """A closed profile of (r, z) points, counter-clockwise seen with r to the right and z up, turned round the axis."""
    theta = np.arange(columns) * 2.0 * np.pi / columns
    rows = len(profile)
    vertices = on_circle(np.tile(theta, rows), np.repeat(profile[:, 0], columns), np.repeat(profile[:, 1], columns))
    closed = grid_faces(columns, rows + 1)
    return RingMesh(vertices, (closed % (rows * columns)).astype(np.int32))
