"""The handles on the strip: where they are, and what a pull on them means."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np

from ringtex.design.design import Design
from ringtex.edits.strip_edits import (
    row_spacing,
    steepest_twist,
    with_across,
    with_around,
    with_rails,
    with_twist,
)
from ringtex.make_ring import ShapedRing
from ringtex.pattern.lattice.lattice_forms import LATTICES
from ringtex.window.strip_editor.viewport import Viewport

KNOB_PX: Final = 9.0
LINE_PX: Final = 5.0
"""How near the pointer must be to a knob and to a rail's border, in logical pixels."""

KNOBS_APART_PX: Final = 44.0
"""The two knobs on cells are on cells so far apart, or on one where cells are large."""

MIN_PULL: Final = 0.25
"""A repeat is pulled at least this share of a turn (or of the width) from where the pattern begins: nearer, a hair's
breadth would change the count by many."""

LABELS: Final = {
    "around": "change the repeats around",
    "across": "change the rows across",
    "twist": "twist the pattern",
    "lower_rail": "change the lower rail",
    "upper_rail": "change the upper rail",
}
TIPS: Final = {
    "around": "Repeats around: pull the cell's side, or press + and −",
    "across": "Rows across: pull the cell's upper end, or press ] and [",
    "twist": "Twist: pull the seam up or down by whole rows, or press Page up and Page down",
    "lower_rail": "Lower rail: pull the border, or press . and , for both rails",
    "upper_rail": "Upper rail: pull the border, or press . and , for both rails",
}


@dataclass(frozen=True)
class Handle:
    """One handle at a place (u, v), mm; u in the turns without end of the viewport."""

    name: str
    u: float
    v: float

    @property
    def is_line(self) -> bool:
        """A border that can be taken anywhere along its length."""
        return self.name.endswith("rail")


def handles_of(shaped: ShapedRing, viewport: Viewport) -> list[Handle]:
    """The handles of what is seen: one cell in the middle, the seam and both rails."""
    tiling = shaped.pattern.tiling
    middle = 0.5 * (tiling.lower + tiling.upper)
    seam = viewport.nearest_copy(0.0, viewport.centre_u)
    half = 0.5 * viewport.frame_width / viewport.scale
    grip = viewport.centre_u - 0.3 * min(2.0 * half, viewport.length)
    found = [Handle("upper_rail", grip, tiling.upper), Handle("lower_rail", grip, tiling.lower)]
    apart = 0.5 * KNOBS_APART_PX / viewport.scale
    for name, at in (("across", viewport.centre_u - apart), ("around", viewport.centre_u + apart)):
        cell = _cell_near(shaped, at)
        high, top = tiling.corners[tiling.cell_start[cell] : tiling.cell_start[cell + 1]].max(axis=0)
        centre = tiling.kernel[0][cell]
        near = viewport.nearest_copy(float(centre[0]), at)
        side = near + float(high - centre[0])
        found.append(Handle(name, near, float(top)) if name == "across" else Handle(name, side, float(centre[1])))
    if shaped.pattern.family in LATTICES and not shaped.design.pattern.uses_target_density:
        if abs(seam - viewport.centre_u) > half:
            seam += viewport.length * np.sign(viewport.centre_u - seam)
        found.append(Handle("twist", seam, middle))
    return found


def _cell_near(shaped: ShapedRing, u: float) -> int:
    """A cell near a place along the strip and half-way across, whose upper end is not the border where that can be."""
    tiling = shaped.pattern.tiling
    centre = tiling.kernel[0]
    away = np.abs((centre[:, 0] - u + 0.5 * tiling.length) % tiling.length - 0.5 * tiling.length)
    up = np.abs(centre[:, 1] - 0.5 * (tiling.lower + tiling.upper))
    top = np.maximum.reduceat(tiling.corners[:, 1], tiling.cell_start[:-1])
    return int(np.argmin(away + up + np.where(top >= tiling.upper, tiling.length, 0.0)))


