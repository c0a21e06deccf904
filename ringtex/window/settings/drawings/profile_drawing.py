"""A cell's profile at a wall, to scale, from the relief's real profile; its measures are handles."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QWidget

from ringtex.basics.tolerances import FINAL_CHORD_MM
from ringtex.relief.cell_profile import TERRACES, CellProfile, cell_profile
from ringtex.relief.relief_options import SUNKEN, ReliefOptions
from ringtex.window.appearance.dimension_line import Dimension
from ringtex.window.building.view_state import ViewState
from ringtex.window.settings.controls.hover_watch import HoverWatch
from ringtex.window.settings.controls.number_setting import text_of
from ringtex.window.settings.design_editor import DesignEditor
from ringtex.window.settings.drawings.choice_pictures import profile_line
from ringtex.window.settings.drawings.handle_drawing import Handle, HandleDrawing, Move
from ringtex.window.settings.sections.relief_numbers import CORNER, DEPTH, FLANK, TOP_SIZE, WALL_WIDTH

if TYPE_CHECKING:
    from ringtex.design.design import Design
    from ringtex.window.settings.drawings.plot import Plot

USUAL_HALF_CELL_MM = 1.0
"""From wall to centre until a ring has been built."""
MAX_HALF_CELL_MM = 2.5
"""A larger cell is cut off at the sides, so that its wall can still be seen."""
GROUND_MM = 0.3


def relief_of(design: Design) -> ReliefOptions:
    """The relief as it is drawn: outlines of a drawing have no level strip along them."""
    if design.pattern.family != "motif":
        return design.relief
    return replace(design.relief, wall_width_mm=0.0, top_size=None)


class ProfileDrawing(HandleDrawing):
    """x is the distance from the wall in the middle, y the height above the band's face, mm."""

    to_scale = True
    margins = (0.1, 2.1, 0.1, 2.1)

    def __init__(self, editor: DesignEditor, state: ViewState, watch: HoverWatch, parent: QWidget) -> None:
        self._half_cell_mm = USUAL_HALF_CELL_MM
        self._profile: CellProfile = cell_profile(relief_of(editor.design), FINAL_CHORD_MM)
        super().__init__("Profile of a cell", editor, state, watch, 9.0, parent)
        self.setToolTip("The profile across a wall, to scale: drag its points. Page keys choose one, arrows move it")

    def set_half_cell(self, half_cell_mm: float) -> None:
        """Distance from wall to centre of a typical cell of the ring in view."""
        if abs(half_cell_mm - self._half_cell_mm) > 1e-9 and not self.dragging:
            self._half_cell_mm = half_cell_mm
            self.redraw_soon()

    @property
    def relief(self) -> ReliefOptions:
        """The design's relief, without walls where outlines are drawn."""
        return relief_of(self.editor.design)

    @property
    def is_drawn(self) -> bool:
        """Whether the profile rises from an outline of a drawing, with the band's face on its other side."""
        return self.editor.design.pattern.family == "motif"

    @property
    def half_cell_mm(self) -> float:
        """Distance from wall to centre of a typical cell."""
        return self._half_cell_mm

    def shown(self) -> object:
        """The relief, in a cell of this size."""
        return self.relief, self.is_drawn, self._half_cell_mm

    def take(self) -> bool:
        """Take the profile anew."""
        self._profile = cell_profile(self.relief, FINAL_CHORD_MM)
        return True

    @property
    def _steps(self) -> int:
        return TERRACES if self.relief.form == "step" else 1

    @property
    def _foot_mm(self) -> float:
        """Where the level strip along the wall ends."""
        profile = self._profile
        if self.relief.top_size is None:
            return profile.level_mm
        return profile.level_share * self._half_cell_mm / self._steps - profile.flank_mm / self._steps

    @property
    def _corner(self) -> tuple[float, float]:
        """The sharp corner between the last flank and the top or floor."""
        profile, depth = self._profile, self._sign * self.relief.depth_mm
        if self.relief.top_size is None:
            return profile.level_mm * self._steps + profile.flank_mm, depth
        return profile.level_share * self._half_cell_mm, depth

    @property
    def _sign(self) -> float:
        return -1.0 if self.relief.form in SUNKEN else 1.0

    def ranges(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """The wall in the middle, the ground below the lowest."""
        half, depth = self._shown_half, self._sign * self.relief.depth_mm
        return (-half, half), (min(depth, 0.0) - GROUND_MM, max(depth, 0.0))

    @property
    def _shown_half(self) -> float:
        if self._half_cell_mm <= MAX_HALF_CELL_MM or self._profile.flank_mm == 0.0:
            return self._half_cell_mm * 1.15
        return max(self._corner[0] + 0.5, 0.9)

    def make_handles(self) -> list[Handle]:
        """Wall width or top size; depth; flank and corner where the form has them."""
        relief, foot, (corner_x, top) = self.relief, self._foot_mm, self._corner
        handles = []
        if relief.wall_width_mm is not None and not self.is_drawn:
            width = relief.wall_width_mm
            handles.append(Handle("wall width", foot, 0.0, across=Move(WALL_WIDTH, lambda d: width + 2.0 * d)))
        elif relief.top_size is not None:
            size, steps = relief.top_size, self._steps
            value = Move(TOP_SIZE, lambda d: size - d * steps / self._half_cell_mm)
            handles.append(Handle("top size", foot, 0.0, across=value))
        depth, sign = relief.depth_mm, self._sign
        deep = Move(DEPTH, lambda d: depth + sign * d)
        if self._profile.flank_mm == 0.0:
            handles.append(Handle("depth", self._half_cell_mm, sign * depth, up=deep))
            return handles
        beyond = corner_x + self._corner_reach + 0.25 * max(self._half_cell_mm - corner_x, 0.4)
        handles.append(Handle("depth", beyond, top, up=deep))
        handles.append(self._flank_handle(corner_x, top))
        handles.append(self._corner_handle(corner_x, top))
        return handles

    def _flank_handle(self, corner_x: float, top: float) -> Handle:
        """Half-way up the last flank; dragging it sideways makes that flank twice as much wider or narrower."""
        steps, depth = self._steps, self.relief.depth_mm
        wide = self._profile.flank_mm / steps
        away = 1.0 if self.relief.top_size is None else -1.0

        def value(distance: float) -> float:
            return math.degrees(math.atan2(depth / steps, max(wide + away * 2.0 * distance, 1e-4)))

        x = corner_x - wide / 2.0
        return Handle("flank", x, top - self._sign * depth / (2.0 * steps), across=Move(FLANK, value))

    @property
    def _corner_reach(self) -> float:
        """How far the corner's arc reaches along the top."""
        return self.relief.corner_mm * math.tan(math.radians(self.relief.flank_deg) / 2.0)

    def _corner_handle(self, corner_x: float, top: float) -> Handle:
        radius, half = self.relief.corner_mm, math.tan(math.radians(self.relief.flank_deg) / 2.0)
        return Handle("corner", corner_x + self._corner_reach, top, across=Move(CORNER, lambda d: radius + d / half))

    def draw(self, plot: Plot) -> None:
        """The metal on both sides of the wall, the band's face, the middle of the wall."""
        half = profile_line(self._profile, self._half_cell_mm)
        right = np.concatenate((half, np.stack((2.0 * self._half_cell_mm - half[::-1, 0], half[::-1, 1]), axis=-1)))
        left = right[::-1] * (-1.0, 0.0 if self.is_drawn else 1.0)
        line = np.concatenate((left, right))
        (low, _), far = self.ranges()[1], 4.0 * self._half_cell_mm
        if self.relief.form == "pierced":
            # Floors are cut through: there is no metal under them.
            line[line[:, 1] <= -self.relief.depth_mm + FINAL_CHORD_MM, 1] = low
        plot.area("metal", line[:, 0], line[:, 1], base=low)
        plot.line("face", [-far, far], [0.0, 0.0], "line", 1.0, dashed=True)
        plot.line("wall", [0.0, 0.0], [2.0 * low, -4.0 * low], "line", 1.0, dashed=True)
        plot.line("profile", line[:, 0], line[:, 1], width=1.75)
        what = "an outline" if self.is_drawn else "a wall"
        plot.texts = ((f"across {what}, to scale", Qt.AlignmentFlag.AlignBottom),)

    def dimensions(self) -> list[Dimension]:
        """Wall width or top above, depth beside, flank and corner at their places."""
        relief, (corner_x, top), foot = self.relief, self._corner, self._foot_mm
        line = self.fontMetrics().height()
        # The line of a width stands clear of the metal.
        clear = (0.0, -self.frame.y_scale * max(top, 0.0) - 0.7 * line)
        made = []
        if relief.wall_width_mm is not None and not self.is_drawn:
            text = f"{text_of(relief.wall_width_mm, 2)} mm"
            made.append(Dimension("wall_width", (-foot, 0.0), (foot, 0.0), text, clear))
        elif relief.top_size is not None:
            text = f"{text_of(relief.top_size * 100.0, 0)} % of the cell"
            ends = (corner_x, 0.0), (min(self._half_cell_mm, self._shown_half), 0.0)
            made.append(Dimension("top_size", *ends, text, clear))
        at = self._half_cell_mm if self._profile.flank_mm == 0.0 else corner_x
        deep = (0.0, 0.0), (0.0, top)
        if not self.is_drawn:
            deep = (-at, 0.0), (-at, top)
        made.append(Dimension("depth", *deep, f"{text_of(relief.depth_mm, 2)} mm", (-0.4 * line, 0.0)))
        if self._profile.flank_mm > 0.0:
            middle = (corner_x - self._profile.flank_mm / (2 * self._steps), top / 2.0)
            made.append(Dimension("flank", middle, middle, f"{text_of(relief.flank_deg, 0)}°", (0.0, -1.2 * line)))
            end = (corner_x + self._corner_reach, top)
            made.append(Dimension("corner", end, end, f"radius {text_of(relief.corner_mm, 2)} mm", (0.0, -6.0)))
        return made
