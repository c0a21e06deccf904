"""Which station of the band is being edited, and at which angle one looks at the section."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import QObject, Signal

from ringtex.band.band_options import (
    Station,
)
from ringtex.window.settings.controls.number_setting import NumberSetting
from ringtex.window.settings.design_editor import DesignEditor

ANGLE = NumberSetting(
    "angle", "Angle", Station, 1.0,
    "Where the station stands: 0 is the head, 180 the palm, counter-clockwise seen from the upper edge", "°", 1,
    "station_angle", (-180.0, 180.0),
)  # fmt: skip
WIDTH = NumberSetting(
    "width", "Width", Station, 0.1, "From edge to edge, along the finger", "mm",
    drag_span=(1.0, 25.0),
)  # fmt: skip
HEIGHT = NumberSetting("height", "Height", Station, 0.1, "From the bore to the crown", "mm", drag_span=(0.6, 12.0))
EDGE = NumberSetting(
    "edge_height", "Edge height", Station, 0.05,
    "From the bore to the outer face at the edges, at most the height", "mm", drag_span=(0.3, 5.0),
)  # fmt: skip
FULLNESS = NumberSetting(
    "fullness", "Fullness", Station, 0.1,
    "1 is straight flanks, 2 half-round, 12 nearly flat", "", drag_span=(1.0, 6.0),
)  # fmt: skip
STATION_SETTINGS = (ANGLE, WIDTH, HEIGHT, EDGE, FULLNESS)


def at_station(setting: NumberSetting, index: int) -> NumberSetting:
    """The setting with the key of one station."""
    return replace(setting, key=station_key(setting.key, index))


def station_key(name: str, index: int) -> str:
    """The key of a station's measure."""
    return f"band.stations[{index}].{name}"


class StationChoice(QObject):
    """The chosen station, and an angle between stations where one looks at the section there."""

    changed = Signal()

    def __init__(self, editor: DesignEditor, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._editor = editor
        self._index = 0
        self._between: float | None = None

    @property
    def index(self) -> int:
        """The chosen station; the last one where it was removed."""
        return min(self._index, len(self._editor.design.band.stations) - 1)

    @property
    def station(self) -> Station:
        """The chosen station."""
        return self._editor.design.band.stations[self.index]

    @property
    def between_deg(self) -> float | None:
        """The angle one looks at, where it is no station's."""
        return self._between

    @property
    def angle_deg(self) -> float:
        """The angle one looks at."""
        return self.station.angle_deg if self._between is None else self._between

    def choose(self, index: int) -> None:
        """Take a station in hand."""
        if (index, None) != (self._index, self._between):
            self._index, self._between = index, None
            self.changed.emit()

    def look_at(self, angle_deg: float) -> None:
        """Look at the section at an angle between stations."""
        if angle_deg != self._between:
            self._between = angle_deg
            self.changed.emit()
