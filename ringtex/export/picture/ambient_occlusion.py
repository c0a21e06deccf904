"""How much of the room a place on the ring sees: the shading of grooves and of the ground under the ring."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Singles
from ringtex.export.picture.camera import Camera
from ringtex.export.picture.ray_scene import RayScene

LIFT_MM: Final = 0.003
"""Rays start this far above a face, or float32 would let them meet the face that they leave."""

_TILE, _TURNS = 4, 8
_SAMPLES = 8
_COARSE = 6
_GROUND_SAMPLES = 48
_GROUND_REACH_MM = 14.0
_GROUND_MM = 30.0


def open_share(
    scene: RayScene,
    places: Singles,
    normals: Singles,
    turn: NDArray[np.integer],
    reach_mm: float,
    samples: int = _SAMPLES,
) -> Singles:
    """Share of the half sphere above places that is free of metal, weighted by the cosine; metal far off counts less.

    Parameters: places (n, 3), normals (n, 3) unit; turn (n,) 0 to 7 rotates the sampled directions, so that neighbours
    see different ones and `evened` can average them; reach_mm beyond which nothing is seen.
    Returns: (n,) from 0 (walled in) to 1 (open).
    """
    first, second = _tangents(normals)
    origins = places + np.float32(LIFT_MM) * normals
    total = np.zeros(len(places), dtype=np.float32)
    golden = np.pi * (3.0 - np.sqrt(5.0))  # Vogel's spiral spreads points evenly over a disc
    for sample in range(samples):
        angle = sample * golden + turn * (2.0 * np.pi / _TURNS)
        radius = np.float32(np.sqrt((sample + 0.5) / samples))
        across = (radius * np.cos(angle)).astype(np.float32)[:, None]
        upward = (radius * np.sin(angle)).astype(np.float32)[:, None]
        directions = across * first
        directions += upward * second
        directions += np.sqrt(np.float32(1.0) - radius * radius) * normals
        total += np.sqrt(scene.distances(origins, directions, reach_mm) / np.float32(reach_mm))
    return total / np.float32(samples)


def ground_shadow(scene: RayScene, camera: Camera, size: tuple[int, int], ground_y: float) -> Singles:
    """(pixels,) share of the room that the ground y = ground_y sees, as the camera would see it without the ring.

    It changes slowly, so it is sampled on a coarse grid of pixels and drawn out. 1 where there is no ground.
    """
    columns, rows = (np.arange(0, side + _COARSE, _COARSE) for side in size)
    column, row = np.meshgrid(columns, rows)
    directions = camera.directions(column.ravel(), row.ravel(), *size)
    eye = camera.eye.astype(np.float32)
    share = np.ones(len(directions), dtype=np.float32)
    down = np.flatnonzero(directions[:, 1] < -0.02)
    if eye[1] > ground_y + 1.0:
        far = (np.float32(ground_y) - eye[1]) / directions[down, 1]
        places = eye + far[:, None] * directions[down]
        near = np.hypot(places[:, 0], places[:, 2]) < _GROUND_MM
        down, places = down[near], places[near]
        upward = np.broadcast_to(np.array([0.0, 1.0, 0.0], dtype=np.float32), places.shape)
        turn = np.zeros(len(places), dtype=np.int32)
        share[down] = open_share(scene, places, upward, turn, _GROUND_REACH_MM, _GROUND_SAMPLES)
    return _drawn_out(share.reshape(column.shape), *size).ravel()


def _drawn_out(coarse: Singles, width: int, height: int) -> Singles:
    """(height, width) straight-line interpolation at pixel middles of values on a grid of every _COARSE-th corner."""
    for axis, side in ((0, height), (1, width)):
        at = (np.arange(side) + 0.5) / _COARSE
        low = at.astype(np.intp)
        share = (at - low).astype(np.float32)
        share = share[:, None] if axis == 0 else share
        coarse = coarse.take(low, axis) * (np.float32(1.0) - share) + coarse.take(low + 1, axis) * share
    return coarse


def turns(width: int, height: int) -> NDArray[np.int32]:
    """(height, width) pixels of a chequerboard that are sampled: 0 to 7, each once in a 4 x 4 block; the others -1."""
    tile = np.array([[0, -1, 5, -1], [-1, 3, -1, 6], [4, -1, 1, -1], [-1, 7, -1, 2]], dtype=np.int32)
    return np.tile(tile, (height // _TILE + 1, width // _TILE + 1))[:height, :width]


def bilateral_filtered(values: Singles, normals: Singles, depth: Singles) -> Singles:
    """Values (h, w) averaged over 4 x 4 pixels of the same face: alike in normal (h, w, 3) and in depth (h, w), mm.

    NaN is a pixel that was not sampled: it takes and does not give. A pixel without any like it round it gets 1.
    """
    total = np.zeros_like(values)
    weight = np.zeros_like(values)
    known = np.isfinite(values)
    values = np.where(known, values, np.float32(0.0))
    columns = np.ascontiguousarray(np.moveaxis(normals, 2, 0))
    for down in range(-2, _TILE - 2):
        for right in range(-2, _TILE - 2):
            here, there = _overlap(values.shape[0], down), _overlap(values.shape[1], right)
            to, of = (here[0], there[0]), (here[1], there[1])
            alike = sum(column[to] * column[of] for column in columns) > np.float32(0.92)
            near = alike & known[of] & (np.abs(depth[to] - depth[of]) < np.float32(0.35))
            total[to] += values[of] * near
            weight[to] += near
    found = weight > 0.0
    return np.divide(total, weight, out=np.ones_like(total), where=found)


def _overlap(size: int, shift: int) -> tuple[slice, slice]:
    """Where places of an axis and the places `shift` further on both exist."""
    if shift >= 0:
        return slice(0, size - shift), slice(shift, size)
    return slice(-shift, size), slice(0, size + shift)


def _tangents(normals: Singles) -> tuple[Singles, Singles]:
    """Two unit vectors across each normal (Duff et al., Building an orthonormal basis, revisited, 2017)."""
    x, y, z = normals.T
    sign = np.where(z >= 0.0, np.float32(1.0), np.float32(-1.0))
    a = np.float32(-1.0) / (sign + z)
    b = x * y * a
    first = np.stack((np.float32(1.0) + sign * x * x * a, sign * b, -sign * x), axis=1)
    second = np.stack((b, sign + y * y * a, -y), axis=1)
    return first, second
