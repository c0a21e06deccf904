"""The band's section at one angle, to scale, with handles for its measures."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QWidget

from ringtex.band.band import Band
from ringtex.band.bore import BoreOptions
from ringtex.basics.arrays import Floats
from ringtex.basics.errors import InputError
from ringtex.edits.design_keys import band_of
from ringtex.edits.station_edits import place_name
from ringtex.window.appearance.dimension_line import Dimension
from ringtex.window.building.view_state import ViewState
from ringtex.window.settings.controls.hover_watch import HoverWatch
from ringtex.window.settings.controls.number_setting import NumberSetting, text_of
from ringtex.window.settings.design_editor import DesignEditor
from ringtex.window.settings.drawings.handle_drawing import Handle, HandleDrawing, Move
from ringtex.window.settings.sections.station_choice import EDGE, FULLNESS, HEIGHT, WIDTH, StationChoice, at_station

if TYPE_CHECKING:
    from ringtex.window.settings.drawings.plot import Plot

RISE = NumberSetting(
    "bore.rise", "Comfort rise", BoreOptions, 0.05,
    "How far the bore has risen from mid-width to the edges", "mm", highlight="bore_rise", drag_span=(0.0, 1.0),
)  # fmt: skip


class SectionDrawing(HandleDrawing):
    """z across, height above the bore upwards, mm."""

    to_scale = True
    margins = (2.25, 1.9, 2.25, 1.9)

    def __init__(
        self, choice: StationChoice, editor: DesignEditor, state: ViewState, watch: HoverWatch, parent: QWidget
    ) -> None:
        self._choice = choice
        self._band: Band | None = None
        self._line = np.zeros((0, 2))
        super().__init__("Section of the band", editor, state, watch, 9.5, parent)
        self.setToolTip("The section at the chosen station: drag its points. Page keys choose a point, arrows move it")
        choice.changed.connect(self.redraw_soon)

    def shown(self) -> object:
        """The band, and where one looks at it."""
        design, choice = self.editor.design, self._choice
        return design.size, design.bore, design.band, choice.index, choice.between_deg

    def take(self) -> bool:
        """Take the section from the design's band; where none can be made, the last good one stays."""
        try:
            self._band = band_of(self.editor.design)
            self._line = self._section_line(self._band)
        except InputError:
            return False
        return True

    @property
    def _theta(self) -> Floats:
        return np.array([np.deg2rad(self._choice.angle_deg)])

    def _section_line(self, band: Band) -> Floats:
        """(n, 2) z and height of the outer face from the -z edge to the +z edge."""
        across = np.linspace(-1.0, 1.0, 129)
        radius, z = band.profile(self._theta, across)
        return np.asarray(np.stack((z.real, radius.real - band.bore_radius_mm), axis=-1))

    def ranges(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """From edge to edge, from the bore to the crown."""
        half, top = np.max(self._line, axis=0, initial=0.5)
        return (-float(half), float(half)), (0.0, float(top))

    def make_handles(self) -> list[Handle]:
        """Crown, edges, and where they are free: fullness and the bore's rise."""
        if self._choice.between_deg is not None or self._band is None:
            return []
        station, index, design = self._choice.station, self._choice.index, self.editor.design
        width, height, edge = station.width_mm, station.height_mm, station.edge_height_mm
        flat = design.band.section == "flat"
        handles = [Handle("crown", 0.0, height, up=Move(at_station(HEIGHT, index), lambda d: height + d))]
        for sign, name in ((1.0, "upper edge"), (-1.0, "lower edge")):
            across = Move(at_station(WIDTH, index), partial(_wider, width, 2.0 * sign))
            up = None if flat else Move(at_station(EDGE, index), lambda d: edge + d)
            handles.append(Handle(name, sign * width / 2.0, height if flat else edge, across, up))
        if design.band.section is None:
            handles.append(self._fullness_handle(station.fullness, index))
        if design.bore.shape == "comfort":
            rise = design.bore.rise_mm
            handles.append(Handle("rise of the bore", width / 2.0, rise, up=Move(RISE, lambda d: rise + d)))
        return handles

    def _fullness_handle(self, fullness: float, index: int) -> Handle:
        z, height = self._line[len(self._line) * 13 // 16]
        rise = max(self._choice.station.height_mm - self._choice.station.edge_height_mm, 0.2)
        # At a superellipse's diagonal a step in fullness n moves the line by about rise / n squared.
        grip = max(fullness, 1.0) ** 2 / rise
        move = Move(at_station(FULLNESS, index), lambda d: fullness + d * grip)
        return Handle("fullness", float(z), float(height), up=move)

    def draw(self, plot: Plot) -> None:
        """The metal, the middle, and at which angle it is."""
        if self._band is None:
            return
        z = np.linspace(self._line[-1, 0], self._line[0, 0], 33)
        bore = self._band.bore.height_at(z / max(abs(float(z[0])), 1e-9))
        outline = np.concatenate((self._line, np.stack((z, bore), axis=-1), self._line[:1]))
        plot.area("metal", outline[:, 0], outline[:, 1], pen="soft_text")
        top = float(np.max(self._line[:, 1]))
        plot.line("middle", [0.0, 0.0], [-top, 2.0 * top], "line", 1.0, dashed=True)
        plot.texts = ((self._angle_text(), Qt.AlignmentFlag.AlignTop),)

    def _angle_text(self) -> str:
        angle = self._choice.angle_deg
        if self._choice.between_deg is not None:
            return f"at {angle:.0f}°, between stations"
        if len(self.editor.design.band.stations) > 1:
            return f"at {text_of(angle, 0)}°, {place_name(angle)}"
        return "the same all round"

    def dimensions(self) -> list[Dimension]:
        """Width below, heights at the side."""
        station, design = self._choice.station, self.editor.design
        if self._choice.between_deg is not None:
            return []
        half, height, edge = station.width_mm / 2.0, station.height_mm, station.edge_height_mm
        rise, beside = design.bore.rise_mm, 0.9 * self.fontMetrics().height()
        return [
            Dimension("width", (-half, 0.0), (half, 0.0), f"{text_of(station.width_mm, 2)} mm", (0.0, beside * 0.8)),
            Dimension("height", (0.0, 0.0), (0.0, height), f"{text_of(height, 2)} mm"),
            Dimension("edge_height", (half, 0.0), (half, edge), f"{text_of(edge, 2)} mm", (beside, 0.0)),
            Dimension("bore_rise", (half, 0.0), (half, rise), f"{text_of(rise, 2)} mm", (beside, 0.0)),
            self._fullness_dimension(station.fullness),
        ]

    def _fullness_dimension(self, fullness: float) -> Dimension:
        z, height = self._line[len(self._line) * 13 // 16]
        place = (float(z), float(height))
        return Dimension("fullness", place, place, f"fullness {text_of(fullness, 1)}", (0.0, -8.0))


def _wider(width_mm: float, factor: float, distance_mm: float) -> float:
    return width_mm + factor * distance_mm
