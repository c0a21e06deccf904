"""The brush that paints on the strip: what it changes there, how, how wide and how strongly."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

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
