"""Random placing, dragging, sizing, removing and undoing of stones and plain places, in any order."""

from __future__ import annotations

import random

import pytest

pytest.importorskip("PySide6")

from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from strip_rings import Bench, drag

from ringtex.basics.errors import InputError

LEFT = Qt.MouseButton.LeftButton
ACTIONS = 15


class PatientBench(Bench):
    """What cannot be made leaves the last good ring in view, as in the window."""

    def rebuild(self) -> None:
        try:
            super().rebuild()
        except InputError:
            self.strip.update()


class Hand:
    """Does one random thing after the other, as a restless hand would."""

    def __init__(self, bench: Bench, seed: int) -> None:
        self.bench, self.chance = bench, random.Random(seed)

    def somewhere(self) -> QPoint:
        strip = self.bench.strip
        return QPoint(self.chance.randrange(strip.width()), self.chance.randrange(strip.height()))

    def item(self) -> QPoint | None:
        items = self.bench.strip.state.items
        if not items:
            return None
        found = self.chance.choice(items)
        return self.bench.point(found.u, found.v)

    def act(self) -> None:
        self.chance.choice((self.place, self.place, self.move, self.pull, self.remove, self.undo, self.interrupt))()

    def place(self) -> None:
        self.bench.state.finishing.set_placing(self.chance.choice(("stone", "plain")))
        QTest.mouseClick(self.bench.strip, LEFT, pos=self.somewhere())
        QTest.keyClick(self.bench.strip, Qt.Key.Key_Escape)

    def move(self) -> None:
        start = self.item()
        if start is not None:
            drag(self.bench, start, self.somewhere(), self.somewhere())

    def pull(self) -> None:
        at, strip = self.item(), self.bench.strip.state
        if at is None:
            return
        QTest.mouseClick(self.bench.strip, LEFT, pos=at)
        chosen = [item for item in strip.items if item.entry.key == self.bench.state.finishing.chosen]
        for item in chosen[:1]:
            _, x, y = self.chance.choice(strip.grips(item))
            drag(self.bench, QPoint(round(x), round(y)), self.somewhere())

    def remove(self) -> None:
        at = self.item()
        if at is not None:
            self.bench.move(at)
            QTest.keyClick(self.bench.strip, Qt.Key.Key_Delete)

    def undo(self) -> None:
        self.chance.choice((self.bench.document.undo, self.bench.document.redo))()

    def interrupt(self) -> None:
        """Undo in the middle of a drag."""
        start = self.item()
        if start is not None:
            drag(self.bench, start, self.somewhere(), release=False)
            self.bench.document.undo()
            QTest.mouseRelease(self.bench.strip, LEFT, pos=self.somewhere())


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_storm(qtbot, seed: int) -> None:  # type: ignore[no-untyped-def]
    bench = PatientBench(qtbot)
    begun = bench.document.design
    hand = Hand(bench, seed)
    for _ in range(ACTIONS):
        hand.act()
        bench.strip.grab()
        assert not bench.document.dragging
    while bench.document.undo_label is not None:
        bench.document.undo()
    assert bench.document.design == begun
