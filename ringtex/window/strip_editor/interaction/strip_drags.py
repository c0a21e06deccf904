"""Drags on the strip: one undo step each, live while the pointer moves, taken back by Escape."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np

from ringtex.basics.errors import InputError
from ringtex.design.design import Design
from ringtex.document.document import Document
from ringtex.edits.cell_and_site_edits import with_site_moved
from ringtex.edits.panel_edits import with_panel_moved
from ringtex.edits.strip_edits import (
    extra_rows,
    row_spacing,
    slid,
    steepest_twist,
    with_across,
    with_around,
    with_rails,
    with_twist,
)
from ringtex.edits.zone_edits import with_zone_rail, with_zone_top
from ringtex.make_ring import ShapedRing
from ringtex.pattern.grown.grown_families import GROWN_FAMILIES
from ringtex.pattern.make_pattern import patterned_part
from ringtex.pattern.zones import zone_parts
from ringtex.strip.strip_map import StripMap
from ringtex.strip.true_size import length_on_ring, true_size
from ringtex.window.strip_editor.state.handles import Handle

LABELS: Final = {
    "around": "change the repeats around",
    "across": "change the rows across",
    "twist": "twist the pattern",
    "lower_rail": "change the lower rail",
    "upper_rail": "change the upper rail",
    "zone_border": "move the border of a zone",
    "zone_rail": "change the rail between zones",
    "panel": "move a panel",
}
MIN_PULL: Final = 0.25
"""A repeat is pulled at least this share of a turn (or of the width) from where the pattern begins: nearer, a hair's
breadth would change the count by many."""

SAME_MM: Final = 0.005
"""Lengths that are written alike."""

SLIDE_LABEL: Final = "slide the pattern"
MOVE_SITE_LABEL: Final = "move a site"

Answer = tuple[Design, str, Handle | None]


@dataclass
class StripDrag:
    """One drag that goes on. `words` say what it makes now; `handle` is where its handle is."""

    name: str
    words: str
    handle: Handle | None
    _document: Document
    _answer: Callable[[float, float], Answer]
    refusal: str = ""
    """Why the design at the pointer cannot be made; empty where it was made."""

    def move(self, u: float, v: float) -> None:
        """The pointer is at (u, v), mm. A design that cannot be made leaves the last one in place."""
        if not self._document.dragging:
            # Undo, or another file, has ended the drag while the button is still down.
            return
        try:
            design, self.words, self.handle = self._answer(u, v)
            self.refusal = ""
        except InputError as error:
            self.words = self.refusal = f"{error.message}. {error.advice}"
            return
        self._document.change(design, "")

    def end(self) -> None:
        """Keep it as one step."""
        self._document.end_drag()

    def cancel(self) -> None:
        """As if it had never been."""
        self._document.cancel_drag()


def drag_handle(document: Document, shaped: ShapedRing, handle: Handle) -> StripDrag | None:
    """Begin to pull a handle.

    Parameters:
        document: the document that is changed.
        shaped: the ring that is shown.
        handle: what is pulled.
    Returns: the drag, or None where the design no longer has what the handle in view belongs to.
    """
    parts = document.design.panels if handle.kind == "panel" else document.design.zones
    if handle.kind in ("panel", "zone_border", "zone_rail") and handle.number >= len(parts):
        return None
    document.begin_drag(LABELS[handle.kind])
    return StripDrag(handle.name, "", handle, document, pull_of(handle, shaped, document.design))


def drag_pattern(document: Document, shaped: ShapedRing, start: tuple[float, float], across: bool) -> StripDrag:
    """Begin to slide the pattern.

    Parameters:
        document: whose design is slid.
        shaped: the ring in view.
        start: (u, v) where it was taken, mm.
        across: whether across the strip, for patterns that can; otherwise along it.
    Returns: the drag.
    """
    document.begin_drag(SLIDE_LABEL)
    design, strip = document.design, shaped.strip
    across = across and design.pattern.family not in GROWN_FAMILIES

    def answer(u: float, v: float) -> Answer:
        along_mm, across_mm = (0.0, v - start[1]) if across else (u - start[0], 0.0)
        made = slid(design, (strip.length, strip.width), round(along_mm, 3), round(across_mm, 3))
        slide = made.pattern.slide_mm[1 if across else 0]
        moved = length_on_ring(strip, start, (start[0], v) if across else (u, start[1]))
        words = f"slide {slide:.2f} mm {'across' if across else 'along'}"
        if abs(moved - abs(along_mm + across_mm)) > SAME_MM:
            words = f"moved {moved:.2f} mm on the ring here   slide {slide:.2f} mm of strip"
        return made, words, None

    return StripDrag("slide", "", None, document, answer)


def drag_site(document: Document, shaped: ShapedRing, site: int) -> StripDrag:
    """Begin to move a site.

    Parameters:
        document: the document that is changed.
        shaped: the ring that is shown.
        site: index of the site.
    Returns: the drag.
    """
    document.begin_drag(MOVE_SITE_LABEL)
    design = document.design

    def answer(u: float, v: float) -> Answer:
        made = with_site_moved(shaped, design, site, (u, v))
        return made, f"site at {position_words(shaped.strip, u, v)}", None

    return StripDrag("site", "", None, document, answer)


def _with_true(strip_mm: float, ring_mm: float) -> str:
    """A length of the strip in words, with the ring's own length beside it where that is another one."""
    if abs(abs(strip_mm) - ring_mm) < SAME_MM:
        return f"{strip_mm:.2f} mm"
    return f"{strip_mm:.2f} mm of strip, {ring_mm:.2f} mm on the ring here"


