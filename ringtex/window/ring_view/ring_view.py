"""The ring in three dimensions, beside the strip: it is turned by dragging, and says what lies under the pointer."""

from __future__ import annotations

from typing import Final

import numpy as np
from PySide6.QtCore import QEvent, QObject, QPointF, Qt, QTimer
from PySide6.QtGui import QImage, QKeyEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from ringtex.basics.arrays import Floats
from ringtex.checks.finding import Finding
from ringtex.export.picture.camera import Camera
from ringtex.window.appearance.colours import colours
from ringtex.window.building.drawable_ring import View
from ringtex.window.building.view_state import ViewState
from ringtex.window.overlays.legend import Legend
from ringtex.window.overlays.overlay_values import OverlayValues
from ringtex.window.overlays.overlay_worker import OverlayWorker
from ringtex.window.ring_view.click_placement import ClickPlacement
from ringtex.window.ring_view.light_handle import LightHandle
from ringtex.window.ring_view.opengl.gl_canvas import GlCanvas
from ringtex.window.ring_view.opengl.gl_program import OpenGLKind, opengl_kind
from ringtex.window.ring_view.opengl.ring_scene import Shot
from ringtex.window.ring_view.picture_canvas import PictureCanvas
from ringtex.window.ring_view.ring_cut import CutHandle, RingCut
from ringtex.window.ring_view.ring_positions import RingPositions, Spot, same_finding
from ringtex.window.ring_view.shown_mesh import bore_size, outline, overlay_colours, visibility
from ringtex.window.ring_view.surface_look import SurfaceLook
from ringtex.window.ring_view.triangle_finder import Hit
from ringtex.window.ring_view.view_row import ViewRow

_EDGE: Final = 8
_OVERLAY_PATIENCE_MS: Final = 120
"""A new mesh waits so long for its overlay, so that colours do not come and go at every step of a drag."""
_HOVER_MARK_MM, _PLACE_MARK_MM = 0.3, 0.6