def handle_at(handles: list[Handle], viewport: Viewport, x: float, y: float, ratio: float) -> Handle | None:
    """The handle under a pixel: knobs before lines."""
    for handle in reversed(handles):
        reach_x, reach_y = abs(viewport.x_of(handle.u) - x), abs(viewport.y_of(handle.v) - y)
        if handle.is_line and reach_y <= LINE_PX * ratio:
            return handle
        if not handle.is_line and max(reach_x, reach_y) <= KNOB_PX * ratio:
            return handle
    return None


Pull = Callable[[float, float], tuple[Design, str, Handle]]
"""From the hand's place (u, v) to the changed design, what to say about it, and where the handle then is."""


def pull_of(handle: Handle, shaped: ShapedRing, design: Design) -> Pull:
    """How a handle answers when it is pulled, beginning with this design."""
    makers = {"around": _pull_around, "across": _pull_across, "twist": _pull_twist}
    return makers.get(handle.name, _pull_rail)(handle, shaped, design)


def _pull_around(handle: Handle, shaped: ShapedRing, design: Design) -> Pull:
    length, before = shaped.strip.length, design.pattern.around
    begins = handle.u - (handle.u - design.pattern.slide_mm[0]) % length
    if handle.u - begins < MIN_PULL * length:
        begins -= length
    reach = handle.u - begins

    def pull(u: float, _v: float) -> tuple[Design, str, Handle]:
        wanted = round(before * reach / max(u - begins, 0.02 * length))
        made = with_around(design, wanted)
        around = made.pattern.around
        words = f"{around} around   {length / around:.2f} mm each"
        return made, words, Handle("around", begins + reach * before / around, handle.v)

    return pull


def _pull_across(handle: Handle, shaped: ShapedRing, design: Design) -> Pull:
    tiling, before = shaped.pattern.tiling, shaped.pattern.across
    form = LATTICES.get(shaped.pattern.family)
    extra = form.extra_rows if form is not None else 0
    width = tiling.upper - tiling.lower
    reach = max(handle.v - tiling.lower, MIN_PULL * width)

    def pull(_u: float, v: float) -> tuple[Design, str, Handle]:
        wanted = round((before + extra) * reach / max(v - tiling.lower, 0.02 * width)) - extra
        made = with_across(design, wanted)
        assert isinstance(made.pattern.across, int)
        across = made.pattern.across
        words = f"{across} across   {width / (across + extra):.2f} mm each"
        return made, words, Handle("across", handle.u, tiling.lower + reach * (before + extra) / (across + extra))

    return pull


def _pull_twist(handle: Handle, shaped: ShapedRing, design: Design) -> Pull:
    spacing, steepest = row_spacing(shaped), steepest_twist(shaped)

    def pull(_u: float, v: float) -> tuple[Design, str, Handle]:
        made = with_twist(design, design.pattern.twist + round((v - handle.v) / spacing), steepest)
        rows = made.pattern.twist - design.pattern.twist
        count = abs(made.pattern.twist)
        way = "" if count == 0 else " up" if made.pattern.twist > 0 else " down"
        words = f"twist {count} {'row' if count == 1 else 'rows'}{way} in a turn"
        return made, words, Handle("twist", handle.u, handle.v + rows * spacing)

    return pull


def _pull_rail(handle: Handle, shaped: ShapedRing, design: Design) -> Pull:
    width = shaped.strip.width

    def pull(_u: float, v: float) -> tuple[Design, str, Handle]:
        if handle.name == "lower_rail":
            made = with_rails(design, width, v, None)
            return made, f"lower rail {made.rails.lower_mm:.2f} mm", Handle(handle.name, handle.u, made.rails.lower_mm)
        made = with_rails(design, width, None, width - v)
        at = width - made.rails.upper_mm
        return made, f"upper rail {made.rails.upper_mm:.2f} mm", Handle(handle.name, handle.u, at)

    return pull
