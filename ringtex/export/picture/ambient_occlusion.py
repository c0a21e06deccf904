"""Ambient occlusion: how much of the room a point on the ring sees, for the shading of grooves and of the ground."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Singles
from ringtex.export.picture.camera import Camera
from ringtex.export.picture.ray_scene import RayScene

RAY_OFFSET_MM: Final = 0.003
"""Rays start this far above a face, or float32 would let them meet the face that they leave."""

_TILE, _ROTATIONS = 4, 8
_SAMPLES = 8
_COARSE = 6
_GROUND_SAMPLES = 48
_GROUND_RADIUS_MM = 14.0
_GROUND_MM = 30.0


def visibility(
    scene: RayScene,
    points: Singles,
    normals: Singles,
    rotation: NDArray[np.integer],
    radius_mm: float,
    samples: int = _SAMPLES,
) -> Singles:
    """Fraction of the half sphere above each point that is free of metal, cosine-weighted; far metal counts less.

    Parameters:
        scene: what the rays may meet.
        points: (n, 3) mm.
        normals: (n, 3) unit.
        rotation: (n,) 0 to 7, of the sampled directions, so that `bilateral_filtered` averages different ones.
        radius_mm: metal further off does not count.
        samples: rays a point.
    Returns: (n,) from 0, walled in, to 1, open.
    """
    first, second = _tangents(normals)
    origins = points + np.float32(RAY_OFFSET_MM) * normals
    total = np.zeros(len(points), dtype=np.float32)
    golden = np.pi * (3.0 - np.sqrt(5.0))  # Vogel's spiral spreads points evenly over a disc
    for sample in range(samples):
        angle = sample * golden + rotation * (2.0 * np.pi / _ROTATIONS)
        radius = np.float32(np.sqrt((sample + 0.5) / samples))
        across = (radius * np.cos(angle)).astype(np.float32)[:, None]
        upward = (radius * np.sin(angle)).astype(np.float32)[:, None]
        directions = across * first
        directions += upward * second
        directions += np.sqrt(np.float32(1.0) - radius * radius) * normals
        total += np.sqrt(scene.distances(origins, directions, radius_mm) / np.float32(radius_mm))
    return total / np.float32(samples)


def ground_visibility(scene: RayScene, camera: Camera, size: tuple[int, int], ground_y: float) -> Singles:
    """How much of the room the ground below the ring sees, for its soft shadow.

    It changes slowly, so it is sampled on a coarse grid of pixels and interpolated.

    Parameters:
        scene: the ring.
        camera: sees the ground as if the ring were not there.
        size: width and height of the picture, pixels.
        ground_y: height of the ground, mm.
    Returns: (width * height,) by rows; 1 where there is no ground.
    """
    columns, rows = (np.arange(0, side + _COARSE, _COARSE) for side in size)
    column, row = np.meshgrid(columns, rows)
    directions = camera.directions(column.ravel(), row.ravel(), *size)
    eye = camera.eye.astype(np.float32)
    sky_visibility = np.ones(len(directions), dtype=np.float32)
    down = np.flatnonzero(directions[:, 1] < -0.02)
    if eye[1] > ground_y + 1.0:
        distance = (np.float32(ground_y) - eye[1]) / directions[down, 1]
        points = eye + distance[:, None] * directions[down]
        near = np.hypot(points[:, 0], points[:, 2]) < _GROUND_MM
        down, points = down[near], points[near]
        upward = np.broadcast_to(np.array([0.0, 1.0, 0.0], dtype=np.float32), points.shape)
        rotation = np.zeros(len(points), dtype=np.int32)
        sky_visibility[down] = visibility(scene, points, upward, rotation, _GROUND_RADIUS_MM, _GROUND_SAMPLES)
    return _interpolated(sky_visibility.reshape(column.shape), *size).ravel()


def _interpolated(coarse: Singles, width: int, height: int) -> Singles:
    """(height, width) bilinear interpolation at pixel centres of values on a grid of every _COARSE-th corner."""
    for axis, side in ((0, height), (1, width)):
        position = (np.arange(side) + 0.5) / _COARSE
        low = position.astype(np.intp)
        weight = (position - low).astype(np.float32)
        weight = weight[:, None] if axis == 0 else weight
        coarse = coarse.take(low, axis) * (np.float32(1.0) - weight) + coarse.take(low + 1, axis) * weight
    return coarse


def sample_rotations(width: int, height: int) -> NDArray[np.int32]:
    """(height, width) pixels of a chequerboard that are sampled: 0 to 7, each once in a 4 x 4 block; the others -1."""
    tile = np.array([[0, -1, 5, -1], [-1, 3, -1, 6], [4, -1, 1, -1], [-1, 7, -1, 2]], dtype=np.int32)
    return np.tile(tile, (height // _TILE + 1, width // _TILE + 1))[:height, :width]


def bilateral_filtered(values: Singles, normals: Singles, depth: Singles) -> Singles:
    """Values averaged over 4 x 4 pixels of the same face: alike in normal and in depth.

    Parameters:
        values: (h, w); NaN where a pixel was not sampled.
        normals: (h, w, 3) unit.
        depth: (h, w) mm.
    Returns: (h, w); 1 where no sampled pixel nearby is alike.
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
    return np.divide(total, weight, out=np.ones_like(total), where=weight > 0.0)


def _overlap(size: int, shift: int) -> tuple[slice, slice]:
    """Slices of an axis for the indices that exist, and those `shift` further on."""
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