def position_words(strip: StripMap, u: float, v: float) -> str:
    """A position of the strip, mm, as the angle from the head and the length on the ring from the crown line.

    Parameters:
        strip: the strip's map.
        u: position round the ring, mm, of any turn.
        v: position across, mm.
    Returns: the angle from the head and the length from the crown line, in words.
    """
    v = min(max(v, 0.0), strip.width)
    theta, _ = strip.to_band(np.array([u]), np.array([v]))
    degrees = (float(np.degrees(theta[0])) + 180.0) % 360.0 - 180.0
    side = "" if abs(degrees) < 0.05 else " right" if degrees > 0.0 else " left"
    around = "at the head" if abs(degrees) < 0.05 else f"{abs(degrees):.1f}°{side} of the head"
    plane = true_size(strip)
    _, y = plane.to_plane(np.array([u]), np.array([v]))
    up = float(y[0]) - plane.crown_y
    across = "on the middle" if abs(up) < SAME_MM else f"{abs(up):.2f} mm {'above' if up > 0.0 else 'below'} the middle"
    return f"{around}, {across}"


Pull = Callable[[float, float], tuple[Design, str, Handle]]
"""From the pointer's (u, v) to the changed design, its words, and the handle where it then is."""


def pull_of(handle: Handle, shaped: ShapedRing, design: Design) -> Pull:
    """How a handle answers when it is pulled, beginning with this design.

    Parameters:
        handle: what is pulled.
        shaped: the ring that is shown.
        design: the design at the beginning.
    Returns: the change for each movement.
    """
    makers = {
        "around": _pull_around,
        "across": _pull_across,
        "twist": _pull_twist,
        "zone_border": _pull_zone,
        "zone_rail": _pull_zone,
        "panel": _pull_panel,
    }
    return makers.get(handle.kind, _pull_rail)(handle, shaped, design)


def _pull_around(handle: Handle, shaped: ShapedRing, design: Design) -> Pull:
    length, before = shaped.strip.length, design.pattern.around
    pitch = length_on_ring(shaped.strip, (handle.u - length / before, handle.v), (handle.u, handle.v))
    begins = handle.u - (handle.u - design.pattern.slide_mm[0]) % length
    if handle.u - begins < MIN_PULL * length:
        begins -= length
    reach = handle.u - begins

    def pull(u: float, _v: float) -> tuple[Design, str, Handle]:
        wanted = round(before * reach / max(u - begins, 0.02 * length))
        made = with_around(design, wanted)
        around = made.pattern.around
        words = f"{around} around   {pitch * before / around:.2f} mm each here"
        return made, words, Handle("around", begins + reach * before / around, handle.v)

    return pull


def _pull_across(handle: Handle, shaped: ShapedRing, design: Design) -> Pull:
    tiling, before = shaped.pattern.own_tiling, shaped.pattern.across
    extra = extra_rows(shaped.pattern.family)
    width = tiling.upper - tiling.lower
    reach = max(handle.v - tiling.lower, MIN_PULL * width)
    on_ring = length_on_ring(shaped.strip, (handle.u, tiling.lower), (handle.u, tiling.upper))

    def pull(_u: float, v: float) -> tuple[Design, str, Handle]:
        wanted = round((before + extra) * reach / max(v - tiling.lower, 0.02 * width)) - extra
        made = with_across(design, wanted)
        assert isinstance(made.pattern.across, int)
        across = made.pattern.across
        words = f"{across} across   {on_ring / (across + extra):.2f} mm each here"
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


def _pull_zone(handle: Handle, shaped: ShapedRing, design: Design) -> Pull:
    strip, number = shaped.strip, handle.number
    part = patterned_part(strip, design.rails)

    def pull(u: float, v: float) -> tuple[Design, str, Handle]:
        places = zone_parts(part, design.zones)
        if handle.kind == "zone_rail":
            made = with_zone_rail(design, strip, number, v - places[number - 1].upper)
            low, high = (zone_parts(part, made.zones)[at] for at in (number - 1, number))
            rail = made.zones[number].rail_mm
            words = f"rail {_with_true(rail, length_on_ring(strip, (u, low.upper), (u, high.lower)))}"
            return made, words, Handle(handle.name, handle.u, high.lower)
        made = with_zone_top(design, strip, number - 1, v)
        now = zone_parts(part, made.zones)
        said = []
        for at in (number - 1, number):
            true = length_on_ring(strip, (u, now[at].lower), (u, now[at].upper))
            said.append(f"zone {at + 1}: {_with_true(now[at].width, true)}")
        return made, "   ".join(said), Handle(handle.name, handle.u, now[number - 1].upper)

    return pull


def _pull_panel(handle: Handle, shaped: ShapedRing, design: Design) -> Pull:
    strip, number = shaped.strip, handle.number
    size = float(np.sqrt(np.median(shaped.pattern.tiling.areas)))

    def pull(u: float, v: float) -> tuple[Design, str, Handle]:
        made = with_panel_moved(design, strip, size, number, (u, v))
        at = made.panels[number].v * strip.width
        return made, f"panel {number + 1} {position_words(strip, u, at)}", Handle(handle.name, u, at)

    return pull


def _pull_rail(handle: Handle, shaped: ShapedRing, design: Design) -> Pull:
    width = shaped.strip.width

    def pull(u: float, v: float) -> tuple[Design, str, Handle]:
        if handle.name == "lower_rail":
            made = with_rails(design, width, v, None)
            at, edge, rail = made.rails.lower_mm, 0.0, made.rails.lower_mm
        else:
            made = with_rails(design, width, None, width - v)
            at, edge, rail = width - made.rails.upper_mm, width, made.rails.upper_mm
        true = length_on_ring(shaped.strip, (u, edge), (u, at))
        return made, f"{handle.name.replace('_', ' ')} {_with_true(rail, true)}", Handle(handle.name, handle.u, at)

    return pull
