"""The band: its section and its stations, drawn and in numbers."""

from __future__ import annotations

from PySide6.QtGui import QIcon
from PySide6.QtWidgets import QLabel, QPushButton, QSizePolicy, QWidget

from ringtex.band.presets import PRESETS, BandPreset
from ringtex.basics.errors import InputError
from ringtex.edits.station_edits import place_name, widest_gap_deg
from ringtex.window.appearance.colours import colours
from ringtex.window.appearance.flow_layout import FlowLayout
from ringtex.window.building.view_state import ViewState
from ringtex.window.settings.controls.basic_rows import ChoiceRow, TickRow
from ringtex.window.settings.controls.hover_watch import HoverWatch
from ringtex.window.settings.controls.number_setting import text_of
from ringtex.window.settings.controls.picture_choice import PictureChoice
from ringtex.window.settings.controls.setting_row import sentence
from ringtex.window.settings.design_editor import DesignEditor
from ringtex.window.settings.drawings.choice_pictures import HIGH, SECTION_NAMES, WIDE, preset_icon, section_pictures
from ringtex.window.settings.drawings.section_drawing import RISE, SectionDrawing
from ringtex.window.settings.drawings.station_drawing import StationDrawing
from ringtex.window.settings.sections.settings_section import SettingsSection
from ringtex.window.settings.sections.station_choice import STATION_SETTINGS, StationChoice, at_station, station_key


class BandSection(SettingsSection):
    """Shapes to begin with, the section, the drawings, the chosen station's numbers, the bore."""

    def __init__(self, editor: DesignEditor, state: ViewState, watch: HoverWatch, parent: QWidget) -> None:
        super().__init__("Band", editor, state, watch, parent)
        self.choice = StationChoice(editor, self)
        self._add_shapes()
        self.section = self.add_row(
            PictureChoice("band.section", "Section", section_pictures(), editor, state, self.body)
        )
        self.section_drawing = SectionDrawing(self.choice, editor, state, watch, self.body)
        self.width_drawing = StationDrawing("width", self.choice, editor, state, watch, self.body)
        self.height_drawing = StationDrawing("height", self.choice, editor, state, watch, self.body)
        for drawing in (self.section_drawing, self.width_drawing, self.height_drawing):
            self.column.addWidget(drawing)
            self.drawings.append(drawing)
        self._add_station_line()
        self.station_rows = [self.add_number(at_station(setting, 0)) for setting in STATION_SETTINGS]
        self.mirror = self.add_row(
            TickRow("band.mirror", "Left like right", "A station at 40 degrees also acts at -40", editor)
        )
        shapes = (("straight", "straight"), ("comfort", "comfort"))
        self.bore = self.add_row(
            ChoiceRow(
                "bore.shape",
                "Bore",
                shapes,
                "The finger hole: straight, or opening towards the edges",
                editor,
                "bore_rise",
            )
        )
        self.rise = self.add_number(RISE)
        self.choice.changed.connect(self._show_station)

    def _add_shapes(self) -> None:
        self.shapes = self.add_menu(
            "Begin with a shape", "Give the band one of the usual shapes; undo brings yours back"
        )
        menu = self.shapes.menu()
        menu.setStyleSheet(f"QMenu {{ icon-size: {WIDE}px {HIGH}px; }}")
        for shape in PRESETS:
            entry = menu.addAction(QIcon(), shape.name)
            entry.setToolTip(shape.hint)
            entry.triggered.connect(lambda _=False, shape=shape: self.take_shape(shape))
        menu.aboutToShow.connect(self._picture_shapes)

    def _picture_shapes(self) -> None:
        """In the theme's colours; drawn when they are asked for."""
        chosen = colours(self.state.dark)
        for entry, shape in zip(self.shapes.menu().actions(), PRESETS, strict=True):
            entry.setIcon(preset_icon(shape.options, chosen, self.devicePixelRatioF()))

    def take_shape(self, shape: BandPreset) -> None:
        """Give the band a whole new shape."""
        self.choice.choose(0)
        self._explain(self.editor.set_value("band", shape.options, f"take the {shape.name} band"))

    def _add_station_line(self) -> None:
        holder = QWidget(self.body)
        self.station_name = QLabel(self.body)
        self.station_name.setProperty("role", "strong")
        self.station_name.setWordWrap(True)
        self.column.addWidget(self.station_name)
        self.previous = _small_button("\u2039", "Previous station", holder)
        self.next = _small_button("\u203a", "Next station", holder)
        self.add = QPushButton("Add", holder)
        self.add.setAccessibleName("Add a station")
        self.add.setToolTip("Add a station in the longest part without one")
        self.remove = QPushButton("Remove", holder)
        self.remove.setAccessibleName("Remove this station")
        self.remove.setToolTip("Remove the chosen station")
        line = FlowLayout(holder, 8)
        line.setContentsMargins(0, 0, 0, 0)
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        holder.setSizePolicy(policy)
        for part in (self.previous, self.next, self.add, self.remove):
            line.addWidget(part)
        self.previous.clicked.connect(lambda: self._go(-1))
        self.next.clicked.connect(lambda: self._go(1))
        self.add.clicked.connect(self._add)
        self.remove.clicked.connect(lambda: self._explain(self.width_drawing.remove_station()))
        self.column.addWidget(holder)

    def _go(self, step: int) -> None:
        self.choice.choose((self.choice.index + step) % len(self.editor.design.band.stations))

    def _add(self) -> None:
        self._explain(self.width_drawing.add_station(widest_gap_deg(self.editor.design)))

    def _explain(self, error: InputError | None) -> None:
        if error is not None:
            self.show_message(sentence(error))

    def refresh(self) -> None:
        """Show the chosen station."""
        self._point_rows()
        super().refresh()
        self._show_names()

    def _show_station(self) -> None:
        self._point_rows()
        self._show_names()

    def _point_rows(self) -> None:
        for row, setting in zip(self.station_rows, STATION_SETTINGS, strict=True):
            row.set_key(station_key(setting.key, self.choice.index))

    def _show_names(self) -> None:
        band, station = self.editor.design.band, self.choice.station
        several = len(band.stations) > 1
        where = f"{place_name(station.angle_deg)}, {text_of(station.angle_deg, 0)}°"
        count = f"Station {self.choice.index + 1} of {len(band.stations)}"
        self.station_name.setText(f"{count}: {where}" if several else "The same all round")
        for part in (self.previous, self.next, self.remove):
            part.setVisible(several)
        angle, _, _, edge, fullness = self.station_rows
        angle.setVisible(several)
        edge.setVisible(band.section != "flat")
        fullness.setVisible(band.section is None)
        self.mirror.setVisible(several)
        self.rise.setVisible(self.editor.design.bore.shape == "comfort")

    def summary(self) -> str:
        """Section, width and height at the head."""
        band = self.editor.design.band
        name = next(name for section, name, _ in SECTION_NAMES if section == band.section)
        first = band.stations[0]
        return f"{name} {first.width_mm:g} × {first.height_mm:g} mm"


def _small_button(text: str, name: str, parent: QWidget) -> QPushButton:
    button = QPushButton(text, parent)
    button.setAccessibleName(name)
    button.setToolTip(name)
    return button
