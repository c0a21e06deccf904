"""The brush that paints on the strip, and what a stroke of it does to the design."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.design.design import Design
from ringtex.pattern.density_options import MAX_FACTOR, DensityOptions
from ringtex.relief.relief_options import FadeOptions
from ringtex.strip.strip_map import StripMap

Subject = Literal["density", "fade"]
Act = Literal["more", "less", "erase"]

MIN_BRUSH_MM: Final = 0.5
MAX_BRUSH_MM: Final = 8.0
"""Half a cell, and half a wide band: beyond, a curve round or across says it better."""
STRONGEST: Final = 4.0
"""One stroke makes cells at most half as long; a second one goes further."""


@dataclass(frozen=True)
class Brush:
    """subject: "density" of cells or "fade" of the relief's depth. act: "more" for denser cells, "less" for looser ones
    or shallower relief, "erase" for neither. radius_mm on the ring. strength: the density's factor, 1 to 4. share: what
    a fade leaves of the depth, 0 to 1.
    """

    subject: Subject = "density"
    act: Act = "more"
    radius_mm: float = 2.0
    strength: float = 2.0
    share: float = 0.0

    @property
    def acts(self) -> tuple[Act, ...]:
        """What this subject can be painted with: depth is never more than the relief's."""
        return ("more", "less", "erase") if self.subject == "density" else ("less", "erase")

    @property
    def label(self) -> str:
        """How undo calls a stroke."""
        if self.act == "erase":
            return "wipe off paint"
        if self.subject == "fade":
            return "paint the relief shallower"
        return "paint cells denser" if self.act == "more" else "paint cells looser"


FIRST_BRUSHES: Final = {"density": Brush("density", "more"), "fade": Brush("fade", "less")}


Spot = tuple[float, float, float, float]

SPACING: Final = {"density": 1.0, "fade": 0.75}
"""Distance of a stroke's spots over their radius: their sum along it then differs by an eighth, and by a fifth."""

SAME_PLACE: Final = 0.4
"""Painting over a spot so near, in radii, makes it stronger; so that many strokes stay few spots."""

STEPS_A_RADIUS: Final = 8.0
LOOKS: Final = 16
"""A stroke is followed in steps of an eighth of the radius where the strip is stretched most, so that spots come no
further apart than asked for by as much; looked at in 16 places between two of the pointer's.
"""


def spots_of(design: Design, subject: str) -> tuple[Spot, ...]:
    """The painted spots of a design."""
    options = design.pattern.density if subject == "density" else design.relief.fade
    return () if options is None else options.spots


def with_spots(design: Design, subject: str, spots: tuple[Spot, ...]) -> Design:
    """The design with other spots. Where cells become unlike by it, they can neither slide nor climb any more.

    Parameters:
        design: the design before the change.
        subject: density or fade.
        spots: the new ones.
    Returns: the changed design.
    Raises: InputError for more than can be painted.
    """
    if subject == "fade":
        fade = replace(design.relief.fade or FadeOptions(), spots=spots)
        return replace(design, relief=replace(design.relief, fade=None if fade == FadeOptions() else fade))
    density = replace(design.pattern.density or DensityOptions(), spots=spots)
    pattern = replace(design.pattern, density=None if density == DensityOptions() else density)
    if pattern.uses_target_density:
        pattern = replace(pattern, twist=0, slide_mm=(0.0, 0.0))
    return replace(design, pattern=pattern)


