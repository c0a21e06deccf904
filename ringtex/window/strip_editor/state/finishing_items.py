"""Stones and plain places as they lie on the strip."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.basics.errors import InputError
from ringtex.design.design import Design
from ringtex.edits.finishing_edits import Entry
from ringtex.relief.plain_options import PlainPlace
from ringtex.relief.plain_outline import outline, place_map
from ringtex.solid.finishing.stone_options import Stone, StoneRow, placed_stones
from ringtex.strip.strip_map import StripMap

CIRCLE_STEPS: Final = 72
OUTLINE_STEP_MM: Final = 0.2


@dataclass(frozen=True, eq=False)
class FinishItem:
    """One stone or plain place on the strip.

    entry: where it is in the design. u, v: its middle, mm. border: (n, 2) strip positions of the collar's edge or
    of the plain place's border. stone: the stone's options. mm: ring millimetres for one of the
    strip along u and along v.
    """

    entry: Entry
    u: float
    v: float
    border: Floats
    mm: tuple[float, float]
    stone: Stone | None = None
    plain: PlainPlace | None = None

    @property
    def half_mm(self) -> tuple[float, float]:
        """Half its width and half its height on the ring: a stone's without its collar."""
        if self.plain is not None:
            return self.plain.half_mm
        half = 0.5 * self.stone.diameter_mm if self.stone is not None else 0.0
        return half, half

    def circle(self, radius_mm: float, steps: int = CIRCLE_STEPS, start_deg: float = 0.0) -> Floats:
        """(steps, 2) strip positions of a circle of that radius on the ring about the middle.

        Parameters:
            radius_mm: of the circle, mm.
            steps: how many points.
            start_deg: angle of the first.
        Returns: (steps, 2) strip positions, mm.
        """
        angle = np.radians(start_deg) + 2.0 * np.pi * np.arange(steps) / steps
        along, across = radius_mm / self.mm[0], radius_mm / self.mm[1]
        return np.column_stack((self.u + along * np.cos(angle), self.v + across * np.sin(angle)))

    def holds(self, u: float, v: float, length: float) -> bool:
        """Whether a place, u of any turn, lies inside the border. Ray casting (Shimrat 1962, Algorithm 112).

        Parameters:
            u: position round the ring, mm, of any turn.
            v: position across, mm.
            length: of one turn of the strip, mm.
        Returns: whether the position is inside.
        """
        near = u - length * round((u - self.u) / length)
        before = np.roll(self.border, 1, axis=0)
        crosses = (self.border[:, 1] > v) != (before[:, 1] > v)
        rise = np.where(crosses, before[:, 1] - self.border[:, 1], 1.0)
        at = self.border[:, 0] + (v - self.border[:, 1]) / rise * (before[:, 0] - self.border[:, 0])
        return bool(np.sum(crosses & (near < at)) % 2)

    def away_mm(self, u: float, v: float, length: float) -> tuple[float, float]:
        """How far a place is from the middle along and across, mm on the ring by the middle's own scale.

        Parameters:
            u: position round the ring, mm, of any turn.
            v: position across, mm.
            length: of one turn of the strip, mm.
        Returns: distances along and across, mm on the ring.
        """
        near = u - length * round((u - self.u) / length)
        return (near - self.u) * self.mm[0], (v - self.v) * self.mm[1]


class FinishItems:
    """The items of a design on a strip; worked out again only when one of them changed."""

    def __init__(self) -> None:
        self._strip: StripMap | None = None
        self._of: tuple[object, object] = ((), ())
        self._kept: dict[tuple[Entry, object], list[FinishItem]] = {}
        self._items: tuple[FinishItem, ...] = ()

    def of(self, strip: StripMap, design: Design) -> tuple[FinishItem, ...]:
        """Plain places first, then stones, in the order of painting."""
        if strip is not self._strip:
            self._kept, self._of = {}, ((), ())
            self._strip, self._items = strip, ()
        if (design.stones, design.plain) != self._of:
            self._of = (design.stones, design.plain)
            wanted: list[tuple[Entry, object]] = [
                *((Entry("plain", number), place) for number, place in enumerate(design.plain)),
                *((Entry("stones", number), stone) for number, stone in enumerate(design.stones)),
            ]
            # Only what was changed is worked out again.
            self._kept = {key: self._kept.get(key) or _items_of(strip, *key) for key in wanted}
            self._items = tuple(item for key in wanted for item in self._kept[key])
        return self._items


def _items_of(strip: StripMap, entry: Entry, options: object) -> list[FinishItem]:
    if isinstance(options, PlainPlace):
        return [_plain_item(strip, entry, options)]
    assert isinstance(options, Stone | StoneRow)
    return _stone_items(strip, entry, options)


def _plain_item(strip: StripMap, entry: Entry, place: PlainPlace) -> FinishItem:
    u, v = place.u * strip.length, place.v * strip.width
    border = outline(place, OUTLINE_STEP_MM)
    at_u, at_v = place_map(strip, place).to_strip(border[:, 0], border[:, 1])
    held = np.column_stack((at_u, np.clip(at_v, 0.0, strip.width)))
    return FinishItem(entry, u, v, held, _scale(strip, u, v), plain=place)


def _stone_items(strip: StripMap, entry: Entry, options: Stone | StoneRow) -> list[FinishItem]:
    items = []
    for stone in _spread(strip, options):
        u, v = stone.u * strip.length, stone.v * strip.width
        bare = FinishItem(entry, u, v, np.zeros((0, 2)), _scale(strip, u, v), stone=stone)
        border = bare.circle(0.5 * stone.diameter_mm + stone.collar_mm)
        items.append(FinishItem(entry, u, v, border, bare.mm, stone=stone))
    return items


def _spread(strip: StripMap, entry: Stone | StoneRow) -> tuple[Stone, ...]:
    """The entry's stones; of a row that cannot be had only its middle, so that it can still be taken hold of."""
    try:
        return placed_stones(strip, (entry,))
    except InputError:
        return (entry.stone if isinstance(entry, StoneRow) else entry,)


def _scale(strip: StripMap, u: float, v: float) -> tuple[float, float]:
    e, _, g = strip.metric(np.array([u]), np.array([v]))
    return max(float(np.sqrt(e[0])), 1e-6), max(float(np.sqrt(g[0])), 1e-6)
