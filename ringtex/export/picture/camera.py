"""The camera: where a picture of the ring is taken from, the views that have names, and how the pointer moves it.

Pictures, the window's ring view and the commands all use this one. Ring axis z, head +y, seam on the palm side -y.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats, Singles
from ringtex.basics.known_names import unknown_name

VIEWS: Final[dict[str, tuple[tuple[float, float, float], tuple[float, float, float]]]] = {
    "three_quarter": ((0.80, 0.62, 0.72), (0.0, 1.0, 0.0)),
    "head": ((0.0, 1.0, 0.12), (0.0, 0.0, 1.0)),
    "palm": ((0.0, -1.0, 0.12), (0.0, 0.0, 1.0)),
    "side": ((0.0, 0.0, 1.0), (0.0, 1.0, 0.0)),
    "section": ((1.0, 0.10, 0.16), (0.0, 1.0, 0.0)),
    "bore": ((0.12, 0.38, 0.92), (0.0, 1.0, 0.0)),
    "seam": ((0.0, -1.0, 0.0), (0.0, 0.0, 1.0)),
}
"""Direction from the ring to the camera, and what is up in the picture. The seam's view is a close one of the palm
side, the others show the whole ring."""

FIELD_OF_VIEW_DEG: Final = 24.0
"""Of the picture's shorter side: as from half a metre, so that the ring looks neither flat nor bulging."""

_MARGIN: Final = 1.16
_SEAM_CLOSER: Final = 0.55
_MIN_DISTANCE_MM: Final = 1.5
_MAX_DISTANCE_MM: Final = 2000.0
_MAX_TARGET_MM: Final = 60.0