class RingView(QWidget):
    """Shows Views. Without OpenGL a picture is shown instead; what was shown last stays until something new comes."""

    def __init__(self, state: ViewState, parent: QWidget | None = None, kind: OpenGLKind | None = None) -> None:
        super().__init__(parent)
        self._state = state
        self._view: View | None = None
        self._waiting: View | None = None
        self._positions: RingPositions | None = None
        self._cut: RingCut | None = None
        self._marked: object = None
        self._pointer: QPointF | None = None
        self._spot: Spot | None = None
        self._hover_spot: Spot | None = None
        self._pointing = False
        self._canvas: GlCanvas | PictureCanvas
        found = kind or opengl_kind()
        self.row = row = ViewRow(found is not None, self)
        self._canvas = GlCanvas(found, self._shot, self) if found is not None else PictureCanvas(state, row, self)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(0)
        self._column.addWidget(self._canvas, 1)
        self._column.addWidget(self.row)
        self.setMinimumSize(240, 200)
        self.setAccessibleName("Ring")
        self.setFocusProxy(self._canvas)
        self._add_what_lies_over()
        self._listen()

    def _add_what_lies_over(self) -> None:
        self.light_handle = LightHandle(self._state, self)
        self.legend = Legend(self)
        self.legend.set_dark(self._state.dark)
        self.cut_handle = CutHandle(self._state, self)
        self._overlays = OverlayWorker(self)
        self._patience = QTimer(self)
        self._patience.setSingleShot(True)
        self._patience.setInterval(_OVERLAY_PATIENCE_MS)
        self.light_handle.setVisible(self.has_opengl)

    def _listen(self) -> None:
        state = self._state
        for signal in (state.light_changed, state.finish_changed, state.hovered_setting_changed, state.theme_changed):
            signal.connect(self._refresh)
        state.hovered_cell_changed.connect(self._glow)
        state.hovered_place_changed.connect(self._mark_hovered)
        state.overlay_changed.connect(self._ask_overlay)
        state.place_shown.connect(self._turn_to)
        state.seam_shown.connect(lambda: self.show_from("seam"))
        self.row.view_wanted.connect(self.show_from)
        self.row.seam_line_switched.connect(self._refresh)
        self._overlays.ready.connect(self._take_overlay)
        self._patience.timeout.connect(self._stop_waiting)
        self._canvas.key_pressed.connect(self._take_key)
        self._canvas.installEventFilter(self)
        if isinstance(self._canvas, GlCanvas):
            self._canvas.pointed.connect(self._point)
            self._canvas.held = lambda: self._state.editing()
            self.placing = ClickPlacement(self._canvas, state, self.place_at)
            self._cut = RingCut(self._canvas, self._canvas.controller, self.row, self.cut_handle)
            self._cut.changed.connect(self._refresh)
            self.surface = SurfaceLook(self._canvas, self.row, self)
            self._canvas.unusable.connect(self._give_up_opengl, Qt.ConnectionType.QueuedConnection)

    @property
    def has_opengl(self) -> bool:
        """Whether the ring is drawn with OpenGL, and not as a picture."""
        return isinstance(self._canvas, GlCanvas)

    @property
    def canvas(self) -> GlCanvas | PictureCanvas:
        """The widget that shows the ring."""
        return self._canvas

    @property
    def camera(self) -> Camera | None:
        """Where the camera is; None where a picture is shown."""
        return self._canvas.controller.camera if isinstance(self._canvas, GlCanvas) else None

    def show_view(self, view: View) -> None:
        """Show this ring; the camera stays where it is. While it is being changed no overlay is worked out."""
        if self._state.overlay == "none" or self._state.editing() or not isinstance(self._canvas, GlCanvas):
            self._overlays.forget()
            self._waiting = None
            self._display(view)
            self.legend.show_values(None)
            return
        self._waiting = view
        self._overlays.request(view, self._state.overlay)
        if not self._patience.isActive():
            self._patience.start()

    def show_from(self, name: str) -> None:
        """Look from one of the camera's views. Raises: InputError for another."""
        self._spot = self._marked = None
        self._canvas.show_from(name)
        if self._cut is not None:
            self._cut.look()

    def picture(self) -> QImage:
        """What is shown of the ring."""
        return self._canvas.picture() if isinstance(self._canvas, GlCanvas) else self._canvas.image

    def release(self) -> None:
        """Stop all work and give the card back what it holds; for when the window closes."""
        self._patience.stop()
        self._overlays.stop()
        self._canvas.release()
        if self._positions is not None:
            self._positions.release()

    def _display(self, view: View, values: OverlayValues | None = None) -> None:
        if view is not self._view:
            self._state.set_alloy(view.design.make.alloy)
            before, self._view, self._positions = self._view, view, RingPositions(view)
            self._renew_marks(before, view)
            if isinstance(self._canvas, GlCanvas):
                self._canvas.show_view(view, visibility(view))
                self._canvas.controller.set_ring(outline(view))
                self._glow(self._state.hovered_cell)
                if self._pointing:
                    # Another cell lies under the pointer now, or none.
                    self._point(self._pointer)
                if self._cut is not None:
                    self._cut.set_ring(outline(view))
            else:
                self._canvas.show_view(view)
        if isinstance(self._canvas, GlCanvas):
            self._canvas.set_overlay(overlay_colours(view, values) if values is not None else None)

    def _renew_marks(self, before: View | None, view: View) -> None:
        """Marks follow what they mark to another ring, and go where it is gone."""
        cell = self._state.hovered_cell
        if cell is not None and cell >= view.built.pattern.tiling.cells:
            self._state.set_hovered_cell(None)
        self._mark_hovered(self._state.hovered_place)
        if self._marked is None:
            return
        if isinstance(self._marked, Finding):
            if view.report is not None:
                self._marked = same_finding(self._marked, view.report.findings)
        elif before is not None and before.design != view.design:
            self._marked = None
        self._spot = self._spot_of(self._marked) if self._marked is not None else None

    def _ask_overlay(self) -> None:
        if self._state.overlay != "none" and self._view is not None and isinstance(self._canvas, GlCanvas):
            self._overlays.request(self._waiting or self._view, self._state.overlay)
            return
        self._overlays.forget()
        self.legend.show_values(None)
        if self._view is not None:
            self._display(self._waiting or self._view)
        self._waiting = None

    def _take_overlay(self, view: View, values: OverlayValues) -> None:
        self._patience.stop()
        self._waiting = None
        self._display(view, values)
        self.legend.show_values(values)
        self._arrange()

    def _stop_waiting(self) -> None:
        if self._waiting is not None:
            view, self._waiting = self._waiting, None
            self._display(view)
            self.legend.show_values(None)

    def _shot(self) -> Shot:
        assert isinstance(self._canvas, GlCanvas)
        view = self._view
        radius = float(np.linalg.norm(outline(view), axis=1).max()) if view is not None else 12.0
        spot, size = (self._hover_spot, _HOVER_MARK_MM) if self._hover_spot else (self._spot, _PLACE_MARK_MM)
        return Shot(
            camera=self._canvas.controller.camera,
            width=1,
            height=1,
            material=self._state.material,
            light=self._state.light,
            theme=colours(self._state.dark),
            radius=1.1 * radius,
            bore=bore_size(view) if view is not None else (8.0, 3.0),
            section=self._cut.plane if self._cut is not None else None,
            seam_line=self.row.seam_line.isChecked() or self._state.hovered_setting == "seam",
            mark=None if spot is None else ((*spot.place.tolist(), size), tuple(spot.outwards.tolist())),
        )

    def _refresh(self) -> None:
        """Light, finish, theme or a mark changed."""
        self.legend.set_dark(self._state.dark)
        if isinstance(self._canvas, GlCanvas):
            self._canvas.refresh()

    def _point(self, at: QPointF | None) -> None:
        """The pointer is over the picture, or has left it."""
        self._pointer = at
        hit = self._hit(at)
        was_pointing, self._pointing = self._pointing, hit is not None
        if hit is not None and self._positions is not None:
            self._state.set_hovered_cell(self._positions.cell_of(hit))
            self._state.set_hovered_place(self._positions.strip_place_of(hit))
        elif was_pointing:
            self._state.set_hovered_cell(None)
            self._state.set_hovered_place(None)

    def _hit(self, at: QPointF | None) -> Hit | None:
        if at is None or self._positions is None or not isinstance(self._canvas, GlCanvas):
            return None
        return self._positions.first_on(*self._canvas.controller.ray(at), self._kept_side)

    @property
    def _kept_side(self) -> Floats | None:
        return self._cut.kept_side if self._cut is not None else None

    def place_at(self, at: QPointF) -> tuple[float, float] | None:
        """(u, v), mm on the strip, of the outside under a pixel of the canvas; None where there is none."""
        if self._positions is None or not isinstance(self._canvas, GlCanvas):
            return None
        return self._positions.outside_at(*self._canvas.controller.ray(at), self._kept_side)

    def _glow(self, cell: int | None) -> None:
        if isinstance(self._canvas, GlCanvas) and self._positions is not None:
            self._canvas.glow(self._positions.triangles_of(cell))

    def _mark_hovered(self, place: tuple[float, float] | None) -> None:
        """Mark the place that the pointer is on, when it is on the strip."""
        known = place is not None and not self._pointing and self._positions is not None
        spot = self._positions.spot(place) if known and self._positions is not None else None
        if spot is not None or self._hover_spot is not None:
            self._hover_spot = spot
            self._refresh()

    def _turn_to(self, marked: object) -> None:
        spot = self._spot_of(marked)
        if spot is not None and isinstance(self._canvas, GlCanvas):
            self._spot, self._marked = spot, marked
            self._canvas.controller.turn_to(spot)

    def _spot_of(self, marked: object) -> Spot | None:
        return self._positions.spot(marked) if self._positions is not None else None

    def _take_key(self, event: QKeyEvent) -> None:
        for key, button in ((Qt.Key.Key_C, self.row.cut), (Qt.Key.Key_L, self.row.seam_line)):
            if event.key() == key and not event.modifiers() and self.has_opengl:
                button.toggle()
                event.accept()

    def _give_up_opengl(self, why: str) -> None:
        """OpenGL failed: go on with pictures."""
        old = self._canvas
        if not isinstance(old, GlCanvas):
            return
        self._overlays.forget()
        self._canvas = PictureCanvas(self._state, self.row, self)
        self._canvas.key_pressed.connect(self._take_key)
        self._canvas.installEventFilter(self)
        self._canvas.setToolTip(f"OpenGL could not be used: {why}")
        self._column.replaceWidget(old, self._canvas)
        self.setFocusProxy(self._canvas)
        old.hide()
        old.deleteLater()
        self._cut = None
        self.row.without_opengl()
        self.light_handle.hide()
        self.cut_handle.hide()
        self.legend.show_values(None)
        if self._view is not None:
            self._canvas.show_view(self._view)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """What lies over the canvas follows its size."""
        if watched is self._canvas and event.type() in (QEvent.Type.Resize, QEvent.Type.Show):
            self._arrange()
        return False

    def _arrange(self) -> None:
        area = self._canvas.geometry()
        self.light_handle.move(area.right() - self.light_handle.width() - _EDGE, area.top() + _EDGE)
        self.legend.move(area.left() + _EDGE, area.bottom() - self.legend.height() - _EDGE)
        for widget in (self.light_handle, self.legend, self.cut_handle):
            widget.raise_()
        if self._cut is not None:
            self._cut.place_handle()
