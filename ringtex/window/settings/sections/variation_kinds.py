"""What is said by curves round the ring and across it: the density of cells, and the relief's share of its depth."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any, Final, cast

from ringtex.edits.brush_strokes import Subject
from ringtex.pattern.density_options import MAX_FACTOR, DensityOptions
from ringtex.relief.relief_options import FadeOptions
from ringtex.window.settings.design_editor import DesignEditor

Point = tuple[float, float]

FIRST_ANGLES: Final = (0.0, 90.0, 180.0, -90.0)
"""Head, shoulders and palm: what a designer speaks of."""
FIRST_SHARES: Final = (0.0, 0.5, 1.0)


@dataclass(frozen=True)
class VariationKind:
    """One kind of thing that differs from place to place.

    key      of its options in the design.  neutral, low, high, step: its values; halved and doubled alike where is_log.
    noun     how undo calls it.  words: above and below the drawings' middle.
    """

    subject: Subject
    key: str
    title: str
    noun: str
    neutral: float
    low: float
    high: float
    step: float
    is_log: bool
    words: tuple[str, str]

    def empty(self) -> DensityOptions | FadeOptions:
        """Nothing asked for."""
        return DensityOptions() if self.subject == "density" else FadeOptions()

    def options(self, editor: DesignEditor) -> DensityOptions | FadeOptions:
        """What the design asks for."""
        return cast(DensityOptions | FadeOptions, editor.value(self.key) or self.empty())

    def with_curve(
        self, editor: DesignEditor, name: str, points: tuple[Point, ...]
    ) -> DensityOptions | FadeOptions | None:
        """The options with another curve "around" or "across"; None where then nothing is asked for."""
        made = replace(self.options(editor), **cast(dict[str, Any], {name: points}))
        return None if made == self.empty() else made

    def height(self, value: float) -> float:
        """Where a value is drawn."""
        return math.log2(value) if self.is_log else value

    def value_at(self, height: float) -> float:
        """The value drawn at a height, held within the limits."""
        return min(max(2.0**height if self.is_log else height, self.low), self.high)

    def value_text(self, value: float) -> str:
        """A value in words."""
        if self.is_log:
            return f"{value:.2f} times as many"
        return f"{100.0 * value:.0f} % of the depth"


DENSITY: Final = VariationKind(
    "density", "pattern.density", "Closer or wider by place", "density", 1.0, 1.0 / MAX_FACTOR, MAX_FACTOR,
    0.05, True, ("closer", "wider"),
)  # fmt: skip
FADE: Final = VariationKind(
    "fade", "relief.fade", "Shallower by place", "fade", 1.0, 0.0, 1.0, 0.01, False, ("full depth", "none")
)


def first_points(name: str, neutral: float) -> tuple[Point, ...]:
    """Points to take hold of where the design has none yet."""
    places = FIRST_ANGLES if name == "around" else FIRST_SHARES
    return tuple((place, neutral) for place in places)


def mirror_index_of(points: tuple[Point, ...], index: int) -> int | None:
    """The point that is the mirror image of another across head and palm; None for points there, and where none is."""
    angle = points[index][0]
    if abs(math.sin(math.radians(angle))) < 1e-9:
        return None
    return next((at for at, (other, _) in enumerate(points) if _together(other, -angle)), None)


def left_is_like_right(points: tuple[Point, ...]) -> bool:
    """Whether every point's mirror image is there too, with the same value."""
    for index, (angle, value) in enumerate(points):
        if abs(math.sin(math.radians(angle))) >= 1e-9:
            mirrored = mirror_index_of(points, index)
            if mirrored is None or abs(points[mirrored][1] - value) > 1e-9:
                return False
    return True


def with_left_like_right(points: tuple[Point, ...]) -> tuple[Point, ...]:
    """The points from head to palm counter-clockwise, and their mirror images."""
    half = [(angle % 360.0, value) for angle, value in points if angle % 360.0 <= 180.0]
    images = [(-angle, value) for angle, value in half if 0.0 < angle < 180.0]
    return (*half, *images)


def _together(one: float, other: float) -> bool:
    return abs((one - other + 180.0) % 360.0 - 180.0) < 1e-6
