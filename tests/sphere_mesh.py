"""A sphere of triangles, whose normals and crossings have closed forms."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray


def sphere(rows: int, columns: int, radius: float = 5.0) -> tuple[NDArray[np.float64], NDArray[np.int32]]:
    """A closed sphere of triangles that look outwards."""
    theta = np.linspace(0.0, np.pi, rows + 1)[1:-1]
    phi = np.linspace(0.0, 2.0 * np.pi, columns, endpoint=False)
    t, p = np.meshgrid(theta, phi, indexing="ij")
    body = radius * np.stack((np.sin(t) * np.cos(p), np.sin(t) * np.sin(p), np.cos(t)), axis=-1).reshape(-1, 3)
    vertices = np.concatenate((body, [[0, 0, radius], [0, 0, -radius]]))
    i, j = np.meshgrid(np.arange(rows - 2), np.arange(columns), indexing="ij")
    a, b = i * columns + j, i * columns + (j + 1) % columns
    quads = np.stack((a, a + columns, b + columns, b), axis=-1).reshape(-1, 4)
    ring, top, bottom = np.arange(columns), len(body), len(body) + 1
    last = (rows - 2) * columns
    caps = [np.stack((np.full(columns, top), ring, (ring + 1) % columns), axis=1)]
    caps.append(np.stack((np.full(columns, bottom), last + (ring + 1) % columns, last + ring), axis=1))
    return vertices, np.concatenate((quads[:, :3], quads[:, [0, 2, 3]], *caps)).astype(np.int32)
