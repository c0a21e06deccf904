"""Where a plain place lies on the strip, and how far places are from its border, in mm on the ring."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.basics.caches import cached
from ringtex.basics.errors import InputError
from ringtex.relief.plain_options import MAX_PLACES, PlainPlace
from ringtex.strip.strip_map import StripMap

APART_MM = 0.05
"""Two plain places come no nearer to each other than this: a thinner ridge between them would not be made."""

NEAR_STEP_MM = 0.2
"""Steps of a border when two places are compared."""

POLE_SHARE = 0.03
"""On a window of 5 mm this cuts 0.001 mm off its top and bottom."""

STEPS = 2048
"""Steps of the tables of lengths along a place's two middle lines: right to 1e-4 mm."""


@dataclass(frozen=True, eq=False)
class PlaceMap:
    """Lengths on the ring along a place's two middle lines, from its middle.

    x runs along u, one turn each way, and y along v; each is a table with the strip coordinate beside the length. Away
    from the middle lines the two are taken together, so that a place is as wide there as its own lines on the strip
    say.
    """

    u: Floats
    x: Floats
    v: Floats
    y: Floats

    def to_strip(self, x: Floats, y: Floats) -> tuple[Floats, Floats]:
        """u and v of places given in mm; v runs on evenly beyond the strip's edges."""
        return np.interp(x, self.x, self.u), _carried_on(y, self.y, self.v)

    def from_strip(self, u: Floats, v: Floats) -> tuple[Floats, Floats]:
        """x and y in mm of strip places, x the short way round."""
        middle = 0.5 * (self.u[0] + self.u[-1])
        length = self.u[-1] - middle
        near = u - length * np.rint((u - middle) / length)
        x, other = (np.interp(each, self.u, self.x) for each in (near, near - np.copysign(length, near - middle)))
        return np.where(np.abs(x) <= np.abs(other), x, other), _carried_on(v, self.v, self.y)


@cached(2 * MAX_PLACES)
def place_map(strip: StripMap, place: PlainPlace) -> PlaceMap:
    """The lengths round the middle of a place; cached, as relief, checks of overlaps and cuts ask for them."""
    middle_u, middle_v = place.u * strip.length, place.v * strip.width
    u = middle_u + strip.length * np.linspace(0.0, 1.0, STEPS + 1)
    v = strip.width * np.linspace(0.0, 1.0, STEPS + 1)
    along = np.sqrt(strip.metric(u, np.full(len(u), middle_v))[0])
    across = np.sqrt(strip.metric(np.full(len(v), middle_u), v)[2])
    x, y = _lengths(u, along), _lengths(v, across)
    # A turn ahead, and the same turn behind.
    u, x = (np.concatenate((each - (each[-1] - each[0]), each[1:])) for each in (u, x))
    return PlaceMap(u, x, v, y - np.interp(middle_v, v, y))


def outline(place: PlainPlace, longest_mm: float) -> Floats:
    """(n, 2) its border in mm from its middle, counter-clockwise, in steps no longer than longest_mm."""
    half_x, half_y = place.half_mm
    if place.shape == "round":
        count = max(24, int(np.ceil(2.0 * np.pi * max(half_x, half_y) / longest_mm)))
        angle = 2.0 * np.pi * np.arange(count) / count
        return np.column_stack((half_x * np.cos(angle), half_y * np.sin(angle)))
    radius = place.rounding_mm
    bend = max(6, int(np.ceil(0.5 * np.pi * radius / longest_mm)))
    corners = []
    for quarter, (sx, sy) in enumerate(((1, 1), (-1, 1), (-1, -1), (1, -1))):
        angle = 0.5 * np.pi * (quarter + np.arange(bend + 1) / bend)
        middle = np.array([sx * (half_x - radius), sy * (half_y - radius)])
        corners.append(middle + radius * np.column_stack((np.cos(angle), np.sin(angle))))
    return _in_steps(np.concatenate(corners), longest_mm)


