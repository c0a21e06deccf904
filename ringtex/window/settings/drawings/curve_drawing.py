"""A curve round the ring or across it whose points are dragged, added by a double click and removed."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Final

import numpy as np
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QWidget

from ringtex.basics.smooth_curve import SmoothCurve
from ringtex.edits.place_curves import Point, first_points, mirror_index_of
from ringtex.strip.strip_map import StripMap
from ringtex.window.appearance.dimension_line import Dimension
from ringtex.window.building.view_state import ViewState
from ringtex.window.settings.controls.hover_watch import HoverWatch
from ringtex.window.settings.controls.number_setting import NumberSetting
from ringtex.window.settings.design_editor import DesignEditor
from ringtex.window.settings.drawings.handle_drawing import (
    AROUND_WORDS,
    OUTSIDE_PX,
    Handle,
    HandleDrawing,
    Move,
    Removal,
)
from ringtex.window.settings.sections.variation_kinds import VariationKind

if TYPE_CHECKING:
    from ringtex.window.settings.drawings.plot import Plot

AXIS_WORDS: Final = {
    "around": AROUND_WORDS,
    "across": ({0.0: "lower edge", 0.5: "middle", 1.0: "upper edge"}, {}),
}
NAMES: Final = {"around": "round the ring", "across": "across the band"}


class CurveDrawing(HandleDrawing):
    """name is "around" (x in degrees, closed) or "across" (x in shares of the width). Until a point is touched the
    design asks for nothing, and the points offered lie at head, shoulders and palm, or at edges and middle.
    """

    moves_freely = True

    def __init__(
        self, kind: VariationKind, name: str, editor: DesignEditor, state: ViewState, watch: HoverWatch, parent: QWidget
    ) -> None:
        self.kind, self.name = kind, name
        self.axis_words = AXIS_WORDS[name]
        self.margins = (1.5, 1.7, 1.5, 0.5) if name == "around" else (2.75, 1.7, 2.75, 0.5)
        self._strip: StripMap | None = None
        self._mirror_index: int | None = None
        self.mirrored = False
        """Round the ring: what is done to a point is done to its mirror image too."""
        super().__init__(f"{kind.title}, {NAMES[name]}", editor, state, watch, 6.6, parent)
        self.setToolTip(
            f"{kind.title}, {NAMES[name]}: drag the points. Double-click or Insert adds one; Delete, or dragging it "
            "out, removes one"
        )

    def shown(self) -> object:
        """The points of the curve."""
        return self.given

    def set_strip(self, strip: StripMap) -> None:
        """Know where places lie on the ring in view."""
        self._strip = strip

    def _hover(self, handle: Handle | None) -> None:
        before = self._hovered
        super()._hover(handle)
        if handle is not before:
            self._show_on_views(handle)

    def _show_on_views(self, handle: Handle | None) -> None:
        """Mark a point's place on strip and ring: on the middle line, or across the head."""
        if self._strip is None or handle is None:
            self.state.set_hovered_place(None)
            return
        theta = np.deg2rad(handle.x) if self.name == "around" else 0.0
        u, v = self._strip.from_band(np.array([theta]), np.array([0.0]))
        across = float(v[0]) if self.name == "around" else handle.x * self._strip.width
        self.state.set_hovered_place((float(u[0]) % self._strip.length, across))

    def mouseMoveEvent(self, event: QMouseEvent, /) -> None:  # noqa: N802 - Qt's name
        """As always; the place that a dragged point stands for moves along on the views."""
        super().mouseMoveEvent(event)
        if self.dragging and self._pressed is not None:
            self._move_mirror_image(self._pressed[0].index)
            held = self._pressed[0].name
            self._show_on_views(next((handle for handle in self.make_handles() if handle.name == held), None))

    def _move_mirror_image(self, index: int | None) -> None:
        """The mirror image of a moved point goes where it belongs; at head and palm it stays a little aside."""
        if self._mirror_index is None or self._removal is not None or index is None or not self.given:
            return
        place, value = self.given[index]
        self.editor.set_value(f"{self.kind.key}.{self.name}[{self._mirror_index}]", (-self._turned(place), value), "")

    def _mirror_index_of(self, index: int | None) -> int | None:
        return mirror_index_of(self.points, index) if self.mirrored and index is not None else None

    @property
    def ends(self) -> tuple[float, float]:
        """Least and largest place."""
        return (-180.0, 180.0) if self.name == "around" else (0.0, 1.0)

    @property
    def given(self) -> tuple[Point, ...]:
        """The design's points."""
        points: tuple[Point, ...] = getattr(self.kind.options(self.editor), self.name)
        return points

    @property
    def points(self) -> tuple[Point, ...]:
        """The design's points, or those that are offered."""
        return self.given or first_points(self.name, self.kind.neutral)

    def _turned(self, place: float) -> float:
        return 180.0 - (180.0 - place) % 360.0 if self.name == "around" else place

    def curve(self) -> SmoothCurve:
        """Heights over places, as the core joins them."""
        places, values = np.array(self.points).T
        heights = np.array([self.kind.height(float(value)) for value in values])
        return SmoothCurve(places, heights, 360.0 if self.name == "around" else None)

    def ranges(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """All positions and all values."""
        return self.ends, (self.kind.height(self.kind.low), self.kind.height(self.kind.high))

    def make_handles(self) -> list[Handle]:
        """A point each; one at the palm shows at both ends."""
        handles = []
        for index, (place, value) in enumerate(self.points):
            at = self._turned(place)
            handles.append(self._handle(index, at, value, ghost=False))
            if self.name == "around" and at == 180.0:
                handles.append(self._handle(index, -180.0, value, ghost=True))
        return handles

    def _handle(self, index: int, at: float, value: float, ghost: bool) -> Handle:
        key = f"{self.kind.key}.{self.name}[{index}]"
        label = f"{self.kind.noun} {NAMES[self.name]}"
        step = 1.0 if self.name == "around" else 0.01
        place = NumberSetting(f"{key}[0]", label, self.ends, step, "", highlight=self.kind.subject)
        setting = NumberSetting(
            f"{key}[1]", label, (self.kind.low, self.kind.high), self.kind.step, "", highlight=self.kind.subject
        )
        height = self.kind.height(value)
        across, up = Move(place, partial(_moved, at)), Move(setting, lambda d: self.kind.value_at(height + d))
        return Handle(f"point {index + 1}{' again' if ghost else ''}", at, height, across, up, ghost, index)

    def is_outside(self, position: QPointF) -> bool:
        """On any side: beyond its limits a point means nothing."""
        return not self.rect().adjusted(-OUTSIDE_PX, -OUTSIDE_PX, OUTSIDE_PX, OUTSIDE_PX).contains(position.toPoint())

    def without(self, handle: Handle) -> Removal | None:
        """The curve without the handle's point."""
        return None if handle.index is None else self._removal_of(handle.index)

    def _removal_of(self, index: int) -> Removal:
        gone = (index, self._mirror_index_of(index))
        left = tuple(point for at, point in enumerate(self.points) if at not in gone)
        # A curve of one point is level, which is to say none.
        made = self.kind.with_curve(self.editor, self.name, left if len(left) > 1 else ())
        return Removal(self.kind.key, made, "remove a point")

    def _begin(self, handle: Handle, moved: QPointF, both: bool) -> None:
        self._mirror_index = self._mirror_index_of(handle.index)
        super()._begin(handle, moved, both)
        self.restarted()

    def restarted(self) -> None:
        """Points that were only offered become the design's as soon as one is moved."""
        if not self.given:
            made = self.kind.with_curve(self.editor, self.name, self.points)
            self.editor.set_value(self.kind.key, made, "")

    def _nudge(self, move: Move | None, count: int) -> None:
        if move is None:
            return
        self.editor.begin_drag(move.setting.change_label)
        self.restarted()
        index = self.handles[self.chosen].index
        self._mirror_index = self._mirror_index_of(index)
        super()._nudge(move, count)
        self._move_mirror_image(index)
        self.editor.end_drag()

    def add_at(self, x: float, y: float) -> None:
        """Add a point."""
        self.add_point(x, y)

    def remove_chosen(self) -> None:
        """Remove the chosen point."""
        if self.given and self.handles:
            removal = self._removal_of(self.handles[self.chosen].index or 0)
            self.editor.set_value(removal.key, removal.value, removal.label)

    def keyPressEvent(self, event: QKeyEvent, /) -> None:  # noqa: N802 - Qt's name
        """Insert adds a point in the widest gap."""
        if event.key() == Qt.Key.Key_Insert and not self.dragging:
            position = self._widest_gap()
            self.add_point(position, float(self.curve()(position)))
        else:
            super().keyPressEvent(event)

    def add_point(self, place: float, height: float) -> None:
        """Add a point at a place and height of the drawing."""
        low, high = self.ends
        held = round(min(max(place, low), high), 0 if self.name == "around" else 2)
        value = self.kind.value_at(height)
        points = (*self.points, (held, round(value, 2)))
        if self.mirrored and held not in (0.0, *self.ends) and self._index_at(-held) is None:
            points = (*points, (-held, round(value, 2)))
        self.editor.set_value(self.kind.key, self.kind.with_curve(self.editor, self.name, points), "add a point")
        added = [at for at, handle in enumerate(self.handles) if handle.index == points.index((held, round(value, 2)))]
        self.chosen = added[0] if added else self.chosen

    def _index_at(self, angle: float) -> int | None:
        return next((at for at, (place, _) in enumerate(self.points) if self._turned(place) == angle), None)

    def _widest_gap(self) -> float:
        places = sorted(self._turned(place) for place, _ in self.points)
        ring = [*places, places[0] + 360.0] if self.name == "around" else [0.0, *places, 1.0]
        widest = int(np.argmax(np.diff(ring)))
        return self._turned(0.5 * (ring[widest] + ring[widest + 1]))

    def draw(self, plot: Plot) -> None:
        """The curve over its neutral line."""
        positions = np.linspace(*self.ends, 241)
        heights = self.curve()(positions)
        neutral = self.kind.height(self.kind.neutral)
        plot.area("area", positions, heights, base=neutral if self.kind.is_log else self.kind.height(self.kind.low))
        plot.line("neutral", self.ends, [neutral, neutral], "line", 1.0)
        plot.line("curve", positions, heights, width=1.5 if self.given else 1.0)
        above, below = self.kind.words
        words = f"\u2191 {above}   \u2193 {below}"
        plot.texts = ((NAMES[self.name], Qt.AlignmentFlag.AlignTop), (words, Qt.AlignmentFlag.AlignRight))

    def dimensions(self) -> list[Dimension]:
        """The chosen point's value, while the pointer is on it."""
        if not self.handles or not (self.dragging or self.hasFocus() or self.underMouse()):
            return []
        handle = self._hovered or self.handles[self.chosen]
        at = (handle.x, handle.y)
        middle = 0.5 * (self.kind.height(self.kind.high) + self.kind.height(self.kind.low))
        aside = (0.0, 6.0) if handle.y > middle else (0.0, -8.0)
        return [Dimension(self.kind.subject, at, at, self.kind.value_text(self.kind.value_at(handle.y)), aside)]


def _moved(place: float, distance: float) -> float:
    return place + distance