@dataclass(frozen=True, eq=False)
class Camera:
    """A pinhole camera: axes (3, 3), right, up and back as rows; target (3,) mm, in the picture's middle; distance
    from the target to the eye, mm."""

    axes: Floats
    target: Floats
    distance: float

    @property
    def eye(self) -> Floats:
        """(3,) mm."""
        eye: Floats = self.target + self.distance * self.axes[2]
        return eye

    def view_matrix(self) -> Floats:
        """(4, 4) from the ring's millimetres to the camera's."""
        matrix = np.eye(4)
        matrix[:3, :3] = self.axes
        matrix[:3, 3] = -self.axes @ self.eye
        return matrix

    def projection(self, width: float, height: float, radius: float, shift: tuple[float, float] = (0, 0)) -> Floats:
        """Perspective projection from the camera's millimetres to clip space.

        Parameters:
            width: of the picture, pixels.
            height: of the picture, pixels.
            radius: distance from the origin that must not be clipped, mm.
            shift: of the picture to the right and up, pixels.
        Returns: (4, 4), for column vectors.
        """
        across, upward = slopes(width, height)
        depth = radius + float(np.linalg.norm(self.target))
        near, far = max(self.distance - depth, 0.02 * self.distance, 0.2), self.distance + depth
        matrix = np.zeros((4, 4))
        matrix[0, 0], matrix[1, 1] = 1.0 / across, 1.0 / upward
        matrix[0, 2], matrix[1, 2] = -2.0 * shift[0] / width, -2.0 * shift[1] / height
        matrix[2, 2], matrix[2, 3] = -(far + near) / (far - near), -2.0 * far * near / (far - near)
        matrix[3, 2] = -1.0
        return matrix

    def ray(self, x: float, y: float, width: float, height: float) -> tuple[Floats, Floats]:
        """The ray through one position in the picture.

        Parameters:
            x: pixels from the left edge.
            y: pixels from the upper edge.
            width: of the picture, pixels.
            height: of the picture, pixels.
        Returns: eye and unit direction, each (3,).
        """
        across, upward = slopes(width, height)
        right, up = (2.0 * x / width - 1.0) * across, (1.0 - 2.0 * y / height) * upward
        direction = np.array([right, up, -1.0]) @ self.axes
        return self.eye, direction / np.linalg.norm(direction)

    def directions(self, column: NDArray[Any], row: NDArray[Any], width: int, height: int) -> Singles:
        """Rays through many positions in the picture, in single precision.

        Parameters:
            column: (n,) pixels from the left edge.
            row: (n,) pixels from the upper edge.
            width: of the picture, pixels.
            height: of the picture, pixels.
        Returns: (n, 3) unit directions.
        """
        across, upward = slopes(width, height)
        x = ((2.0 * column / width - 1.0) * across).astype(np.float32)
        y = ((1.0 - 2.0 * row / height) * upward).astype(np.float32)
        scale = np.float32(1.0) / np.sqrt(x * x + y * y + np.float32(1.0))
        rays = np.empty((len(x), 3), dtype=np.float32)
        for axis, (right, up, back) in enumerate(self.axes.T.astype(np.float32)):
            rays[:, axis] = (x * right + y * up - back) * scale
        return rays

    def projected(self, point: Any, width: float, height: float) -> tuple[float, float]:
        """Where a point of the ring appears in the picture.

        Parameters:
            point: (3,) mm.
            width: of the picture, pixels.
            height: of the picture, pixels.
        Returns: pixels from the left and from the upper edge.
        """
        x, y, z = self.axes @ (np.asarray(point, dtype=np.float64) - self.eye)
        across, upward = slopes(width, height)
        depth = max(-float(z), 1e-6)
        return 0.5 * width * (1.0 + float(x) / depth / across), 0.5 * height * (1.0 - float(y) / depth / upward)

    def orbited(self, right_deg: float, up_deg: float) -> Camera:
        """Turned about its target as if one turned the ring to the right and upwards."""
        turn, tilt = math.radians(right_deg), math.radians(up_deg)
        about_up = np.array([[math.cos(turn), 0, -math.sin(turn)], [0, 1, 0], [math.sin(turn), 0, math.cos(turn)]])
        about_right = np.array([[1, 0, 0], [0, math.cos(tilt), math.sin(tilt)], [0, -math.sin(tilt), math.cos(tilt)]])
        return replace(self, axes=_orthonormal(about_right.T @ about_up.T @ self.axes))

    def panned(self, right_px: float, up_px: float, width: float, height: float) -> Camera:
        """Moved so that the ring follows the pointer.

        Parameters:
            right_px: how far the pointer moved to the right, pixels.
            up_px: how far it moved upwards, pixels.
            width: of the picture, pixels.
            height: of the picture, pixels.
        Returns: the moved camera; its target stays within reach of the ring.
        """
        across, upward = slopes(width, height)
        right, up = 2.0 * right_px / width * across, 2.0 * up_px / height * upward
        target = self.target - self.distance * (right * self.axes[0] + up * self.axes[1])
        return replace(self, target=_near_the_ring(target))

    def zoomed(self, factor: float, x: float, y: float, width: float, height: float) -> Camera:
        """Nearer by a factor, so that what lies under one position in the picture stays there.

        Parameters:
            factor: over 1 comes nearer.
            x: pixels from the left edge.
            y: pixels from the upper edge.
            width: of the picture, pixels.
            height: of the picture, pixels.
        Returns: the moved camera.
        """
        distance = min(max(self.distance / factor, _MIN_DISTANCE_MM), _MAX_DISTANCE_MM)
        across, upward = slopes(width, height)
        right, up = (2.0 * x / width - 1.0) * across, (1.0 - 2.0 * y / height) * upward
        move = (self.distance - distance) * (right * self.axes[0] + up * self.axes[1])
        return replace(self, target=_near_the_ring(self.target + move), distance=distance)

    def interpolated(self, other: Camera, parameter: float) -> Camera:
        """The camera between this (0) and another (1): turned evenly, distance changed by equal factors."""
        axis, angle = _axis_angle(other.axes.T @ self.axes)
        axes = _orthonormal(self.axes @ _rotation(axis, parameter * angle).T) if angle > 1e-9 else other.axes
        distance = self.distance ** (1.0 - parameter) * other.distance**parameter
        return Camera(axes, self.target + parameter * (other.target - self.target), distance)


def slopes(width: float, height: float) -> tuple[float, float]:
    """Half the picture's width and height at distance 1."""
    half = math.tan(math.radians(FIELD_OF_VIEW_DEG) / 2.0)
    width, height = max(width, 1.0), max(height, 1.0)
    return half * max(1.0, width / height), half * max(1.0, height / width)


def camera_axes(back: Any, up: Any) -> Floats:
    """(3, 3) axes of a camera that lies in direction `back` from its target; rows right, up, back."""
    back, up = np.asarray(back, dtype=np.float64), np.asarray(up, dtype=np.float64)
    back = back / np.linalg.norm(back)
    right = np.cross(up, back)
    if np.linalg.norm(right) < 1e-6:
        right = np.cross(up + np.array([0.3, 0.4, 0.5]), back)
    right /= np.linalg.norm(right)
    return np.stack((right, np.cross(back, right), back))


