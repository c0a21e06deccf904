"""Any order of acts: the document always equals a plain model of what its history says."""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path

from design_series import ring
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

from ringtex.document.document import FLIP_LABEL, Document

numbers = st.integers(3, 8)


class DocumentModel(RuleBasedStateMachine):
    """The model: a list of (label, number) with a cursor; a drag as the number it began from."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp())
        self.document = Document(ring(3))
        self.told = 0
        self.document.listen(self._told)
        self.line: list[tuple[str, int]] = [("", 3)]
        self.at = 0
        self.drag: tuple[str, int] | None = None
        self.saved = 3
        self.kept: int | None = None
        self.now = 3

    def teardown(self) -> None:
        shutil.rmtree(self.folder)

    def _told(self) -> None:
        self.told += 1

    def _step(self, number: int, label: str) -> None:
        if number != self.line[self.at][1]:
            self.line = [*self.line[: self.at + 1], (label, number)]
            self.at += 1
        self.now = number

    def _end(self) -> None:
        if self.drag is not None:
            label, self.drag = self.drag[0], None
            self._step(self.now, label)

    @rule(number=numbers, label=st.sampled_from(["deepen", "widen"]))
    def change(self, number: int, label: str) -> None:
        told, same = self.told, number == self.now
        self.document.change(ring(number), label)
        assert self.told - told == (0 if same else 1)
        if self.drag is None:
            self._step(number, label)
        else:
            self.now = number

    @rule(label=st.sampled_from(["drag", "slide"]))
    def begin_drag(self, label: str) -> None:
        self._end()
        self.document.begin_drag(label)
        self.drag = (label, self.now)

    @rule()
    def end_drag(self) -> None:
        self.document.end_drag()
        self._end()

    @rule()
    def cancel_drag(self) -> None:
        self.document.cancel_drag()
        if self.drag is not None:
            self.now, self.drag = self.drag[1], None

    @rule()
    def undo(self) -> None:
        self.document.undo()
        self._end()
        self.at = max(0, self.at - 1)
        self.now = self.line[self.at][1]

    @rule()
    def redo(self) -> None:
        self.document.redo()
        self._end()
        self.at = min(len(self.line) - 1, self.at + 1)
        self.now = self.line[self.at][1]

    @rule()
    def save(self) -> None:
        self.document.save(self.folder / "a.ring.json")
        self._end()
        self.saved = self.now
        assert self.document.changed_on_disk() == "same"

    @precondition(lambda self: self.document.path is not None)
    @rule()
    def open(self) -> None:
        self.document.open(self.folder / "a.ring.json")
        self._begin_anew(self.saved)

    @precondition(lambda self: self.document.path is not None)
    @rule()
    def revert(self) -> None:
        self.document.revert()
        self._end()
        self._step(self.saved, "go back to the saved ring")

    @rule(number=numbers)
    def new(self, number: int) -> None:
        self.document.new(ring(number))
        self._begin_anew(number)
        self.saved = number

    def _begin_anew(self, number: int) -> None:
        self.line, self.at, self.now, self.drag, self.kept = [("", number)], 0, number, None, None

    @rule()
    def keep(self) -> None:
        self.document.keep()
        self._end()
        self.kept = self.now

    @precondition(lambda self: self.kept is not None)
    @rule()
    def flip_there_and_back(self) -> None:
        self._end()
        self.document.end_drag()
        before, there = self.document.history, self.now != self.kept
        self.document.flip()
        if there:
            assert self.document.design == ring(self.kept or 0)
            assert self.document.undo_label == FLIP_LABEL
            self.document.flip()
            assert self.document.history == before
        else:
            # Back to where it was last flipped from, as one step, or nowhere.
            self.document.undo() if self.document.history != before else None
            assert self.document.design == before.design
            self._take_over()

    @precondition(lambda self: self.kept is not None)
    @rule()
    def flip(self) -> None:
        self._end()
        there = self.now != self.kept
        self.document.flip()
        if there:
            self._step(self.kept or 0, FLIP_LABEL)
        else:
            self._take_over()

    def _take_over(self) -> None:
        """The model follows the document where what comes depends on where it flipped from."""
        history = self.document.history
        designs = [step.design for step in history.past] + [history.design]
        designs += [step.design for step in reversed(history.future)]
        labels = ["", *(step.label for step in history.past), *(step.label for step in reversed(history.future))]
        self.line = [(label, design.pattern.around) for label, design in zip(labels, designs, strict=True)]
        self.at = len(history.past)
        self.now = history.design.pattern.around

    @invariant()
    def equals_the_model(self) -> None:
        document = self.document
        assert document.design == ring(self.now)
        assert document.changed == (self.now != self.saved)
        assert document.dragging == (self.drag is not None)
        assert document.kept == (None if self.kept is None else ring(self.kept))
        history = document.history
        past = [*(step.design for step in history.past), history.design]
        assert past == [ring(number) for _, number in self.line[: self.at + 1]]
        assert [step.label for step in history.past] == [label for label, _ in self.line[1 : self.at + 1]]
        ahead = [(step.label, step.design) for step in reversed(history.future)]
        assert ahead == [(label, ring(number)) for label, number in self.line[self.at + 1 :]]


TestDocumentModel = DocumentModel.TestCase
TestDocumentModel.settings = settings(max_examples=60, stateful_step_count=40, deadline=None)
