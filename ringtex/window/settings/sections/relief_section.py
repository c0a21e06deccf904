"""The relief: the profile of a cell, drawn and in numbers."""

from __future__ import annotations

from math import sqrt
from typing import Any

import numpy as np
from PySide6.QtWidgets import QLabel, QWidget

from ringtex.relief.relief_options import ReliefOptions, forms_of, unused_numbers
from ringtex.window.building.drawable_ring import View
from ringtex.window.building.view_state import ViewState
from ringtex.window.settings.controls.basic_rows import NoWheelComboBox
from ringtex.window.settings.controls.hover_watch import HoverWatch
from ringtex.window.settings.controls.number_setting import text_of
from ringtex.window.settings.controls.picture_choice import PictureChoice
from ringtex.window.settings.controls.setting_row import SettingRow
from ringtex.window.settings.design_editor import DesignEditor
from ringtex.window.settings.drawings.choice_pictures import form_pictures
from ringtex.window.settings.drawings.profile_drawing import ProfileDrawing
from ringtex.window.settings.drawings.rounding_picture import RoundingPicture
from ringtex.window.settings.sections.relief_numbers import (
    CORNER,
    DEPTH,
    DEPTH_SCATTER,
    FLANK,
    RELIEF_SEED,
    ROUNDING,
    TOP_SIZE,
    WALL_WIDTH,
)
from ringtex.window.settings.sections.settings_section import SettingsSection
from ringtex.window.settings.sections.variation_kinds import FADE
from ringtex.window.settings.sections.variation_part import VariationPart

CHOICES = (("one true width", "wall_width"), ("by top size", "top_size"))


class WallWidthRow(SettingRow):
    """Whether the walls' true width or the tops' share of the cell is given: exactly one of them."""

    def __init__(self, editor: DesignEditor, drawing: ProfileDrawing, parent: QWidget) -> None:
        super().__init__("relief", "wall_width", parent)
        self._editor, self._drawing = editor, drawing
        self.box = NoWheelComboBox(self)
        self.box.addItems([text for text, _ in CHOICES])
        self.box.setAccessibleName("How the width of ridges or grooves is given")
        self.box.setToolTip("Ridges or grooves of one true width, or tops that are a fraction of their cell")
        self.label = QLabel(self)
        self.line.addWidget(self.label)
        self.line.addWidget(self.box, 1)
        self.box.activated.connect(self._take)

    def refresh(self) -> None:
        """Show which of the two the design gives."""
        relief = self._editor.design.relief
        self.label.setText(f"{relief.wall_name.capitalize()}s")
        self.box.setCurrentIndex(0 if relief.wall_width_mm is not None else 1)
        self.clear_explanation()

    def matches_design(self) -> bool:
        """Whether the box shows which one the design gives."""
        return (self.box.currentIndex() == 0) == (self._editor.design.relief.wall_width_mm is not None)

    def _take(self, place: int) -> None:
        name = CHOICES[place][1]
        relief = self._editor.design.relief
        if (name == "wall_width") != (relief.wall_width_mm is not None):
            value = other_width(relief, self._drawing.half_cell_mm)
            self._editor.set_value(f"relief.{name}", value, f"give {relief.wall_name}s {CHOICES[place][0]}")
        self.refresh()


def other_width(relief: ReliefOptions, half_cell_mm: float) -> float:
    """The top size that looks like the wall width in a typical cell, or the wall width that looks like the top size."""
    from ringtex.basics.tolerances import FINAL_CHORD_MM
    from ringtex.relief.cell_profile import cell_profile

    flank = cell_profile(relief, FINAL_CHORD_MM).flank_mm
    if relief.wall_width_mm is not None:
        share = 1.0 - (relief.wall_width_mm / 2.0 + flank) / half_cell_mm
        return min(max(round(share, 2), TOP_SIZE.low), TOP_SIZE.high)
    width = 2.0 * ((1.0 - (relief.top_size or 0.0)) * half_cell_mm - flank)
    return min(max(round(width, 2), 0.1), WALL_WIDTH.high)


class ReliefSection(SettingsSection):
    """Form, profile, and the profile's measures."""

    def __init__(self, editor: DesignEditor, state: ViewState, watch: HoverWatch, parent: QWidget) -> None:
        super().__init__("Relief", editor, state, watch, parent)
        self.form = self.add_row(PictureChoice("relief.form", "Form", form_pictures(), editor, state, self.body))
        self.profile = ProfileDrawing(editor, state, watch, self.body)
        self.column.addWidget(self.profile)
        self.drawings.append(self.profile)
        self.deep = self.add_number(DEPTH)
        self.way = self.add_row(WallWidthRow(editor, self.profile, self.body))
        self.wall_width = self.add_number(WALL_WIDTH)
        self.top_size = self.add_number(TOP_SIZE)
        self.flank = self.add_number(FLANK)
        self.corner = self.add_number(CORNER)
        self.rounding = self.add_number(ROUNDING)
        self.rounding_picture = RoundingPicture(state, self.rounding)
        self.rounding.line.insertWidget(1, self.rounding_picture)
        self.depth_scatter = self.add_number(DEPTH_SCATTER)
        self.depth_seed = self.add_number(RELIEF_SEED)
        self.fade = VariationPart(FADE, editor, state, watch, self.body)
        self.column.addWidget(self.fade)
        self.drawings.extend(self.fade.drawings)

    def refresh(self) -> None:
        """Show only what the form has."""
        super().refresh()
        self.fade.refresh()
        relief, pattern = self.editor.design.relief, self.editor.design.pattern
        drawn, forms = pattern.family == "motif", forms_of(pattern.family, pattern.motif)
        unused = unused_numbers(relief, pattern.family, pattern.motif)
        for button in self.form.buttons:
            button.setVisible(button.picture.value in forms)
        self.profile.setVisible(not drawn or not unused & {"flank_deg", "corner_mm"})
        # The walls of motifs are the outlines that were drawn.
        self.way.setVisible(not drawn)
        self.wall_width.set_label(relief.wall_name.capitalize())
        self.wall_width.setVisible("wall_width_mm" not in unused)
        self.top_size.setVisible("top_size" not in unused)
        self.flank.setVisible("flank_deg" not in unused)
        self.corner.setVisible("corner_mm" not in unused)
        self.rounding.setVisible("rounding" not in unused)
        self.rounding_picture.set_rounding(relief.rounding)
        self.depth_seed.setVisible("seed" not in unused)

    def show_view(self, view: View) -> None:
        """Draw the profile in a cell of the usual size of the ring in view."""
        self.fade.show_view(view)
        areas: Any = view.built.pattern.tiling.areas
        # From wall to centre of a regular hexagon of that area.
        self.profile.set_half_cell(sqrt(float(np.mean(areas)) / (2.0 * sqrt(3.0))))

    def summary(self) -> str:
        """Form and depth."""
        relief = self.editor.design.relief
        return f"{relief.form} {text_of(relief.depth_mm, 2)} mm"