def named_view(name: str, points: NDArray[Any], width: float, height: float) -> Camera:
    """The camera of a named view, as near as the whole of the points allows with a margin round it.

    Parameters:
        name: one of VIEWS.
        points: (n, 3) points of the ring, mm.
        width: of the picture, pixels.
        height: of the picture, pixels.
    Returns: the camera; the seam's is close to the palm side.
    Raises: InputError for an unknown name.
    """
    if name not in VIEWS:
        raise unknown_name(f"There is no view {name!r}", name, VIEWS, "view")
    axes = camera_axes(*VIEWS[name])
    x, y, z = axes @ points.T
    across, upward = slopes(width, height)
    eye_x, eye_y, eye_z = _nearest_eye(x, y, z, across / _MARGIN, upward / _MARGIN)
    if name == "seam":
        palm = points[points[:, 1] < 0.6 * points[:, 1].min()]
        middle = np.array([0.0, float(palm[:, 1].min()), 0.5 * float(palm[:, 2].min() + palm[:, 2].max())])
        close = close_to(middle, axes, max(float(np.ptp(palm[:, 2])), 3.0), width, height)
        return replace(close, distance=min(close.distance, _SEAM_CLOSER * (eye_z - float(z.max()))))
    middle_z = 0.5 * float(z.min() + z.max())
    return Camera(axes, np.array([eye_x, eye_y, middle_z]) @ axes, eye_z - middle_z)


def close_to(point: Floats, axes: Floats, size_mm: float, width: float, height: float) -> Camera:
    """A close view of one point.

    Parameters:
        point: (3,) what lies in the picture's middle, mm.
        axes: (3, 3) of the camera, as `camera_axes` gives them.
        size_mm: two thirds of the picture's height show this much.
        width: of the picture, pixels.
        height: of the picture, pixels.
    Returns: the camera.
    """
    return Camera(axes, point, 0.75 * size_mm / slopes(width, height)[1])


def _nearest_eye(x: Floats, y: Floats, z: Floats, across: float, upward: float) -> tuple[float, float, float]:
    """The nearest eye from which all points lie within the slopes, in the middle of the picture.

    A pair of opposite frame planes that touches the points on both sides gives the distance; the larger of two counts.
    """
    width = float(np.max(x + across * z)) + float(np.max(across * z - x))
    height = float(np.max(y + upward * z)) + float(np.max(upward * z - y))
    distance = max(width / (2.0 * across), height / (2.0 * upward))
    depth = distance - z
    return _centred(x, depth), _centred(y, depth), distance


def _centred(x: Floats, depth: Floats) -> float:
    """Where the eye must be for the points' outermost slopes to be equal on both sides (Newton's method)."""
    eye = 0.5 * float(x.min() + x.max())
    for _ in range(6):
        slope = (x - eye) / depth
        low, high = int(np.argmin(slope)), int(np.argmax(slope))
        eye += float((slope[low] + slope[high]) / (1.0 / depth[low] + 1.0 / depth[high]))
    return eye


def _near_the_ring(target: Floats) -> Floats:
    length = float(np.linalg.norm(target))
    return target if length < _MAX_TARGET_MM else target * (_MAX_TARGET_MM / length)


def _orthonormal(axes: Floats) -> Floats:
    """Axes made square again after many small turns."""
    return camera_axes(axes[2], axes[1])


def _axis_angle(turn: Floats) -> tuple[Floats, float]:
    """Axis (3,) and angle of a rotation matrix, 0 to pi."""
    angle = math.acos(min(max(0.5 * (float(np.trace(turn)) - 1.0), -1.0), 1.0))
    axis = np.array([turn[2, 1] - turn[1, 2], turn[0, 2] - turn[2, 0], turn[1, 0] - turn[0, 1]])
    if np.linalg.norm(axis) < 1e-6:
        # Half a turn: the axis is the column of turn + 1 with the greatest length.
        columns = turn + np.eye(3)
        axis = columns[:, int(np.argmax(np.linalg.norm(columns, axis=0)))]
    return axis / max(float(np.linalg.norm(axis)), 1e-12), angle


def _rotation(axis: Floats, angle: float) -> Floats:
    """Rotation matrix about a unit axis. Source: Rodrigues' formula."""
    x, y, z = axis
    cross = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    return np.asarray(np.eye(3) + math.sin(angle) * cross + (1.0 - math.cos(angle)) * cross @ cross)
