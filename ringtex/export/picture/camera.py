"""Where a picture of the ring is taken from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats
from ringtex.basics.errors import InputError

# Direction from the ring to the camera, and what is up in the picture. Ring axis z, head +y, seam on the palm side -y.
_VIEWS: Final = {
    "three_quarter": ((0.80, 0.62, 0.72), (0.0, 1.0, 0.0)),
    "head": ((0.0, 1.0, 0.12), (0.0, 0.0, 1.0)),
    "palm": ((0.0, -1.0, 0.12), (0.0, 0.0, 1.0)),
    "side": ((0.0, 0.0, 1.0), (0.0, 1.0, 0.0)),
    "section": ((1.0, 0.10, 0.16), (0.0, 1.0, 0.0)),
    "bore": ((0.12, 0.38, 0.92), (0.0, 1.0, 0.0)),
    "seam": ((0.0, -1.0, 0.0), (0.0, 0.0, 1.0)),
}

VIEWS: Final = tuple(_VIEWS)
"""Names of the views: the seam's is a close picture of the palm side, the others show the whole ring."""

FIELD_OF_VIEW_DEG: Final = 24.0
"""Of the picture's shorter side: as from half a metre, so that the ring looks neither flat nor bulging."""

_MARGIN = 1.16
_SEAM_PART = 0.55


@dataclass(frozen=True, eq=False)
class Camera:
    """A pinhole camera: eye (3,) mm; axes (3, 3), right, up and back as rows; slopes, half width and height at 1."""

    eye: Floats
    axes: Floats
    slopes: tuple[float, float]
    width: int
    height: int

    def directions(self, column: NDArray[Any], row: NDArray[Any]) -> NDArray[np.float32]:
        """(n, 3) unit vectors of the rays through picture places; (0, 0) is the first pixel's upper left corner."""
        x = ((2.0 * column / self.width - 1.0) * self.slopes[0]).astype(np.float32)
        y = ((1.0 - 2.0 * row / self.height) * self.slopes[1]).astype(np.float32)
        scale = np.float32(1.0) / np.sqrt(x * x + y * y + np.float32(1.0))
        rays = np.empty((len(x), 3), dtype=np.float32)
        for axis, (right, up, back) in enumerate(self.axes.T.astype(np.float32)):
            rays[:, axis] = (x * right + y * up - back) * scale
        return rays


def camera_for(vertices: Floats, view: str, width: int, height: int) -> Camera:
    """The camera of a named view, as near as the whole of vertices (n, 3) allows with a margin round it."""
    if view not in _VIEWS:
        raise InputError(f"There is no view {view!r}", f"Use one of {', '.join(VIEWS)}", "view")
    back, up = (np.array(vector) for vector in _VIEWS[view])
    back = back / np.linalg.norm(back)
    right = np.cross(up, back)
    right /= np.linalg.norm(right)
    axes = np.stack((right, np.cross(back, right), back))
    half = np.tan(np.radians(FIELD_OF_VIEW_DEG) / 2.0)
    slopes = (half * max(1.0, width / height), half * max(1.0, height / width))
    x, y, z = axes @ vertices.T
    eye = np.array(_nearest_eye(x, y, z, slopes[0] / _MARGIN, slopes[1] / _MARGIN))
    if view == "seam":
        eye[2] = z.max() + (eye[2] - z.max()) * _SEAM_PART
    return Camera(eye @ axes, axes, slopes, width, height)


def _nearest_eye(x: Floats, y: Floats, z: Floats, across: float, upward: float) -> tuple[float, float, float]:
    """The nearest eye from which all points lie within the slopes, in the middle of the picture.

    A pair of opposite frame planes that touches the points on both sides gives the distance; the larger of two counts.
    """
    width = float(np.max(x + across * z)) + float(np.max(across * z - x))
    height = float(np.max(y + upward * z)) + float(np.max(upward * z - y))
    distance = max(width / (2.0 * across), height / (2.0 * upward))
    depth = distance - z
    return _middle(x, depth), _middle(y, depth), distance


def _middle(x: Floats, depth: Floats) -> float:
    """Where the eye must be for the points' outermost slopes to be equal on both sides (Newton's method)."""
    eye = 0.5 * float(x.min() + x.max())
    for _ in range(6):
        slope = (x - eye) / depth
        low, high = int(np.argmin(slope)), int(np.argmax(slope))
        eye += float((slope[low] + slope[high]) / (1.0 / depth[low] + 1.0 / depth[high]))
    return eye
