"""The band's two sides and its bore, built on the outer face's own edge vertices."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from ringtex.band.band import Band
from ringtex.basics.arrays import Floats, Ints
from ringtex.solid.band_faces.rails import Rail
from ringtex.solid.mesh.strip_triangulation import triangulate_annulus
from ringtex.strip.strip_map import StripMap

MAX_SIDE_ROWS = 16
"""Rows of a side: enough for well shaped triangles on any usual ring, and a limit where walls are split very finely."""


@dataclass(frozen=True, eq=False)
class SidesAndBore:
    """New vertices (n, 3) on the ring, and the faces of the sides and of the bore."""

    vertices: Floats
    side_faces: Ints
    bore_faces: Ints


@dataclass(frozen=True, eq=False)
class _Side:
    vertices: Floats
    faces: Ints
    bore_ids: Ints
    theta: Floats


def sides_and_bore(strip: StripMap, lower: Rail, upper: Rail, chord_mm: float, placed: int) -> SidesAndBore:
    """Close the ring: from the edge vertices straight down to the bore, and the bore between. Numbers start at
    `placed`."""
    low = _side(strip, lower, False, placed)
    up = _side(strip, upper, True, placed + len(low.vertices))
    placed += len(low.vertices) + len(up.vertices)
    middle, faces = _bore(strip.band, low, up, chord_mm, placed)
    return SidesAndBore(
        np.concatenate((low.vertices, up.vertices, middle)), np.concatenate((low.faces, up.faces)), faces
    )


def _side(strip: StripMap, rail: Rail, upper: bool, placed: int) -> _Side:
    band = strip.band
    v = np.full(len(rail.edge_u), strip.width if upper else 0.0)
    theta, _ = strip.to_band(rail.edge_u, v)
    edge = strip.point(rail.edge_u, v)
    z = np.where(upper, 1.0, -1.0) * band.half_width(theta)
    inner = _around(theta, band.bore_radius_at(theta, z), z)
    height = np.linalg.norm(edge - inner, axis=1)
    apart = np.linalg.norm(inner - np.roll(inner, 1, axis=0), axis=1)
    rows = int(np.ceil(float(height.max()) / (4.0 * float(np.quantile(apart, 0.05)))))
    rows = min(max(rows, 1), MAX_SIDE_ROWS)
    share = (np.arange(1, rows + 1) / rows)[:, None, None]
    vertices = (edge + share * (inner - edge)).reshape(-1, 3)
    vertices[-len(inner) :] = inner
    ids = np.concatenate((rail.edge_ids[None, :], placed + np.arange(len(vertices), dtype=np.int32).reshape(rows, -1)))
    faces = np.concatenate([_quads(a, b) for a, b in pairwise(ids)])
    return _Side(vertices, faces if upper else faces[:, ::-1], ids[-1], np.unwrap(theta))


def _bore(band: Band, low: _Side, up: _Side, chord_mm: float, placed: int) -> tuple[Floats, Ints]:
    """The bore: a straight one is ruled from edge to edge, a comfort one gets rows across."""
    rows = _bore_rows(band, chord_mm)
    lower_rows, upper_rows = rows[rows <= 0.0], rows[rows > 0.0][::-1]
    low_vertices, low_faces, low_ids = _half(band, low, lower_rows, placed, False)
    up_vertices, up_faces, up_ids = _half(band, up, upper_rows, placed + len(low_vertices), True)
    # Seen from the finger hole the angles grow to the left.
    bridge = np.concatenate((low_ids, up_ids))[triangulate_annulus(low.theta, up.theta)][:, ::-1]
    return np.concatenate((low_vertices, up_vertices)), np.concatenate((low_faces, up_faces, bridge)).astype(np.int32)


def _bore_rows(band: Band, chord_mm: float) -> Floats:
    """Rows between the edges as shares of the half width, from -1 to 1 (both left out); none in a straight bore."""
    if band.bore.rise_mm == 0.0 or band.bore.shape == "straight":
        return np.zeros(0)
    # The bore bends across like an arc that rises by rise_mm over the half width at its narrowest.
    narrowest = float(np.min(band.half_width(np.linspace(-np.pi, np.pi, 256))))
    bend = 2.0 * band.bore.rise_mm / narrowest**2
    widest = float(np.max(band.half_width(np.linspace(-np.pi, np.pi, 256))))
    half = max(2, int(np.ceil(widest * np.sqrt(bend / (4.0 * chord_mm)))))
    rows: Floats = (np.arange(1, 2 * half) - half) / half
    return rows


def _half(band: Band, side: _Side, rows: Floats, placed: int, upper: bool) -> tuple[Floats, Ints, Ints]:
    """Rows of the bore from one edge towards the middle, in that edge's own columns."""
    ids = side.bore_ids
    vertices, faces = [np.zeros((0, 3))], [np.zeros((0, 3), dtype=np.int32)]
    for row in rows:
        z = row * band.half_width(side.theta)
        vertices.append(_around(side.theta, band.bore_radius_at(side.theta, z), z))
        new = placed + np.arange(len(z), dtype=np.int32)
        placed += len(z)
        quads = _quads(ids, new)
        faces.append(quads if upper else quads[:, ::-1])
        ids = new
    return np.concatenate(vertices), np.concatenate(faces), ids


def _around(theta: Floats, radius: Floats, z: Floats) -> Floats:
    return np.stack((-radius * np.sin(theta), radius * np.cos(theta), z), axis=1)


def _quads(first: Ints, second: Ints) -> Ints:
    """Two triangles between each pair of neighbouring columns of two closed rows."""
    first_next, second_next = np.roll(first, -1), np.roll(second, -1)
    return np.concatenate(
        (np.stack((first, first_next, second), axis=1), np.stack((first_next, second_next, second), axis=1))
    )
