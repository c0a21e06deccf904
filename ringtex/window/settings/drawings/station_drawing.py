"""Width and height round the ring, unrolled like the strip: palm, head, palm; the stations are its points."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np
from PySide6.QtCore import QPointF, Qt
from PySide6.QtWidgets import QWidget

from ringtex.band.band import Band
from ringtex.basics.errors import InputError
from ringtex.edits.design_keys import band_of
from ringtex.edits.station_edits import with_station, without_station
from ringtex.window.appearance.dimension_line import Dimension
from ringtex.window.building.view_state import ViewState
from ringtex.window.settings.controls.hover_watch import HoverWatch
from ringtex.window.settings.controls.number_setting import text_of
from ringtex.window.settings.design_editor import DesignEditor
from ringtex.window.settings.drawings.handle_drawing import AROUND_WORDS, Handle, HandleDrawing, Move, Removal
from ringtex.window.settings.sections.station_choice import ANGLE, HEIGHT, WIDTH, StationChoice, at_station

if TYPE_CHECKING:
    from ringtex.window.settings.drawings.plot import Plot

_ANGLES: Final = np.linspace(-180.0, 180.0, 181)


class StationDrawing(HandleDrawing):
    """One measure round the ring: "width" as the band's outline laid flat, "height" above the bore.

    x is the angle, y mm. Double-click adds a station, the delete key takes the chosen one away, a click beside the
    points looks at the section there.
    """

    def __init__(
        self,
        measure: str,
        choice: StationChoice,
        editor: DesignEditor,
        state: ViewState,
        watch: HoverWatch,
        parent: QWidget,
    ) -> None:
        self.measure = measure
        self._choice = choice
        if measure == "height":
            self.axis_words = AROUND_WORDS
        self._band: Band | None = None
        self._upper = np.ones_like(_ANGLES)
        self._lower = np.zeros_like(_ANGLES)
        super().__init__(f"{measure.capitalize()} round the ring", editor, state, watch, 5.5, parent)
        self.setToolTip(
            f"{measure.capitalize()} round the ring: drag the points. Double-click adds a station; "
            "Delete, or dragging it out below, removes one"
        )
        choice.changed.connect(self.redraw_soon)

    def shown(self) -> object:
        """The band, and the chosen station or the angle of the section drawing."""
        design, choice = self.editor.design, self._choice
        return design.size, design.bore, design.band, choice.index, choice.between_deg

    def take(self) -> bool:
        """Take the measures from the design's band; where none can be made, the last good ones stay."""
        try:
            band = band_of(self.editor.design)
        except InputError:
            return False
        if band is not self._band:
            self._take_lines(band)
        return True

    def _take_lines(self, band: Band) -> None:
        self._band, theta = band, np.deg2rad(_ANGLES)
        if self.measure == "width":
            self._upper = band.half_width(theta)
            self._lower = -self._upper
        else:
            self._upper = band.crown_radius(theta) - band.bore_radius_mm
            self._lower = band.edge_radius(theta) - band.bore_radius_mm

    def ranges(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """All angles; the width both ways, the height from the bore upwards."""
        largest = max(float(np.max(self._upper)), 0.5)
        return (-180.0, 180.0), (-largest if self.measure == "width" else 0.0, largest)

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
        if handle.index is not None:
            self._choice.choose(handle.index)

    def without(self, handle: Handle) -> Removal | None:
        """The band without the handle's station; the last one stays."""
        if handle.index is None or len(self.editor.design.band.stations) == 1:
            return None
        return Removal("band.stations", without_station(self.editor.design, handle.index), "remove a station")

    def removed(self) -> None:
        """Another station comes in hand."""
        self._choice.choose(max(self._choice.index - 1, 0))

    def press_beside(self, position: QPointF) -> None:
        """Look at the section there."""
        angle, _ = self.frame.units(position)
        if -180.0 <= angle <= 180.0 and len(self.editor.design.band.stations) > 1:
            self._choice.look_at(float(round(angle)))

    def add_at(self, x: float, y: float) -> None:
        """Add a station."""
        self.add_station(_held_angle(float(round(x))))

    def remove_chosen(self) -> None:
        """Remove the chosen station."""
        self.remove_station()

    def add_station(self, angle_deg: float) -> InputError | None:
        """Add a station that leaves the band as it is there. Gives the error where it is refused."""
        try:
            stations = with_station(self.editor.design, angle_deg)
        except InputError as error:
            return error
        error_met = self.editor.set_value("band.stations", stations, "add a station")
        if error_met is None:
            self._choice.choose(len(stations) - 1)
        return error_met

    def remove_station(self) -> InputError | None:
        """Remove the chosen station. Gives the error where it is refused."""
        try:
            stations = without_station(self.editor.design, self._choice.index)
        except InputError as error:
            return error
        chosen = self._choice.index
        error_met = self.editor.set_value("band.stations", stations, "remove a station")
        if error_met is None:
            self._choice.choose(max(chosen - 1, 0))
        return error_met

    def draw(self, plot: Plot) -> None:
        """The band, and the angle of the section drawing."""
        is_width = self.measure == "width"
        base = self._lower if is_width else np.zeros_like(_ANGLES)
        angles, outline = np.append(_ANGLES, _ANGLES[::-1]), np.append(self._upper, base[::-1])
        plot.area("band", angles, outline)
        plot.line(
            "outline", np.append(_ANGLES, np.append(np.nan, _ANGLES)), np.concatenate((self._upper, [np.nan], base))
        )
        if not is_width and self.editor.design.band.section != "flat":
            plot.line("edge", _ANGLES, self._lower, width=1.0, dashed=True)
        else:
            plot.line("edge", [], [])
        at = _held_angle(self._choice.angle_deg)
        plot.line("angle", [at, at], [float(np.min(base)), 1.5 * float(np.max(self._upper))], "accent", 1.0)
        plot.texts = ((self.measure, Qt.AlignmentFlag.AlignTop),)

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
