"""Width and height round the ring, unrolled like the strip: palm, head, palm; the stations are its points."""

from __future__ import annotations

from typing import Final

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPen, QPolygonF
from PySide6.QtWidgets import QWidget

from ringtex.band.band import Band
from ringtex.basics.errors import InputError
from ringtex.edits.design_keys import band_of
from ringtex.edits.station_edits import with_station, without_station
from ringtex.window.appearance.colours import Colours
from ringtex.window.building.view_state import ViewState
from ringtex.window.settings.controls.hover_watch import HoverWatch
from ringtex.window.settings.controls.number_text import text_of
from ringtex.window.settings.design_editor import DesignEditor
from ringtex.window.settings.drawings.dimension_line import Dimension
from ringtex.window.settings.drawings.handle import Frame, Handle, Move, Taken
from ringtex.window.settings.drawings.handle_drawing import HandleDrawing
from ringtex.window.settings.sections.band_choice import ANGLE, HEIGHT, WIDTH, BandChoice, at_station

_ANGLES: Final = np.linspace(-180.0, 180.0, 181)
MARKS: Final = ((-180, "palm"), (-90, "shoulder"), (0, "head"), (90, "shoulder"), (180, "palm"))


class RoundDrawing(HandleDrawing):
    """One measure round the ring: "width" as the band's outline laid flat, "height" above the bore.

    x is the angle, y mm. Double-click adds a station, the delete key takes the chosen one away, a click beside the
    points looks at the section there.
    """

    def __init__(
        self,
        measure: str,
        choice: BandChoice,
        editor: DesignEditor,
        state: ViewState,
        watch: HoverWatch,
        parent: QWidget,
    ) -> None:
        self.measure = measure
        self._choice = choice
        self._band: Band | None = None
        self._upper = np.ones_like(_ANGLES)
        self._lower = np.zeros_like(_ANGLES)
        super().__init__(f"{measure.capitalize()} round the ring", editor, state, watch, 5.5, parent)
        self.setToolTip(
            f"{measure.capitalize()} round the ring: drag the points. Double-click adds a station; "
            "Delete, or dragging it out below, takes one away"
        )
        choice.changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Take the measures from the design's band; where none can be made, the last good ones stay."""
        try:
            band = band_of(self.editor.design)
        except InputError:
            return
        if band is not self._band:
            self._take_lines(band)
        super().refresh()

    def _take_lines(self, band: Band) -> None:
        self._band, theta = band, np.deg2rad(_ANGLES)
        if self.measure == "width":
            self._upper = band.half_width(theta)
            self._lower = -self._upper
        else:
            self._upper = band.crown_radius(theta) - band.bore_radius_mm
            self._lower = band.edge_radius(theta) - band.bore_radius_mm

    def make_frame(self) -> Frame:
        """All angles across; y to the same scale up and down, with some room to drag into."""
        line = self.fontMetrics().height()
        side = 1.5 * line
        top, bottom = 1.4 * line, 1.3 * line if self.measure == "height" else 0.5 * line
        room = max(self.height() - top - bottom, 10.0)
        largest = max(float(np.max(self._upper)), 0.5)
        x_scale = max(self.width() - 2.0 * side, 10.0) / 360.0
        if self.measure == "width":
            return Frame(self.width() / 2.0, top + room / 2.0, x_scale, room / (2.0 * largest))
        return Frame(self.width() / 2.0, top + room, x_scale, room / largest)

    def make_handles(self) -> list[Handle]:
        """A point for every station, and its mirror image."""
        handles = []
        for index, station in enumerate(self.editor.design.band.stations):
            angle = station.turned_deg
            handles.append(self._handle(index, angle, 1.0, ghost=False))
            if angle == 180.0:
                handles.append(self._handle(index, -180.0, 1.0, ghost=True))
            elif angle != 0.0 and self.editor.design.band.mirror:
                handles.append(self._handle(index, -angle, -1.0, ghost=True))
        return handles

    def _handle(self, index: int, at_deg: float, sign: float, ghost: bool) -> Handle:
        station = self.editor.design.band.stations[index]
        width, height = station.width_mm, station.height_mm
        if self.measure == "width":
            y, up = width / 2.0, Move(at_station(WIDTH, index), lambda d: width + 2.0 * d)
        else:
            y, up = height, Move(at_station(HEIGHT, index), lambda d: height + d)
        across = Move(at_station(ANGLE, index), lambda d: _held_angle(sign * (at_deg + d)))
        if len(self.editor.design.band.stations) == 1:
            across = None  # type: ignore[assignment]
        return Handle(f"station {index + 1}{' mirrored' if ghost else ''}", at_deg, y, across, up, ghost, index)

    def choose(self, handle: Handle) -> None:
        """Take the handle's station in hand."""
        if handle.station is not None:
            self._choice.choose(handle.station)

    def without(self, handle: Handle) -> Taken | None:
        """The band without the handle's station; the last one stays."""
        if handle.station is None or len(self.editor.design.band.stations) == 1:
            return None
        return Taken("band.stations", without_station(self.editor.design, handle.station), "take a station away")

    def taken_away(self) -> None:
        """Another station comes in hand."""
        self._choice.choose(max(self._choice.index - 1, 0))

    def press_beside(self, place: QPointF) -> None:
        """Look at the section there."""
        angle = self._angle_at(place)
        if -180.0 <= angle <= 180.0 and len(self.editor.design.band.stations) > 1:
            self._choice.look_at(float(round(angle)))

    def mouseDoubleClickEvent(self, event: QMouseEvent, /) -> None:  # noqa: N802 - Qt's name
        """Add a station, unless there is one."""
        if event.button() == Qt.MouseButton.LeftButton and self.handle_at(event.position()) is None:
            self.add_station(_held_angle(float(round(self._angle_at(event.position())))))

    def keyPressEvent(self, event: QKeyEvent, /) -> None:  # noqa: N802 - Qt's name
        """Delete takes the chosen station away."""
        if event.key() in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace) and not self.dragging:
            self.remove_station()
        else:
            super().keyPressEvent(event)

    def add_station(self, angle_deg: float) -> InputError | None:
        """Add a station that leaves the band as it is there. Gives why not."""
        try:
            stations = with_station(self.editor.design, angle_deg)
        except InputError as error:
            return error
        error_met = self.editor.set_value("band.stations", stations, "add a station")
        if error_met is None:
            self._choice.choose(len(stations) - 1)
        return error_met

    def remove_station(self) -> InputError | None:
        """Take the chosen station away. Gives why not."""
        try:
            stations = without_station(self.editor.design, self._choice.index)
        except InputError as error:
            return error
        chosen = self._choice.index
        error_met = self.editor.set_value("band.stations", stations, "take a station away")
        if error_met is None:
            self._choice.choose(max(chosen - 1, 0))
        return error_met

    def _angle_at(self, place: QPointF) -> float:
        return (place.x() - self.frame.x_px) / self.frame.x_scale

    def paint_shape(self, painter: QPainter, colour: Colours) -> None:
        """The band, marks of the angles, the angle one looks at."""
        upper = [self.frame.point(float(a), float(y)) for a, y in zip(_ANGLES, self._upper, strict=True)]
        base = self._lower if self.measure == "width" else np.zeros_like(_ANGLES)
        lower = [self.frame.point(float(a), float(y)) for a, y in zip(_ANGLES, base, strict=True)]
        painter.setPen(QPen(QColor(colour.line), 1.0, Qt.PenStyle.DotLine))
        for angle, _ in MARKS:
            painter.drawLine(self.frame.point(angle, 0.0), QPointF(self.frame.point(angle, 0.0).x(), 4.0))
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(colour.hover))
        painter.drawPolygon(QPolygonF(upper + lower[::-1]))
        painter.setPen(QPen(QColor(colour.soft_text), 1.5))
        painter.drawPolyline(QPolygonF(upper))
        painter.drawPolyline(QPolygonF(lower))
        if self.measure == "height" and self.editor.design.band.section != "flat":
            edge = [self.frame.point(float(a), float(y)) for a, y in zip(_ANGLES, self._lower, strict=True)]
            painter.setPen(QPen(QColor(colour.soft_text), 1.0, Qt.PenStyle.DashLine))
            painter.drawPolyline(QPolygonF(edge))
        at = self.frame.point(_held_angle(self._choice.angle_deg), 0.0).x()
        painter.setPen(QPen(QColor(colour.accent), 1.0))
        painter.drawLine(QPointF(at, 6.0), QPointF(at, self.frame.point(0.0, float(np.min(base))).y()))
        self._paint_words(painter, colour)

    def _paint_words(self, painter: QPainter, colour: Colours) -> None:
        painter.setPen(QColor(colour.soft_text))
        line = self.fontMetrics().height()
        title = QRectF(8, 3, self.width() - 16, line)
        ground = QColor(colour.field)
        ground.setAlpha(225)
        painter.fillRect(QRectF(6, 3, self.fontMetrics().horizontalAdvance(self.measure) + 6, line), ground)
        painter.drawText(title, int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter), self.measure)
        if self.measure != "height":
            return
        roomy = self.fontMetrics().horizontalAdvance("shoulder") * 5 < self.width()
        for angle, name in MARKS:
            if name == "shoulder" and not roomy:
                continue
            middle = self.frame.point(angle, 0.0).x()
            width = self.fontMetrics().horizontalAdvance(name) + 2.0
            left = min(max(middle - width / 2.0, 4.0), self.width() - width - 4.0)
            box = QRectF(left, self.height() - line - 2.0, width, line)
            painter.drawText(box, int(Qt.AlignmentFlag.AlignCenter), name)

    def dimensions(self) -> list[Dimension]:
        """The chosen station's measure."""
        station = self._choice.station
        if self.measure == "width":
            half, text = station.width_mm / 2.0, f"{text_of(station.width_mm, 2)} mm"
            return [Dimension("width", (station.turned_deg, -half), (station.turned_deg, half), text)]
        text = f"{text_of(station.height_mm, 2)} mm"
        at = (station.turned_deg, station.height_mm)
        angle = Dimension("station_angle", at, at, f"{text_of(station.turned_deg, 0)}°", (0.0, -6.0))
        return [Dimension("height", (station.turned_deg, 0.0), at, text), angle]


def _held_angle(angle_deg: float) -> float:
    """The angle, held on the drawing."""
    return min(max(180.0 - (180.0 - angle_deg) % 360.0 if abs(angle_deg) > 360.0 else angle_deg, -180.0), 180.0)
