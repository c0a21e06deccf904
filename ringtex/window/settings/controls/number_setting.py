"""What the panel knows of a number: its key, its words, its unit, limits and step."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class NumberSetting:
    """One number of the design.

    key       its key path, such as "relief.depth".
    label     its name on the panel; undo says "change the <label>".
    low, high its limits, as the core sets them.
    step      what an arrow key changes it by (ten times with Shift), and what a drag snaps to.
    hint      one line on what it does.
    unit      "mm", "°", "%" or none.
    decimals  how many are usually shown; 0 for whole numbers.
    touches   its name in `ViewState.touched_setting`; the key's last part unless given.
    reach     the range that a drag across the label runs through; the limits unless given.
    """

    key: str
    label: str
    low: float
    high: float
    step: float
    hint: str
    unit: str = ""
    decimals: int = 2
    touches: str = ""
    reach: tuple[float, float] | None = None

    @property
    def whole(self) -> bool:
        """Whether it is a count."""
        return self.decimals == 0

    @property
    def touched(self) -> str:
        """Its name for the views."""
        return self.touches or self.key.rsplit(".", 1)[-1]

    @property
    def drag_range(self) -> tuple[float, float]:
        """From the label's left end to its right end."""
        return self.reach or (self.low, self.high)

    @property
    def change_label(self) -> str:
        """How undo calls a change of it."""
        return f"change the {self.label[0].lower()}{self.label[1:]}"

    @property
    def limits_text(self) -> str:
        """Its limits in words."""
        unit = f" {self.unit}" if self.unit not in ("", "°") else self.unit
        return f"{self.low:g} to {self.high:g}{unit}"