class BrushStroke:
    """One stroke with one brush, from pressing to letting go."""

    def __init__(self, strip: StripMap, brush: Brush) -> None:
        self._strip, self._brush = strip, brush
        self._last: tuple[float, float] | None = None
        self._own: list[Floats] = []

    def move(self, design: Design, u: float, v: float) -> Design:
        """The design after the brush came to (u, v), mm, u of any turn.

        Parameters:
            design: the design before the change.
            u: position round the ring, mm, of any turn.
            v: position across, mm.
        Returns: the design after this movement.
        Raises: InputError.
        """
        for at_u, at_v in self._way(u, v):
            design = self._dabbed(design, at_u, at_v)
        self._last = (u, v)
        return design

    def _way(self, u: float, v: float) -> list[tuple[float, float]]:
        """Places from the last one on, near enough that a quick hand leaves no gaps."""
        if self._last is None:
            return [(u, v)]
        from_u, from_v = self._last
        shares = np.linspace(0.0, 1.0, LOOKS + 1)
        line = self._points(from_u + shares * (u - from_u), from_v + shares * (v - from_v))
        longest = LOOKS * float(np.max(np.linalg.norm(np.diff(line, axis=0), axis=1)))
        count = max(1, int(np.ceil(STEPS_A_RADIUS * longest / self._brush.radius_mm)))
        shares = np.arange(1, count + 1) / count
        return [(from_u + float(s) * (u - from_u), from_v + float(s) * (v - from_v)) for s in shares]

    def _dabbed(self, design: Design, u: float, v: float) -> Design:
        brush, spots = self._brush, spots_of(design, self._brush.subject)
        place = self._points(np.array([u]), np.array([v]))[0]
        if brush.act == "erase":
            away = self._distances(spots, place)
            kept = tuple(spot for spot, far in zip(spots, away, strict=True) if far > brush.radius_mm)
            return design if len(kept) == len(spots) else with_spots(design, brush.subject, kept)
        reach = SPACING[brush.subject] * brush.radius_mm
        if any(float(np.linalg.norm(own - place)) < 0.98 * reach for own in self._own):
            return design
        self._own.append(place)
        return with_spots(design, brush.subject, self._painted(spots, place, u, v))

    def _painted(self, spots: tuple[Spot, ...], place: Floats, u: float, v: float) -> tuple[Spot, ...]:
        """The spots and a new one, or one of them made stronger."""
        brush, strip = self._brush, self._strip
        value = brush.share if brush.subject == "fade" else self._factor
        for number, far in enumerate(self._distances(spots, place)):
            _, _, radius, old = spots[number]
            alike = 0.75 < radius / brush.radius_mm < 1.33 and self._same_way(old, value)
            if alike and far < SAME_PLACE * brush.radius_mm:
                stronger = old * value if brush.subject == "fade" else _held(old * value)
                return (*spots[:number], (*spots[number][:3], round(stronger, 4)), *spots[number + 1 :])
        at_v = min(max(v / strip.width, 0.0), 1.0)
        return (*spots, (round((u / strip.length) % 1.0, 6) % 1.0, round(at_v, 6), brush.radius_mm, round(value, 4)))

    @property
    def _factor(self) -> float:
        return self._brush.strength if self._brush.act == "more" else 1.0 / self._brush.strength

    def _same_way(self, old: float, new: float) -> bool:
        return self._brush.subject == "fade" or (old > 1.0) == (new > 1.0)

    def _distances(self, spots: tuple[Spot, ...], place: Floats) -> list[float]:
        """How far, straight through the ring, each spot is from a place."""
        if not spots:
            return []
        u, v = np.array([spot[:2] for spot in spots]).T
        points = self._points(u * self._strip.length, v * self._strip.width)
        return [float(far) for far in np.linalg.norm(points - place, axis=1)]

    def _points(self, u: Floats, v: Floats) -> Floats:
        return np.asarray(self._strip.point(u, np.clip(v, 0.0, self._strip.width)), dtype=np.float64)


def _held(factor: float) -> float:
    return min(max(factor, 1.0 / MAX_FACTOR), MAX_FACTOR)


def circle_on_strip(strip: StripMap, u: float, v: float, radius_mm: float, corners: int = 48) -> Floats:
    """(corners, 2) places on the strip that lie the radius, straight, from (u, v) on the ring; those beyond an edge lie
    on it. u goes on beyond one turn.

    Parameters:
        strip: the strip's map.
        u: position round the ring, mm, of any turn.
        v: position across, mm.
        radius_mm: of the circle, mm.
        corners: how many points.
    Returns: (corners, 2) strip positions, mm.
    """
    v = min(max(v, 0.0), strip.width)
    e, _, g = (float(part[0]) for part in strip.metric(np.array([u]), np.array([v])))
    turns = np.linspace(0.0, 2.0 * np.pi, corners, endpoint=False)
    way = np.column_stack([np.cos(turns) / np.sqrt(e), np.sin(turns) / np.sqrt(g)])
    middle = strip.point(np.array([u]), np.array([v]))[0]
    reach = np.full(corners, radius_mm)
    for _ in range(4):
        at = np.array([u, v]) + reach[:, None] * way
        at[:, 1] = np.clip(at[:, 1], 0.0, strip.width)
        far = np.linalg.norm(strip.point(at[:, 0], at[:, 1]) - middle, axis=1)
        held = (at[:, 1] <= 0.0) | (at[:, 1] >= strip.width)
        reach = np.where(held, reach, np.clip(reach * radius_mm / np.maximum(far, 1e-9), 0.0, 0.25 * strip.length))
    at = np.array([u, v]) + reach[:, None] * way
    at[:, 1] = np.clip(at[:, 1], 0.0, strip.width)
    return np.asarray(at, dtype=np.float64)
