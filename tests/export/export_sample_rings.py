"""Small closed meshes for the tests of this room, made here and not by the program."""

from __future__ import annotations

import numpy as np

from ringtex.solid.mesh.ring_mesh import RingMesh


def bumpy_ring(around: int = 60, across: int = 9, relief: float = 0.3) -> RingMesh:
    """A ring of bore radius 8.6, 8 wide, about 1.6 thick, with bumps; genus 1, vertices at uneven coordinates."""
    angle = np.linspace(-np.pi, np.pi, around, endpoint=False)
    side = np.linspace(-1.0, 1.0, across)
    a, s = np.meshgrid(angle, side, indexing="ij")
    radius = 10.2 - 0.4 * np.abs(s) ** 2.5 + relief * np.cos(12.0 * a) * np.cos(np.pi * s)
    outer = np.stack((-np.sin(a) * radius, np.cos(a) * radius, 4.0 * s), axis=-1)
    a, s = a[:, [-1, 0]], s[:, [-1, 0]]
    bore = np.stack((-np.sin(a) * 8.6, np.cos(a) * 8.6, 4.0 * s), axis=-1)
    vertices = np.concatenate((outer, bore), axis=1)
    count = vertices.shape[1]
    i, j = np.meshgrid(np.arange(around), np.arange(count), indexing="ij")
    here, there = i * count, (i + 1) % around * count
    following = (j + 1) % count
    first = np.stack((here + j, there + j, there + following), axis=-1).reshape(-1, 3)
    second = np.stack((here + j, there + following, here + following), axis=-1).reshape(-1, 3)
    return RingMesh(vertices.reshape(-1, 3), np.concatenate((first, second)).astype(np.int32))


def tetrahedron(scale: float = 1.0) -> RingMesh:
    """Four triangles looking outwards, volume scale ** 3 / 6."""
    vertices = scale * np.array([[0.0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1]])
    return RingMesh(vertices, np.array([[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]], dtype=np.int32))
