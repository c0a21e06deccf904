"""The camera round the ring: how it turns, moves and comes nearer, and the views that have names. No OpenGL here."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats

FIELD_OF_VIEW_DEG: Final = 24.0
"""Of the picture's shorter side: as from half a metre, so that the ring looks neither flat nor bulging."""

VIEWS: Final[dict[str, tuple[tuple[float, float, float], tuple[float, float, float]]]] = {
    "three_quarter": ((0.80, 0.62, 0.72), (0.0, 1.0, 0.0)),
    "head": ((0.0, 1.0, 0.12), (0.0, 0.0, 1.0)),
    "palm": ((0.0, -1.0, 0.12), (0.0, 0.0, 1.0)),
    "side": ((0.0, 0.0, 1.0), (0.0, 1.0, 0.0)),
    "bore": ((0.12, 0.38, 0.92), (0.0, 1.0, 0.0)),
    "seam": ((0.0, -1.0, 0.0), (0.0, 0.0, 1.0)),
}
"""Direction from the ring to the camera, and what is up in the picture. Ring axis z, head +y, seam -y."""

_MARGIN: Final = 1.18
_NEAREST_MM: Final = 1.5
_FARTHEST_MM: Final = 2000.0


@dataclass(frozen=True, eq=False)
class Pose:
    """Where the camera is: axes (3, 3), right, up and back as rows; target (3,) mm, in the picture's middle; distance
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
        """(4, 4) from the camera's millimetres to clip space for a picture of width by height pixels.

        radius: distance from the target that must not be clipped, mm; shift: pixels to the right and up.
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
        """Eye and unit direction of the ray through a picture's place; (0, 0) is the upper left corner."""
        across, upward = slopes(width, height)
        right, up = (2.0 * x / width - 1.0) * across, (1.0 - 2.0 * y / height) * upward
        direction = np.array([right, up, -1.0]) @ self.axes
        return self.eye, direction / np.linalg.norm(direction)

    def seen_at(self, place: Any, width: float, height: float) -> tuple[float, float]:
        """Where a place (3,) mm appears in the picture, pixels from the upper left corner."""
        x, y, z = self.axes @ (np.asarray(place, dtype=np.float64) - self.eye)
        across, upward = slopes(width, height)
        depth = max(-float(z), 1e-6)
        return 0.5 * width * (1.0 + float(x) / depth / across), 0.5 * height * (1.0 - float(y) / depth / upward)

    def orbited(self, right_deg: float, up_deg: float) -> Pose:
        """Turned about its target as if the ring were turned to the right and upwards by the hand."""
        turn, tilt = math.radians(right_deg), math.radians(up_deg)
        about_up = np.array([[math.cos(turn), 0, -math.sin(turn)], [0, 1, 0], [math.sin(turn), 0, math.cos(turn)]])
        about_right = np.array([[1, 0, 0], [0, math.cos(tilt), math.sin(tilt)], [0, -math.sin(tilt), math.cos(tilt)]])
        return replace(self, axes=_upright(about_right.T @ about_up.T @ self.axes))

    def panned(self, right_px: float, up_px: float, width: float, height: float) -> Pose:
        """Moved so that the ring follows the hand by so many pixels."""
        across, upward = slopes(width, height)
        right, up = 2.0 * right_px / width * across, 2.0 * up_px / height * upward
        target = self.target - self.distance * (right * self.axes[0] + up * self.axes[1])
        return replace(self, target=_held(target))

    def zoomed(self, factor: float, x: float, y: float, width: float, height: float) -> Pose:
        """Nearer by a factor (over 1), so that what lies under the picture's place (x, y) stays there."""
        distance = min(max(self.distance / factor, _NEAREST_MM), _FARTHEST_MM)
        across, upward = slopes(width, height)
        right, up = (2.0 * x / width - 1.0) * across, (1.0 - 2.0 * y / height) * upward
        move = (self.distance - distance) * (right * self.axes[0] + up * self.axes[1])
        return replace(self, target=_held(self.target + move), distance=distance)

    def towards(self, other: Pose, share: float) -> Pose:
        """The pose on the way to another, share 0 to 1: turned evenly, distance changed by equal factors."""
        turn = other.axes.T @ self.axes
        axis, angle = _axis_angle(turn)
        axes = _upright(self.axes @ _rotation(axis, share * angle).T) if angle > 1e-9 else other.axes
        distance = self.distance ** (1.0 - share) * other.distance**share
        return Pose(axes, self.target + share * (other.target - self.target), distance)


def slopes(width: float, height: float) -> tuple[float, float]:
    """Half the picture's width and height at distance 1."""
    half = math.tan(math.radians(FIELD_OF_VIEW_DEG) / 2.0)
    width, height = max(width, 1.0), max(height, 1.0)
    return half * max(1.0, width / height), half * max(1.0, height / width)


def looking_from(back: Any, up: Any) -> Floats:
    """(3, 3) axes of a camera that lies in direction `back` from its target; rows right, up, back."""
    back, up = np.asarray(back, dtype=np.float64), np.asarray(up, dtype=np.float64)
    back = back / np.linalg.norm(back)
    right = np.cross(up, back)
    if np.linalg.norm(right) < 1e-6:
        right = np.cross(up + np.array([0.3, 0.4, 0.5]), back)
    right /= np.linalg.norm(right)
    return np.stack((right, np.cross(back, right), back))


def named_view(name: str, places: NDArray[Any], width: float, height: float) -> Pose:
    """The pose of a named view that shows all of places (n, 3), mm; the seam's is close to the palm side.

    Raises: KeyError for an unknown name.
    """
    axes = looking_from(*VIEWS[name])
    if name == "seam":
        palm = places[places[:, 1] < 0.6 * places[:, 1].min()]
        middle = np.array([0.0, float(palm[:, 1].min()), 0.5 * float(palm[:, 2].min() + palm[:, 2].max())])
        return close_to(middle, axes, max(float(np.ptp(palm[:, 2])), 3.0), width, height)
    seen = places @ axes.T
    middle = 0.5 * (seen.min(axis=0) + seen.max(axis=0))
    x, y, z = (seen - middle).T
    across, upward = slopes(width, height)
    distance = _MARGIN * max(float(np.max(np.abs(x) / across + z)), float(np.max(np.abs(y) / upward + z)))
    return Pose(axes, middle @ axes, distance)


def close_to(place: Floats, axes: Floats, size_mm: float, width: float, height: float) -> Pose:
    """A pose with a place in its middle and room for one and a half times size_mm above each other."""
    return Pose(axes, place, 0.75 * size_mm / slopes(width, height)[1])


def _held(target: Floats) -> Floats:
    """The target kept within reach of the ring."""
    length = float(np.linalg.norm(target))
    return target if length < 60.0 else target * (60.0 / length)


def _upright(axes: Floats) -> Floats:
    """Axes made square again after many small turns."""
    return looking_from(axes[2], axes[1])


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
