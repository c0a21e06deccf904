"""What the strip and the ring share and what is no part of the design: where the pointer is, the light, the overlay.

Every setter does nothing where nothing changes, so that two views may answer each other's signals without an end.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from PySide6.QtCore import QObject, Signal

from ringtex.edits.brush_strokes import Brush
from ringtex.edits.drawn_curve import Pen
from ringtex.export.picture.studio_light import material_of_alloy
from ringtex.window.building.finishing_state import FinishingState

OVERLAYS: Final = ("none", "stretch", "angle_error", "cell_size", "thickness", "findings")
FINISHES: Final = ("alloy", "yellow_gold", "rose_gold", "white_gold", "silver", "platinum", "wax")
FIRST_LIGHT: Final = (35.0, 50.0)
"""Azimuth and elevation, degrees: from above and a little to one side, as a bench lamp stands."""
LOWEST_LIGHT_DEG: Final = 3.0
MAX_LIGHT_DEG: Final = 90.0


class ViewState(QObject):
    """Shared state of both views, with one signal for each part of it."""

    hovered_cell_changed = Signal(object)
    hovered_place_changed = Signal(object)
    light_changed = Signal()
    overlay_changed = Signal()
    finish_changed = Signal()
    hovered_setting_changed = Signal()
    theme_changed = Signal()
    brush_changed = Signal()
    pen_changed = Signal()
    true_size_changed = Signal()
    place_shown = Signal(object)
    """Both views turn to this place: a Finding, (u, v) on the strip, or (x, y, z) on the ring, mm."""
    seam_shown = Signal()
    """Both views put the seam in their middle."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.finishing = FinishingState(self)
        self.editing: Callable[[], bool] = lambda: False
        """Whether a drag is open or a newer ring is being drafted: nothing else may then run. Set by the window."""
        self._hovered_cell: int | None = None
        self._hovered_place: tuple[float, float] | None = None
        self._light = FIRST_LIGHT
        self._overlay = "none"
        self._finish = "alloy"
        self._alloy = "gold_750_yellow"
        self._hovered_setting: str | None = None
        self._dark = False
        self._brush: Brush | None = None
        self._pen: Pen | None = None
        self.last_pen: Pen | None = None
        """The pen that was in hand last, with its width and smoothing; None before the first one."""
        self._true_size = False

    @property
    def hovered_cell(self) -> int | None:
        """The cell under the pointer on either view."""
        return self._hovered_cell

    def set_hovered_cell(self, cell: int | None) -> None:
        """Say which cell the pointer is on; None for none."""
        if cell != self._hovered_cell:
            self._hovered_cell = cell
            self.hovered_cell_changed.emit(cell)

    @property
    def hovered_place(self) -> tuple[float, float] | None:
        """The place (u, v), mm on the strip, under the pointer on either view."""
        return self._hovered_place

    def set_hovered_place(self, place: tuple[float, float] | None) -> None:
        """Say where the pointer is, (u, v) in mm on the strip; None for nowhere."""
        if place != self._hovered_place:
            self._hovered_place = place
            self.hovered_place_changed.emit(place)

    @property
    def light(self) -> tuple[float, float]:
        """Azimuth and elevation of the light, degrees; the same in both views. A low light rakes over the relief."""
        return self._light

    def set_light(self, azimuth_deg: float, elevation_deg: float) -> None:
        """Turn the light; the azimuth wraps at 360, the elevation is held between grazing and straight above."""
        held = min(max(elevation_deg, LOWEST_LIGHT_DEG), MAX_LIGHT_DEG)
        light = (azimuth_deg % 360.0, held)
        if light != self._light:
            self._light = light
            self.light_changed.emit()

    @property
    def overlay(self) -> str:
        """One of OVERLAYS."""
        return self._overlay

    def set_overlay(self, name: str) -> None:
        """Show another overlay on both views. Raises: ValueError for an unknown one."""
        if name not in OVERLAYS:
            raise ValueError(f"no overlay is called {name!r}")
        if name != self._overlay:
            self._overlay = name
            self.overlay_changed.emit()

    @property
    def finish(self) -> str:
        """One of FINISHES: "alloy" for the colour of the design's alloy, or a material that is shown in its place."""
        return self._finish

    def set_finish(self, name: str) -> None:
        """Show both views in another metal. Raises: ValueError for an unknown one."""
        if name not in FINISHES:
            raise ValueError(f"no finish is called {name!r}")
        if name != self._finish:
            self._finish = name
            self.finish_changed.emit()

    @property
    def material(self) -> str:
        """The material that both views show, one of studio_light.MATERIALS."""
        return material_of_alloy(self._alloy) if self._finish == "alloy" else self._finish

    def set_alloy(self, alloy: str) -> None:
        """Say which alloy the ring in view is made of."""
        before, self._alloy = self.material, alloy
        if self.material != before:
            self.finish_changed.emit()

    @property
    def hovered_setting(self) -> str | None:
        """The setting in use ("wall_width", "around", "rails", ...); the views show what it touches."""
        return self._hovered_setting

    def set_hovered_setting(self, name: str | None) -> None:
        """Say which setting is in use; None for none."""
        if name != self._hovered_setting:
            self._hovered_setting = name
            self.hovered_setting_changed.emit()

    @property
    def brush(self) -> Brush | None:
        """The brush in hand, that paints on the strip; None where there is none."""
        return self._brush

    def set_brush(self, brush: Brush | None) -> None:
        """Take a brush in hand, which lays a pen down, or lay it down."""
        if brush != self._brush:
            self._brush = brush
            self.brush_changed.emit()
        if brush is not None:
            self.set_pen(None)

    @property
    def pen(self) -> Pen | None:
        """The pen in hand, that draws on the strip; None where there is none."""
        return self._pen

    def set_pen(self, pen: Pen | None) -> None:
        """Take a pen in hand, which lays a brush down, or lay it down."""
        if pen != self._pen:
            self._pen = pen
            self.last_pen = pen or self.last_pen
            self.pen_changed.emit()
        if pen is not None:
            self.set_brush(None)

    @property
    def has_tool(self) -> bool:
        """Whether a brush or a pen is in hand: the left button is theirs then."""
        return self._brush is not None or self._pen is not None

    @property
    def true_size(self) -> bool:
        """Whether the strip is drawn in true size; otherwise as the rectangle that patterns are made on."""
        return self._true_size

    def set_true_size(self, true_size: bool) -> None:
        """Draw the strip in true size, or as the rectangle."""
        if true_size != self._true_size:
            self._true_size = true_size
            self.true_size_changed.emit()

    @property
    def dark(self) -> bool:
        """Whether the window is dark."""
        return self._dark

    def set_dark(self, dark: bool) -> None:
        """Make the window dark or light; `theme_changed` comes after the palette has been changed."""
        if dark != self._dark:
            self._dark = dark
            self.theme_changed.emit()

    def show_place(self, place: object) -> None:
        """Turn both views to a Finding, (u, v) or (x, y, z)."""
        self.place_shown.emit(place)

    def show_seam(self) -> None:
        """Put the seam in the middle of both views."""
        self.seam_shown.emit()
