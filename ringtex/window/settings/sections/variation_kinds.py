"""What is said by curves round the ring and across it: the density of cells, and the relief's share of its depth."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any, Final, cast

from ringtex.edits.brush_strokes import Subject
from ringtex.edits.place_curves import Point
from ringtex.pattern.density_options import MAX_FACTOR, DensityOptions
from ringtex.relief.relief_options import FadeOptions
from ringtex.window.settings.design_editor import DesignEditor


@dataclass(frozen=True)
class VariationKind:
    """One kind of thing that differs from place to place.

    key      of its options in the design.  neutral, low, high, step: its values; halved and doubled alike where is_log.
    noun     how undo calls it.  words: above and below the drawings' middle.
    """

    subject: Subject
    key: str
    title: str
    noun: str
    neutral: float
    low: float
    high: float
    step: float
    is_log: bool
    words: tuple[str, str]

    def empty(self) -> DensityOptions | FadeOptions:
        """Nothing asked for."""
        return DensityOptions() if self.subject == "density" else FadeOptions()

    def options(self, editor: DesignEditor) -> DensityOptions | FadeOptions:
        """What the design asks for."""
        return cast(DensityOptions | FadeOptions, editor.value(self.key) or self.empty())

    def with_curve(
        self, editor: DesignEditor, name: str, points: tuple[Point, ...]
    ) -> DensityOptions | FadeOptions | None:
        """The options with another curve "around" or "across"; None where then nothing is asked for.

        Parameters:
            editor: changes the document.
            name: "around" or "across".
            points: of the curve.
        Returns: the changed options; None where nothing is asked for any more.
        """
        made = replace(self.options(editor), **cast(dict[str, Any], {name: points}))
        return None if made == self.empty() else made

    def height(self, value: float) -> float:
        """Where a value is drawn."""
        return math.log2(value) if self.is_log else value

    def value_at(self, height: float) -> float:
        """The value drawn at a height, held within the limits."""
        return min(max(2.0**height if self.is_log else height, self.low), self.high)

    def value_text(self, value: float) -> str:
        """A value in words."""
        if self.is_log:
            return f"{value:.2f} times as many"
        return f"{100.0 * value:.0f} % of the depth"


DENSITY: Final = VariationKind(
    "density", "pattern.density", "Closer or wider by place", "density", 1.0, 1.0 / MAX_FACTOR, MAX_FACTOR,
    0.05, True, ("closer", "wider"),
)  # fmt: skip
FADE: Final = VariationKind(
    "fade", "relief.fade", "Shallower by place", "fade", 1.0, 0.0, 1.0, 0.01, False, ("full depth", "none")
)