def distance_outside(place: PlainPlace, x: Floats, y: Floats) -> Floats:
    """Distance from a plain place's border; for an ellipse along the line to its middle.

    Parameters:
        place: the region.
        x, y: (n,) lengths on the ring from its middle, mm.
    Returns: (n,) mm; 0 or less inside.
    """
    half_x, half_y = place.half_mm
    if place.shape == "round":
        out, reach = np.hypot(x / half_x, y / half_y), np.hypot(x, y)
        return np.asarray(reach - reach / np.maximum(out, 1e-9))
    radius = place.rounding_mm
    over_x, over_y = np.abs(x) - (half_x - radius), np.abs(y) - (half_y - radius)
    outside = np.hypot(np.maximum(over_x, 0.0), np.maximum(over_y, 0.0))
    return np.asarray(outside + np.minimum(np.maximum(over_x, over_y), 0.0) - radius)


def refuse_overlaps(strip: StripMap, places: Sequence[PlainPlace]) -> None:
    """Raises: InputError, naming the later one, where two places overlap: their floors would lie in one another."""
    for number, place in enumerate(places):
        lengths = place_map(strip, place)
        for other in places[:number]:
            theirs = place_map(strip, other)
            on_strip = [theirs.to_strip(*(share * outline(other, NEAR_STEP_MM)).T) for share in (1.0, 0.5, 0.0)]
            own = [lengths.to_strip(*(share * outline(place, NEAR_STEP_MM)).T) for share in (1.0, 0.5, 0.0)]
            inside = min(
                *(float(np.min(distance_outside(place, *lengths.from_strip(*at)))) for at in on_strip),
                *(float(np.min(distance_outside(other, *theirs.from_strip(*at)))) for at in own),
            )
            if inside < APART_MM:
                message = "this plain place overlaps another one"
                raise InputError(message, "Move them apart, or make one place of the two", f"plain[{number}]")


def half_width_at(place: PlainPlace, y: Floats) -> Floats:
    """(n,) half the width of a place at heights within it, mm: less in rounded corners.

    A round place ends at its top and bottom in a stroke of POLE_SHARE of its width.
    """
    half_x, half_y = place.half_mm
    if place.shape == "round":
        return np.asarray(half_x * np.sqrt(np.maximum(1.0 - (y / half_y) ** 2, POLE_SHARE**2)))
    radius = place.rounding_mm
    into = np.clip(np.abs(y) - (half_y - radius), 0.0, radius)
    return np.asarray(half_x - radius + np.sqrt(radius * radius - into * into))


def _lengths(place: Floats, scale: Floats) -> Floats:
    return np.concatenate(([0.0], np.cumsum(0.5 * (scale[1:] + scale[:-1]) * np.diff(place))))


def _carried_on(at: Floats, table: Floats, values: Floats) -> Floats:
    """Linear interpolation that runs on beyond both ends with the end's own slope."""
    low = (values[1] - values[0]) / (table[1] - table[0])
    high = (values[-1] - values[-2]) / (table[-1] - table[-2])
    beyond = np.minimum(at - table[0], 0.0) * low + np.maximum(at - table[-1], 0.0) * high
    return np.asarray(np.interp(at, table, values) + beyond)


def _in_steps(corners: Floats, longest_mm: float) -> Floats:
    """The closed line with every part that is longer than a step cut into equal ones."""
    run = np.roll(corners, -1, axis=0) - corners
    length = np.hypot(run[:, 0], run[:, 1])
    kept = length > 1e-9
    corners, run, length = corners[kept], run[kept], length[kept]
    pieces = np.maximum(np.ceil(length / longest_mm), 1.0).astype(np.int64)
    part = np.repeat(np.arange(len(pieces)), pieces)
    number = np.arange(len(part)) - np.repeat(np.cumsum(pieces) - pieces, pieces)
    return np.asarray(corners[part] + (number / pieces[part])[:, None] * run[part])
