"""The handles on the strip: where they are, and which of them is under the pointer."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np

from ringtex.make_ring import ShapedRing
from ringtex.pattern.lattice.families import LATTICE_FAMILIES
from ringtex.window.strip_editor.state.viewport import Viewport

KNOB_PX: Final = 9.0
LINE_PX: Final = 5.0
"""How near the pointer must be to a knob and to a rail's border, in logical pixels."""

KNOBS_APART_PX: Final = 44.0
"""The two knobs on cells are on cells so far apart, or on one where cells are large."""

TIPS: Final = {
    "around": "Repeats around: pull the cell's side, or press + and −",
    "across": "Rows across: pull the cell's upper end, or press ] and [",
    "twist": "Twist: pull the seam up or down by whole rows, or press Page up and Page down",
    "lower_rail": "Lower rail: pull the border, or press . and , for both rails",
    "upper_rail": "Upper rail: pull the border, or press . and , for both rails",
    "zone_border": "Border of a zone: pull it to make one zone wider and the other narrower",
    "panel": "Panel: pull it round the ring or across",
    "zone_rail": "Rail between zones: pull its upper border to make it wider",
}


@dataclass(frozen=True)
class Handle:
    """One handle at (u, v), mm; u in the turns without end of the viewport.

    Its name is its kind, of zones with the number of the upper one: "zone_border 2", of panels with theirs: "panel 0".
    """

    name: str
    u: float
    v: float

    @property
    def kind(self) -> str:
        """What it changes."""
        return self.name.partition(" ")[0]

    @property
    def number(self) -> int:
        """Of the zone above it, or of the panel; 0 for handles of other kinds."""
        return int(self.name.partition(" ")[2] or 0)

    @property
    def is_line(self) -> bool:
        """A border that can be taken anywhere along its length."""
        return self.kind.endswith(("rail", "border"))


def handles_of(shaped: ShapedRing, viewport: Viewport) -> list[Handle]:
    """The handles of what is seen: one cell in the middle, the seam, both rails, the borders of zones, and panels."""
    whole, tiling = shaped.pattern.tiling, shaped.pattern.own_tiling
    middle = 0.5 * (tiling.lower + tiling.upper)
    centre = viewport.centre_u
    seam = viewport.nearest_copy(0.0, centre)
    half = 0.5 * viewport.frame_width / viewport.scale
    grip = centre - 0.3 * min(2.0 * half, viewport.length)
    found = [*_zone_handles(shaped, grip), Handle("upper_rail", grip, whole.upper)]
    found.append(Handle("lower_rail", grip, whole.lower))
    apart = 0.5 * KNOBS_APART_PX / viewport.scale
    for name, at in (("across", centre - apart), ("around", centre + apart)):
        cell = _cell_near(shaped, at)
        high, top = tiling.corners[tiling.cell_start[cell] : tiling.cell_start[cell + 1]].max(axis=0)
        inside = tiling.kernel[0][cell]
        near = viewport.nearest_copy(float(inside[0]), at)
        side = near + float(high - inside[0])
        found.append(Handle(name, near, float(top)) if name == "across" else Handle(name, side, float(inside[1])))
    if shaped.pattern.family in LATTICE_FAMILIES and not shaped.design.pattern.uses_target_density:
        if abs(seam - centre) > half:
            seam += viewport.length * np.sign(centre - seam)
        found.append(Handle("twist", seam, middle))
    for number, panel in enumerate(shaped.pattern.panels):
        box = panel.box
        at = viewport.nearest_copy(0.5 * (box.left + box.right), centre)
        found.append(Handle(f"panel {number}", at, 0.5 * (box.low + box.high)))
    return found


def _zone_handles(shaped: ShapedRing, u: float) -> list[Handle]:
    made = [zone.pattern.tiling for zone in shaped.pattern.zones]
    found = []
    for number, (below, above) in enumerate(pairwise(made), start=1):
        if above.lower > below.upper:
            found.append(Handle(f"zone_rail {number}", u, above.lower))
        found.append(Handle(f"zone_border {number}", u, below.upper))
    return found


def _cell_near(shaped: ShapedRing, u: float) -> int:
    """A cell near u and half-way across whose upper end is not the border, where there is one."""
    tiling = shaped.pattern.own_tiling
    centre = tiling.kernel[0]
    away = np.abs((centre[:, 0] - u + 0.5 * tiling.length) % tiling.length - 0.5 * tiling.length)
    up = np.abs(centre[:, 1] - 0.5 * (tiling.lower + tiling.upper))
    top = np.maximum.reduceat(tiling.corners[:, 1], tiling.cell_start[:-1])
    return int(np.argmin(away + up + np.where(top >= tiling.upper, tiling.length, 0.0)))


def handle_at(handles: list[Handle], viewport: Viewport, x: float, y: float, ratio: float) -> Handle | None:
    """The handle under a pixel: knobs before lines.

    Parameters:
        handles: what can be pulled.
        viewport: what is seen.
        x: device pixels from the left.
        y: device pixels from the top.
        ratio: device pixels for a logical one.
    Returns: the handle, or None.
    """
    u, _ = viewport.position(x, y)
    for handle in reversed(handles):
        at_x, at_y = viewport.pixel(u if handle.is_line else handle.u, handle.v)
        if handle.is_line and abs(at_y - y) <= LINE_PX * ratio:
            return handle
        if not handle.is_line and max(abs(at_x - x), abs(at_y - y)) <= KNOB_PX * ratio:
            return handle
    return None
