"""What was done to a design: labelled snapshots of frozen designs, themselves a frozen value.

Nothing is ever "undone by doing the opposite": going back means taking the design that stood there, so what comes
back is what was.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from ringtex.design.design import Design

MAX_STEPS: Final = 1000
"""Steps that can be undone. A snapshot shares all that did not change, so this is a few megabytes at most."""


@dataclass(frozen=True)
class Step:
    """One step by name, and the design on its far side: before it (in the past) or after it (in the future)."""

    label: str
    design: Design


@dataclass(frozen=True)
class History:
    """A design, the steps that led to it (newest last) and the steps that were undone (nearest last)."""

    design: Design
    past: tuple[Step, ...] = ()
    future: tuple[Step, ...] = ()

    @property
    def undo_label(self) -> str | None:
        """Name of the step that undoing would take back."""
        return self.past[-1].label if self.past else None

    @property
    def redo_label(self) -> str | None:
        """Name of the step that redoing would bring back."""
        return self.future[-1].label if self.future else None

    def stepped(self, design: Design, label: str) -> History:
        """One step further; the same history where the design is the same. What had been undone is then gone."""
        if design == self.design:
            return self
        return History(design, (*self.past, Step(label, self.design))[-MAX_STEPS:])

    def undone(self) -> History:
        """One step back; the same history where there is none."""
        if not self.past:
            return self
        step = self.past[-1]
        return History(step.design, self.past[:-1], (*self.future, Step(step.label, self.design)))

    def redone(self) -> History:
        """One undone step forward again; the same history where there is none."""
        if not self.future:
            return self
        step = self.future[-1]
        return History(step.design, (*self.past, Step(step.label, self.design)), self.future[:-1])
