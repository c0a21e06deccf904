"""Which part of the endless strip is seen, and how large."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final

MARGIN_SHARE: Final = 0.045
"""Of the width on either side of the whole turn, for the copies that run on beyond the ends."""

MAX_SCALE: Final = 600.0
"""Pixels for a millimetre at the closest look: a printer's 0.04 mm pixel is then 24 wide."""

MIN_PART: Final = 0.6
"""The whole turn never gets smaller than this share of its fitting size: nothing is to be seen then."""


@dataclass(frozen=True)
class Viewport:
    """The strip's frame in device pixels of the widget.

    length, width  of the strip, mm.
    turn_px        pixels of one turn: whole, so that copies meet without a crack; it sets the scale.
    left_px        pixels from the seam to the left edge of the frame, any number of turns.
    lift_px        how far the strip's middle lies above the frame's middle.
    frame          left, top, right, bottom of the frame.
    """

    length: float
    width: float
    turn_px: int
    left_px: int
    lift_px: int
    frame: tuple[int, int, int, int]

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
    def centre_u(self) -> float:
        """Place in the frame's middle, in turns without end, mm."""
        return (self.left_px + 0.5 * self.frame_width) / self.scale

    def x_of(self, u: float) -> float:
        """Pixel of a place along the strip; u counts on beyond one turn."""
        return self.frame[0] + u * self.scale - self.left_px

    def y_of(self, v: float) -> float:
        """Pixel of a place across the strip; v grows upwards."""
        return self.top_px + self.height_px - v * self.scale

    def place(self, x: float, y: float) -> tuple[float, float]:
        """(u, v) under a pixel, mm; u counts on beyond one turn, v may lie beyond the edges."""
        u = (x - self.frame[0] + self.left_px) / self.scale
        return u, (self.top_px + self.height_px - y) / self.scale

    def nearest_copy(self, u: float, to_u: float) -> float:
        """The copy of place u nearest to another place."""
        return u + self.length * round((to_u - u) / self.length)

    def panned(self, dx: float, dy: float) -> Viewport:
        """The content moved with the hand by dx, dy pixels; round the ring without end."""
        return self._held(replace(self, left_px=self.left_px - round(dx), lift_px=self.lift_px - round(dy)))

    def zoomed(self, factor: float, x: float, y: float) -> Viewport:
        """Enlarged by a factor with the place under pixel (x, y) kept where it is."""
        u, v = self.place(x, y)
        smallest = MIN_PART * self.fitted().turn_px
        turn = round(min(max(self.turn_px * factor, smallest), MAX_SCALE * self.length))
        made = replace(self, turn_px=max(turn, 8))
        made = replace(made, left_px=round(u * made.scale - (x - self.frame[0])))
        return self._held(replace(made, lift_px=made.lift_px + round(made.y_of(v) - y)))

    def centred(self, u: float, v: float | None = None) -> Viewport:
        """With place u (the copy nearest to what is seen) in the middle, and v if given."""
        near = self.nearest_copy(u, self.centre_u)
        made = replace(self, left_px=round(near * self.scale - 0.5 * self.frame_width))
        if v is None:
            return made
        return self._held(replace(made, lift_px=round((0.5 * self.width - v) * -self.scale)))

    def fitted(self) -> Viewport:
        """The whole turn in the frame, the head in the middle."""
        along = self.frame_width * (1.0 - 2.0 * MARGIN_SHARE) / self.length
        across = self.frame_height / max(self.width, 1e-6)
        turn = max(8, math.floor(min(along, across) * self.length))
        made = replace(self, turn_px=turn, lift_px=0)
        return replace(made, left_px=round(0.5 * turn - 0.5 * self.frame_width))

    def in_frame(self, frame: tuple[int, int, int, int]) -> Viewport:
        """The same scale and middle in a frame of another size."""
        made = replace(self, frame=frame)
        moved = round(self.centre_u * made.scale - 0.5 * made.frame_width)
        return self._held(replace(made, left_px=moved))

    def for_strip(self, length: float, width: float) -> Viewport:
        """The same scale and the same angle in the middle on another strip."""
        share = self.centre_u / self.length
        made = replace(self, length=length, width=width, turn_px=max(8, round(self.scale * length)))
        return self._held(replace(made, left_px=round(share * made.turn_px - 0.5 * made.frame_width)))

    def _held(self, made: Viewport) -> Viewport:
        """Across, the strip stays in the frame while it fits; a larger one leaves no gap wider than half the frame."""
        slack = abs(made.height_px - made.frame_height) // 2
        if made.height_px > made.frame_height:
            slack += made.frame_height // 4
        return replace(made, lift_px=min(max(made.lift_px, -slack), slack))
