"""A storm of random actions: whatever the order, nothing freezes or crashes, and the document equals its history.

60 actions in the usual run; RINGTEX_STORM=5000 in the environment runs as many, RINGTEX_STORM_SEED another order.
"""

from __future__ import annotations

import os
import random
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from ringtex.basics.errors import InputError
from ringtex.design.design import Design
from ringtex.document.history import History
from ringtex.document.starting_points import starting_points
from ringtex.edits.drawn_curve import Pen
from ringtex.edits.panel_edits import next_panel
from ringtex.edits.zone_edits import with_zone_added
from ringtex.pattern.pattern_options import FAMILIES
from ringtex.relief.relief_options import FORMS
from ringtex.window.app.main_window import MainWindow
from ringtex.window.building.view_state import FINISHES, OVERLAYS
from ringtex.window.ring_view.view_row import VIEW_BUTTONS

ACTIONS = int(os.environ.get("RINGTEX_STORM", "60"))
SEED = int(os.environ.get("RINGTEX_STORM_SEED", "1"))


class Storm:
    """A hand gone wild, and a history of its own kept beside the document's."""

    def __init__(self, window: MainWindow, folder: Path, seed: int = SEED) -> None:
        self.window = window
        self.chance = random.Random(seed)
        self.folder = folder
        self.expected = window.document.history
        self.done: list[str] = []
        self.slowest = (0.0, "")
        self.acts: dict[str, tuple[int, Callable[[], None]]] = {
            "edit": (30, self.edit),
            "drag": (10, self.drag),
            "undo": (12, self.undo),
            "redo": (8, self.redo),
            "seed": (6, self.seed),
            "wait": (15, lambda: QTest.qWait(self.chance.choice((0, 5, 40)))),
            "cancel": (8, lambda: window.menus.trigger("stop")),
            "resize": (4, self.resize),
            "look": (10, self.look),
            "mouse": (10, self.mouse),
            "stroke": (4, self.stroke),
            "wheel": (4, self.wheel),
            "keep": (3, lambda: window.menus.trigger("keep")),
            "flip": (3, self.flip),
            "begin": (2, self.begin),
            "save": (2, self.save),
            "export": (2, self.export),
        }

    def run(self, count: int) -> None:
        names = list(self.acts)
        weights = [self.acts[name][0] for name in names]
        for _ in range(count):
            name = self.chance.choices(names, weights)[0]
            self.done.append(name)
            began = time.perf_counter()
            self.acts[name][1]()
            QApplication.processEvents()
            self.slowest = max(self.slowest, (time.perf_counter() - began, name))
            self.agree()

    def agree(self) -> None:
        """The document is what its history says, and what ours says."""
        document = self.window.document
        assert document.design == document.history.design, self.done[-20:]
        assert document.history == self.expected, self.done[-20:]

    def changed(self) -> Design:
        """The design with one random thing changed; sometimes to what cannot be built."""
        design, chance = self.window.document.design, self.chance
        relief, pattern, rails = design.relief, design.pattern, design.rails
        ways: tuple[Callable[[], Design], ...] = (
            lambda: replace(design, relief=replace(relief, depth_mm=chance.uniform(0.05, 0.9))),
            lambda: replace(design, pattern=replace(pattern, around=chance.randint(3, 40))),
            lambda: replace(design, pattern=replace(pattern, scatter=chance.random() * 0.5)),
            lambda: replace(design, relief=replace(relief, flank_deg=chance.uniform(35.0, 90.0))),
            lambda: replace(design, rails=replace(rails, lower_mm=chance.uniform(0.0, 3.0))),
            lambda: replace(design, rails=replace(rails, lower_mm=30.0)),
            lambda: replace(design, name=chance.choice(("", "a", "b"))),
            lambda: replace(design, pattern=replace(pattern, family=chance.choice(FAMILIES))),
            lambda: replace(
                design, relief=replace(relief, form=chance.choice(FORMS), rounding=chance.choice((0.0, 0.6)))
            ),
            lambda: with_zone_added(design) if len(design.zones) < 4 else replace(design, zones=()),
            lambda: replace(design, panels=(*design.panels, next_panel(design)) if len(design.panels) < 2 else ()),
        )
        while True:
            try:
                return chance.choice(ways)()
            except InputError:
                continue

    def edit(self) -> None:
        design = self.changed()
        self.window.document.change(design, "edit")
        self.expected = self.expected.stepped(design, "edit")

    def drag(self) -> None:
        document = self.window.document
        before = document.design
        document.begin_drag("drag")
        for _ in range(self.chance.randint(0, 8)):
            document.change(self.changed(), "drag")
            QTest.qWait(self.chance.choice((0, 3)))
        if self.chance.random() < 0.3:
            self.window.menus.trigger("stop")
            assert document.design == before
        else:
            document.end_drag()
            self.expected = self.expected.stepped(document.design, "drag")

    def undo(self) -> None:
        self.window.menus.trigger("undo")
        self.expected = self.expected.undone()

    def redo(self) -> None:
        self.window.menus.trigger("redo")
        self.expected = self.expected.redone()

    def seed(self) -> None:
        self.window.menus.trigger(self.chance.choice(("seed_next", "seed_previous")))
        self.expected = self.expected.stepped(self.window.document.design, "take another seed")

    def resize(self) -> None:
        self.window.resize(self.chance.randint(900, 1500), self.chance.randint(600, 900))
        self.window.across.setSizes([self.chance.randint(1, 900), self.chance.randint(1, 900)])

    def look(self) -> None:
        views = (*(f"view_{name}" for name, *_ in VIEW_BUTTONS), "seam", "begin", "theme_light", "theme_dark")
        shown = (*(f"overlay_{name}" for name in OVERLAYS), *(f"finish_{name}" for name in FINISHES))
        self.window.menus.trigger(self.chance.choice((*views, *shown)))

    def mouse(self) -> None:
        """Point on the strip without a button (what buttons do there is an edit); point at and turn the ring."""
        strip, canvas = self.window.strip, self.window.ring.canvas
        QTest.mouseMove(strip, self.somewhere(strip.width(), strip.height()))
        here, there = (self.somewhere(canvas.width(), canvas.height()) for _ in range(2))
        QTest.mousePress(canvas, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, here)
        QTest.mouseMove(canvas, there)
        QTest.mouseRelease(canvas, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, there)

    def stroke(self) -> None:
        """Draw on the strip by hand; some strokes are clicks, and some cannot be curves."""
        pen = Pen(self.chance.choice(("line", "area")), adds=self.chance.random() < 0.4)
        document, strip = self.window.document, self.window.strip
        self.window.state.set_pen(pen)
        at = self.somewhere(strip.width(), strip.height())
        QTest.mousePress(strip, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, at)
        for _ in range(self.chance.choice((0, 2, 8, 30))):
            at += QPoint(self.chance.randint(-40, 40), self.chance.randint(-30, 30))
            QTest.mouseMove(strip, at)
        QTest.mouseRelease(strip, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, at)
        self.window.state.set_pen(None)
        if document.design != self.expected.design:
            label = document.undo_label
            assert label is not None
            assert " a curve" in label
            self.expected = self.expected.stepped(document.design, label)

    def somewhere(self, width: int, height: int) -> QPoint:
        return QPoint(self.chance.randrange(max(width, 1)), self.chance.randrange(max(height, 1)))

    def wheel(self) -> None:
        widget = self.chance.choice((self.window.strip, self.window.ring.canvas))
        place = widget.mapTo(self.window, widget.rect().center())
        turn = QPoint(0, self.chance.choice((-240, 120, 240)))
        QTest.wheelEvent(self.window.windowHandle(), place, turn)

    def flip(self) -> None:
        self.window.menus.trigger("flip")
        self.expected = self.window.document.history

    def begin(self) -> None:
        self.window.document.save(self.folder / "storm.ring.json")
        point = self.chance.choice(starting_points())
        self.window.files.begin_with(point)
        self.expected = History(point.design())

    def save(self) -> None:
        path = self.folder / "storm.ring.json"
        self.window.document.save(path)
        if self.chance.random() < 0.5:
            self.window.files.open_file(path)
            self.expected = History(self.window.document.design)

    def export(self) -> None:
        self.window.menus.trigger("export")
        dialog = self.window.files.export_dialog
        assert dialog is not None
        dialog.folder.setText(str(self.folder))
        dialog.tolerance.setValue(0.05)
        dialog.start()
        QTest.qWait(self.chance.choice((0, 20, 300)))
        dialog.reject()
        dialog.close()


@pytest.mark.timeout(max(300, 3 * ACTIONS))
def test_storm(qtbot: QtBot, window: MainWindow, tmp_path: Path, settled: Callable[[], None]) -> None:
    storm = Storm(window, tmp_path)
    storm.run(ACTIONS)
    print(f"{ACTIONS} actions, seed {SEED}; slowest {storm.slowest[0]:.2f} s ({storm.slowest[1]})")
    assert window.isVisible()
    assert all(isinstance(error, InputError) for error in window.errors.shown)
    # After the storm a ring that can be made comes up as usual.
    window.document.save(tmp_path / "storm.ring.json")
    window.files.begin_with(starting_points()[0])
    window.menus.trigger("overlay_none")
    settled()
