"""What may be asked of panels: framed rectangles of the ring, each with a pattern of its own."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated, Final

from ringtex.basics.errors import InputError
from ringtex.basics.limits import FRACTION, Within, require_limits
from ringtex.pattern.pattern_options import FREE_FORM_FAMILIES, PatternOptions
from ringtex.pattern.zone_options import MAX_DEPTH

MAX_PANELS: Final = 8
"""One at each 45 degrees."""


@dataclass(frozen=True)
class Panel:
    """A rectangle on the strip with cells of its own and a level frame round them.

    u, v       its middle, as shares of the strip's length and width (u 0 is the palm, 0.5 the head).
    width_mm   round the ring, on the strip, with the frame.
    height_mm  across it; where it comes near a rail it ends there.
    frame_mm   the level border between its cells and those round it.
    pattern    its cells, whose repeats around count from one side of the panel to the other.
    depth      multiple of the relief's depth, -2 to 2: below 0 the cells go the other way.
    rounding   of its cells, as the relief's; None: the relief's own.

    Raises InputError naming the key when a value cannot be used.
    """

    u: Annotated[float, FRACTION]
    v: Annotated[float, FRACTION] = 0.5
    width_mm: Annotated[float, Within(1.0, 60.0, "mm")] = 10.0
    height_mm: Annotated[float, Within(1.0, 60.0, "mm")] = 4.0
    frame_mm: Annotated[float, Within(0.1, 10.0, "mm")] = 0.4
    pattern: PatternOptions = field(default_factory=lambda: PatternOptions("diamond", 8))
    depth: Annotated[float, Within(-MAX_DEPTH, MAX_DEPTH, "", "the depth is a multiple of the relief's")] = 1.0
    rounding: Annotated[float, FRACTION] | None = None

    def __post_init__(self) -> None:
        require_limits(self, "")


def check_panels(panels: tuple[Panel, ...], pattern: PatternOptions, has_zones: bool) -> None:
    """Refuse panels that a ring cannot have.

    Parameters:
        panels: in any order.
        pattern: the design's own.
        has_zones: the design has zones too.
    Raises: InputError naming the key.
    """
    if not panels:
        return
    if len(panels) > MAX_PANELS:
        raise InputError(f"{len(panels)} panels are too many", f"Use at most {MAX_PANELS}", "panels")
    if has_zones:
        raise InputError("a ring has zones or panels, not both", "Leave out one of them", "panels")
    if pattern.family in FREE_FORM_FAMILIES:
        message = f"{FREE_FORM_FAMILIES[pattern.family]} cannot have panels"
        raise InputError(message, "Choose another family, or leave out the panels", "pattern.family")
    for number, panel in enumerate(panels):
        key = f"panels[{number}].pattern"
        if panel.pattern.family in FREE_FORM_FAMILIES:
            message = f"{FREE_FORM_FAMILIES[panel.pattern.family]} cannot be in a panel"
            raise InputError(message, "Choose another family", f"{key}.family")
