"""Drags on the strip: one undo step each, live while the hand moves, taken back by Escape."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from ringtex.basics.errors import InputError
from ringtex.design.design import Design
from ringtex.document.document import Document
from ringtex.edits.cell_and_site_edits import with_site_moved
from ringtex.edits.strip_edits import slid
from ringtex.make_ring import ShapedRing
from ringtex.window.strip_editor.handles import LABELS, Handle, pull_of

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

    def move(self, u: float, v: float) -> None:
        """The hand is at (u, v), mm. What cannot be made leaves the design as it was a moment ago."""
        if not self._document.dragging:
            # Undo, or another file, has ended the drag while the button is still down.
            return
        try:
            design, self.words, self.handle = self._answer(u, v)
        except InputError as error:
            self.words = f"{error.message}. {error.advice}"
            return
        self._document.change(design, "")

    def end(self) -> None:
        """Keep it as one step."""
        self._document.end_drag()

    def cancel(self) -> None:
        """As if it had never been."""
        self._document.cancel_drag()


def drag_handle(document: Document, shaped: ShapedRing, handle: Handle) -> StripDrag:
    """Begin to pull a handle."""
    document.begin_drag(LABELS[handle.name])
    return StripDrag(handle.name, "", handle, document, pull_of(handle, shaped, document.design))


def drag_pattern(document: Document, shaped: ShapedRing, place: tuple[float, float], across: bool) -> StripDrag:
    """Begin to slide the pattern from a place: along the strip, or across it for patterns that can."""
    document.begin_drag(SLIDE_LABEL)
    design = document.design
    size = (shaped.strip.length, shaped.strip.width)
    across = across and design.pattern.family != "cellular"

    def answer(u: float, v: float) -> Answer:
        along_mm, across_mm = (0.0, v - place[1]) if across else (u - place[0], 0.0)
        made = slid(design, size, round(along_mm, 3), round(across_mm, 3))
        slide = made.pattern.slide_mm
        words = f"slide {slide[1]:.2f} mm across" if across else f"slide {slide[0]:.2f} mm along"
        return made, words, None

    return StripDrag("slide", "", None, document, answer)


def drag_site(document: Document, shaped: ShapedRing, site: int) -> StripDrag:
    """Begin to move a site."""
    document.begin_drag(MOVE_SITE_LABEL)
    design = document.design

    def answer(u: float, v: float) -> Answer:
        made = with_site_moved(shaped, design, site, (u, v))
        return made, f"site at {u % shaped.strip.length:.2f}, {v:.2f} mm", None

    return StripDrag("site", "", None, document, answer)
