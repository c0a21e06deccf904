"""The band's outer face alone, without relief, as a mesh to look at."""

from __future__ import annotations

import numpy as np

from ringtex.solid.mesh.ring_mesh import RingMesh
from ringtex.strip.strip_map import StripMap


def bare_face_mesh(strip: StripMap, around: int = 720, across: int = 96) -> RingMesh:
    """(around x (across + 1)) places of the face in even steps of the strip, closed round the ring, open at the edges.

    For pictures and overlays that judge the surface; it is no body and cannot be made.
    """
    u, v = np.meshgrid(
        strip.length * np.arange(around) / around, np.linspace(0.0, strip.width, across + 1), indexing="ij"
    )
    number = np.arange(around * (across + 1)).reshape(around, across + 1)
    ahead = np.roll(number, -1, axis=0)
    here, right, up, both = number[:, :-1], ahead[:, :-1], number[:, 1:], ahead[:, 1:]
    faces = np.concatenate([np.stack([here, right, both], axis=-1), np.stack([here, both, up], axis=-1)])
    return RingMesh(strip.point(u.ravel(), v.ravel()), faces.reshape(-1, 3).astype(np.int32))
