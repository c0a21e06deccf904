"""Which part of the endless strip is seen, how large, and in which of its two looks."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.strip.true_size import TrueSize

MARGIN_SHARE: Final = 0.045
"""Of the width on either side of the whole turn, for the copies that run on beyond the ends."""

MAX_SCALE: Final = 600.0
"""Pixels for a millimetre at the closest look: a printer's 0.04 mm pixel is then 24 wide."""

MIN_PART: Final = 0.6
"""The whole turn never gets smaller than this share of its fitting size: nothing is to be seen then."""


LINE_STEP_PX: Final = 4.0
"""Lines along the strip are drawn in straight parts of this length where they are curved."""

TURN_SLACK: Final = 0.1
"""In true size u of a position may differ by so much of a turn from u of the crown line at the same x."""


@dataclass(frozen=True)
class Viewport:
    """The strip's frame in device pixels of the widget.

    length, width  of what is drawn, mm: the rectangle of the strip, or the box round its true-size outline.
    turn_px        pixels of one turn: whole, so that copies meet without a crack; it sets the scale.
    left_px        pixels from the seam to the left edge of the frame, any number of turns.
    lift_px        how far the drawing's middle lies above the frame's middle.
    frame          left, top, right, bottom of the frame.
    true_size      the map of the true-size look; None for the rectangle, whose (x, y) are the strip's (u, v).
    """

    length: float
    width: float
    turn_px: int
    left_px: int
    lift_px: int
    frame: tuple[int, int, int, int]
    true_size: TrueSize | None = None

    @property
    def scale(self) -> float:
        """Pixels for a millimetre."""
        return self.turn_px / self.length

    @property
    def frame_width(self) -> int:
        """Pixels across the frame."""
        return max(1, self.frame[2] - self.frame[0])

    @property
    def frame_height(self) -> int:
        """Pixels down the frame."""
        return max(1, self.frame[3] - self.frame[1])

    @property
    def height_px(self) -> int:
        """Pixels of the strip's width."""
        return max(1, round(self.width * self.scale))

    @property
    def top_px(self) -> int:
        """Where the strip's upper edge (v = width) is drawn."""
        return self.frame[1] + (self.frame_height - self.height_px) // 2 - self.lift_px

    @property
    def strip_width(self) -> float:
        """Width of the strip, mm: v of its upper edge."""
        return self.width if self.true_size is None else self.true_size.strip.width

    @cached_property
    def centre_u(self) -> float:
        """u in the frame's middle, on the crown line, in turns without end, mm."""
        return self.position(0.5 * (self.frame[0] + self.frame[2]), self.y_of(self._crown_y))[0]

    @property
    def _crown_y(self) -> float:
        return 0.5 * self.width if self.true_size is None else self.true_size.crown_y

    def x_of(self, x: float) -> float:
        """Pixel of an x of the drawing, mm; it counts on beyond one turn."""
        return self.frame[0] + x * self.scale - self.left_px

    def y_of(self, y: float) -> float:
        """Pixel of a y of the drawing, mm; y grows upwards."""
        return self.top_px + self.height_px - y * self.scale

    def pixel(self, u: float, v: float) -> tuple[float, float]:
        """The pixel of a strip position, mm; u counts on beyond one turn."""
        if self.true_size is None:
            return self.x_of(u), self.y_of(v)
        (x,), (y,) = self.true_size.to_plane(np.array([u]), np.array([v]))
        return self.x_of(float(x)), self.y_of(float(y))

    def pixels(self, positions: Floats) -> Floats:
        """(n, 2) pixels of strip positions (n, 2), mm."""
        x, y = positions[:, 0], positions[:, 1]
        if self.true_size is not None:
            x, y = self.true_size.to_plane(x, y)
        left, base = self.frame[0] - self.left_px, self.top_px + self.height_px
        return np.column_stack((left + x * self.scale, base - y * self.scale))

    def position(self, x: float, y: float) -> tuple[float, float]:
        """(u, v) under a pixel, mm; u counts on beyond one turn, v may lie beyond the edges."""
        x, y = (x - self.frame[0] + self.left_px) / self.scale, (self.top_px + self.height_px - y) / self.scale
        if self.true_size is None:
            return x, y
        (u,), (v,) = self.true_size.to_strip(np.array([x]), np.array([y]))
        return float(u), float(v)

    def line(self, v: float) -> Floats:
        """(n, 2) pixels of the line of constant v through the whole frame."""
        first, last = self.seen
        count = 2 if self.true_size is None else max(2, round(self.frame_width / LINE_STEP_PX))
        return self.pixels(np.column_stack((np.linspace(first, last, count), np.full(count, v))))

    @cached_property
    def seen(self) -> tuple[float, float]:
        """Least and greatest u that may be in the frame."""
        ends = (self.left_px / self.scale, (self.left_px + self.frame_width) / self.scale)
        if self.true_size is None:
            return ends
        u, _ = self.true_size.to_strip(np.array(ends), np.full(2, self.true_size.crown_y))
        slack = TURN_SLACK * self.length
        return float(u[0]) - slack, float(u[1]) + slack

    def copies(self, low: float, high: float) -> list[float]:
        """Lengths to add to positions with u from low to high so that they come to lie in the frame."""
        left, right = self.seen
        first, last = math.ceil((left - high) / self.length), math.floor((right - low) / self.length)
        return [number * self.length for number in range(first, last + 1)]

    def nearest_copy(self, u: float, to_u: float) -> float:
        """The copy of u nearest to another u."""
        return u + self.length * round((to_u - u) / self.length)

    def panned(self, dx: float, dy: float) -> Viewport:
        """The content moved by dx, dy pixels; round the ring without end."""
        return self._held(replace(self, left_px=self.left_px - round(dx), lift_px=self.lift_px - round(dy)))

    def zoomed(self, factor: float, x: float, y: float) -> Viewport:
        """Enlarged by a factor with what is under pixel (x, y) kept where it is.

        Parameters:
            factor: of enlargement.
            x: pixel that stays where it is.
            y: pixel that stays where it is.
        Returns: the new viewport.
        """
        along = (x - self.frame[0] + self.left_px) / self.scale
        up = (self.top_px + self.height_px - y) / self.scale
        smallest = MIN_PART * self.fitted().turn_px
        turn = round(min(max(self.turn_px * factor, smallest), MAX_SCALE * self.length))
        made = replace(self, turn_px=max(turn, 8))
        made = replace(made, left_px=round(along * made.scale - (x - self.frame[0])))
        return self._held(replace(made, lift_px=made.lift_px + round(made.y_of(up) - y)))

    def centred(self, u: float, v: float | None = None) -> Viewport:
        """With u (the copy nearest to what is seen) in the middle, and v if given."""
        near = self.nearest_copy(u, self.centre_u)
        x, y = self.pixel(near, 0.5 * self.strip_width if v is None else v)
        made = replace(self, left_px=self.left_px + round(x - 0.5 * (self.frame[0] + self.frame[2])))
        if v is None:
            return made
        return self._held(replace(made, lift_px=self.lift_px + round(y - 0.5 * (self.frame[1] + self.frame[3]))))

    def fitted(self) -> Viewport:
        """The whole turn in the frame, the head in the middle."""
        along = self.frame_width * (1.0 - 2.0 * MARGIN_SHARE) / self.length
        across = self.frame_height / max(self.width, 1e-6)
        turn = max(8, math.floor(min(along, across) * self.length))
        made = replace(self, turn_px=turn, lift_px=0)
        return replace(made, left_px=round(0.5 * turn - 0.5 * self.frame_width))

    def in_frame(self, frame: tuple[int, int, int, int]) -> Viewport:
        """The same scale and middle in a frame of another size."""
        middle = self.left_px + 0.5 * self.frame_width
        made = replace(self, frame=frame)
        return self._held(replace(made, left_px=round(middle - 0.5 * made.frame_width)))

    def for_strip(self, length: float, width: float, true_size: TrueSize | None = None) -> Viewport:
        """The same scale and the same part of the turn in the middle, of another strip or look.

        Parameters:
            length: of what is drawn, mm.
            width: of what is drawn, mm.
            true_size: the map of the true-size look; None for the rectangle.
        Returns: the new viewport.
        """
        share = (self.left_px + 0.5 * self.frame_width) / self.turn_px
        turn = max(8, round(self.scale * length))
        made = replace(self, length=length, width=width, turn_px=turn, true_size=true_size)
        return self._held(replace(made, left_px=round(share * turn - 0.5 * made.frame_width)))

    def _held(self, made: Viewport) -> Viewport:
        """Across, the strip stays in the frame while it fits; a larger one leaves no gap wider than half the frame."""
        slack = abs(made.height_px - made.frame_height) // 2
        if made.height_px > made.frame_height:
            slack += made.frame_height // 4
        return replace(made, lift_px=min(max(made.lift_px, -slack), slack))
