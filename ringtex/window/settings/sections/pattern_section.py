"""The pattern: which cells, how many, how regular, and where they lie."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QSize
from PySide6.QtWidgets import QLabel, QSizePolicy, QToolButton, QWidget

from ringtex.document.pattern_library import PatternLibrary, library_folder
from ringtex.edits.pattern_ties import SOME_SCATTER, can_be_even, seed_has_effect
from ringtex.pattern.grown.grown_families import GROWN_FAMILIES
from ringtex.pattern.lattice.families import family_label
from ringtex.pattern.motif.motif_options import MotifOptions
from ringtex.pattern.pattern_options import (
    MAX_SEED,
    PatternOptions,
    RailOptions,
)
from ringtex.pattern.picture.grey_options import GreyOptions
from ringtex.window.appearance.colours import colours
from ringtex.window.appearance.icons import icon
from ringtex.window.building.drawable_ring import View
from ringtex.window.building.view_state import ViewState
from ringtex.window.dialogs.motif_dialog import ALTERNATIONS, ARRANGEMENTS, FIT_HINT, FITS, LAYINGS
from ringtex.window.dialogs.pattern_dialog import PatternDialog
from ringtex.window.settings.controls.basic_rows import ChoiceRow, EffectRow
from ringtex.window.settings.controls.hover_watch import HoverWatch
from ringtex.window.settings.controls.motif_row import MotifRow
from ringtex.window.settings.controls.number_setting import NumberSetting
from ringtex.window.settings.controls.picture_choice import PictureChoice
from ringtex.window.settings.controls.setting_row import SettingRow
from ringtex.window.settings.design_editor import DesignEditor
from ringtex.window.settings.drawings.choice_pictures import family_pictures
from ringtex.window.settings.entries.cell_table import CellTable
from ringtex.window.settings.entries.evenness_row import EvennessRow
from ringtex.window.settings.entries.panel_entries import PanelEntries
from ringtex.window.settings.entries.zone_entries import ZoneEntries
from ringtex.window.settings.sections.settings_section import SettingsSection
from ringtex.window.settings.sections.variation_kinds import DENSITY
from ringtex.window.settings.sections.variation_part import VariationPart

AROUND: Final = NumberSetting(
    "pattern.around",
    "Around",
    PatternOptions,
    1,
    "Repeats of the pattern round the ring: as many cells where a repeat is one cell",
    decimals=0,
    drag_span=(3, 80),
)
ACROSS: Final = NumberSetting(
    "pattern.across", "Across", PatternOptions, 1,
    "Rows of repeats from rail to rail; auto keeps the cells nearest to regular",
    decimals=0, drag_span=(1, 24),
)  # fmt: skip
SEED: Final = NumberSetting(
    "pattern.seed", "Seed", PatternOptions, 1, "Start of every random choice; the same seed gives the same pattern",
    decimals=0, drag_span=(0, 100),
)  # fmt: skip
SCATTER: Final = NumberSetting(
    "pattern.scatter", "Scatter", PatternOptions, 0.05, "How irregular: 0 as even as the family gets, 1 most irregular"
)
EVENNESS: Final = NumberSetting(
    "pattern.evenness", "Evenness", PatternOptions, 0.05,
    "0: cells grow where the band is wider; 1: cells have the same area on the ring",
)  # fmt: skip
SLIDE_AROUND: Final = NumberSetting(
    "pattern.slide[0]", "Slide around", PatternOptions, 0.1, "Moves the pattern along the strip",
    "mm", highlight="slide", drag_span=(-10.0, 10.0),
)  # fmt: skip
SLIDE_ACROSS: Final = NumberSetting(
    "pattern.slide[1]", "Slide across", PatternOptions, 0.05, "Moves the pattern from edge to edge",
    "mm", highlight="slide", drag_span=(-3.0, 3.0),
)  # fmt: skip
TWIST: Final = NumberSetting(
    "pattern.twist", "Twist", PatternOptions, 1,
    "Rows that the pattern climbs in one turn, whole so that it closes", decimals=0, drag_span=(-6, 6),
)  # fmt: skip
LOWER: Final = NumberSetting(
    "rails.lower", "Lower rail", RailOptions, 0.05, "Width of the plain border along the lower edge", "mm",
    highlight="rails", drag_span=(0.0, 3.0),
)  # fmt: skip
UPPER: Final = NumberSetting(
    "rails.upper", "Upper rail", RailOptions, 0.05, "Width of the plain border along the upper edge", "mm",
    highlight="rails", drag_span=(0.0, 3.0),
)  # fmt: skip
MOTIF_SIZE: Final = NumberSetting(
    "pattern.motif.size", "Size", MotifOptions, 0.05, "How much of its repeat a motif takes; over 1 it overlaps others",
    drag_span=(0.2, 1.5),
)  # fmt: skip
MOTIF_TURN: Final = NumberSetting(
    "pattern.motif.turn", "Turn", MotifOptions, 5, "Turns each motif on the strip, counter-clockwise", "°",
    decimals=0, drag_span=(-180.0, 180.0),
)  # fmt: skip
GREY_SMOOTH: Final = NumberSetting(
    "pattern.motif.grey.smooth", "Smoothing", GreyOptions, 0.01, "Blurs the picture: standard deviation on the strip",
    "mm", drag_span=(0.0, 0.5),
)  # fmt: skip
GREY_BLEND: Final = NumberSetting(
    "pattern.motif.grey.blend", "Blend borders", GreyOptions, 0.01,
    "How much of a repeat, at each border, goes over into its neighbour; 0 for pictures whose borders meet",
    drag_span=(0.0, 0.5),
)  # fmt: skip
HIGH: Final = (("white is high", "white"), ("black is high", "black"))
SEED_NOTE: Final = "The seed has no effect here: at scatter 0 nothing of this pattern is random."
FEW_FAMILIES: Final = 9
"""Shown until all are asked for."""
KEEPS: Final = (("shape of cells", "shape"), ("lengths", "length"), ("areas", "area"))


class PatternSection(SettingsSection):
    """Everything that decides where the cells lie."""

    def __init__(self, editor: DesignEditor, state: ViewState, watch: HoverWatch, parent: QWidget) -> None:
        super().__init__("Pattern", editor, state, watch, parent)
        self._add_patterns()
        self.family = self.add_row(
            PictureChoice("pattern.family", "Family", family_pictures(), editor, state, self.body, FEW_FAMILIES)
        )
        self._add_motif()
        self.around = self.add_number(AROUND)
        self.across = self.add_number(ACROSS, automatic=True)
        self.stretch = QLabel(self.body)
        self.stretch.setProperty("role", "soft")
        self.stretch.setWordWrap(True)
        self.stretch.setVisible(False)
        self.column.addWidget(self.stretch)
        self.seed = self.add_number(SEED)
        self._add_seed_buttons()
        self.seed_effect = self.add_row(
            EffectRow("pattern.seed", SEED_NOTE, f"Scatter {SOME_SCATTER:g}", self._scatter, self.body)
        )
        self.scatter = self.add_number(SCATTER)
        self.sizes = self.add_row(EvennessRow(editor, state, self.body))
        self.evenness = self.add_number(EVENNESS)
        self.cells = CellTable(editor, self.body)
        self.column.addWidget(self.cells)
        self.density = VariationPart(DENSITY, editor, state, watch, self.body)
        self.column.addWidget(self.density)
        self.drawings.extend(self.density.drawings)
        self.slides = self.add_number(SLIDE_AROUND), self.add_number(SLIDE_ACROSS)
        self.twist = self.add_number(TWIST)
        for setting in (LOWER, UPPER):
            self.add_number(setting)
        self._add_zones()
        hint = "What the flat strip keeps of the band: the shape of small cells, lengths, or areas"
        self.keep = self.add_row(ChoiceRow("strip.keep", "Strip keeps", KEEPS, hint, editor))
        self._across: int | None = None

    def _add_zones(self) -> None:
        heading = QLabel("Zones and panels", self.body)
        heading.setProperty("role", "strong")
        heading.setContentsMargins(0, 8, 0, 0)
        self.column.addWidget(heading)
        self.zones = ZoneEntries(self.editor, self.state, self.watch, self.body)
        self.column.addWidget(self.zones)
        self.drawings.append(self.zones)
        self.panels = PanelEntries(self.editor, self.state, self.watch, self.body)
        self.column.addWidget(self.panels)
        self.drawings.append(self.panels)

    @property
    def inner_rows(self) -> list[SettingRow]:
        """The rows of zones and panels."""
        return self.zones.rows + self.panels.rows

    def _add_motif(self) -> None:
        self.motif = self.add_row(MotifRow(self.editor, self.state, self.body))
        fit = ChoiceRow("pattern.motif.fit", "Fit", FITS, FIT_HINT, self.editor, "family")
        arrangement = ChoiceRow(
            "pattern.motif.arrangement",
            "Rows",
            ARRANGEMENTS,
            "How repeats stand over each other",
            self.editor,
            "family",
        )
        alternate = ChoiceRow(
            "pattern.motif.alternate", "Alternate", ALTERNATIONS, "What every other repeat does", self.editor, "family"
        )
        self.alternate = alternate
        self.motif_rows: list[SettingRow] = [self.add_row(row) for row in (arrangement, alternate)]
        self.outline_rows: list[SettingRow] = [self.add_row(fit)]
        self.outline_rows += [self.add_number(setting) for setting in (MOTIF_SIZE, MOTIF_TURN)]
        hint = "Which end of the greys stands higher"
        high = ChoiceRow("pattern.motif.grey.high", "Greys", HIGH, hint, self.editor, "family")
        hint = "Whether the picture fills each repeat, or one picture runs once round the ring"
        once = ChoiceRow("pattern.motif.grey.once", "Picture", LAYINGS, hint, self.editor, "family")
        self.grey_rows: list[SettingRow] = [self.add_row(row) for row in (once, high)]
        self.grey_rows += [self.add_number(setting) for setting in (GREY_SMOOTH, GREY_BLEND)]

    def _add_patterns(self) -> None:
        self.patterns = QToolButton(self.body)
        self.patterns.setText("Patterns ...")
        self.patterns.setToolTip(
            "Put another pattern with its relief and rails on this ring, or keep this one to be used again"
        )
        self.patterns.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.patterns.clicked.connect(self.open_patterns)
        self.column.addWidget(self.patterns)
        self.pattern_dialog: PatternDialog | None = None

    def open_patterns(self) -> None:
        """Show all patterns beside the ring; where they are shown already, in front."""
        if self.pattern_dialog is None:
            library = PatternLibrary(library_folder())
            self.pattern_dialog = PatternDialog(self.editor.document, library, self.window())
            self.pattern_dialog.finished.connect(self._patterns_closed)
            self.pattern_dialog.show()
        self.pattern_dialog.raise_()

    def _patterns_closed(self) -> None:
        self.pattern_dialog = None

    def _add_seed_buttons(self) -> None:
        self.previous_seed = QToolButton(self.seed)
        self.next_seed = QToolButton(self.seed)
        for button, name, step in ((self.previous_seed, "previous", -1), (self.next_seed, "next", 1)):
            button.setAccessibleName(f"{name.capitalize()} seed")
            button.setToolTip(f"Take the {name} seed")
            button.clicked.connect(lambda _=False, step=step: self.step_seed(step))
            self.seed.line.insertWidget(self.seed.line.indexOf(self.seed.field), button)
            self.watch.watch(button, self.seed.highlight_name)
        QWidget.setTabOrder(self.previous_seed, self.next_seed)
        self.state.theme_changed.connect(self._apply_theme)
        self._apply_theme()

    def _apply_theme(self) -> None:
        chosen = colours(self.state.dark)
        line = self.fontMetrics().height()
        for button in (self.previous_seed, self.next_seed):
            button.setIconSize(QSize(line, line))
        self.previous_seed.setIcon(icon("seed_previous", chosen))
        self.next_seed.setIcon(icon("seed_next", chosen))

    def _scatter(self) -> None:
        self.editor.set_value("pattern.scatter", SOME_SCATTER, "scatter the cells")

    def step_seed(self, step: int) -> None:
        """Take the seed after, or before, this one; none where the note beside says that it has no effect."""
        if not seed_has_effect(self.editor.design):
            return
        seed = self.editor.design.pattern.seed + step
        if 0 <= seed <= MAX_SEED:
            self.editor.set_value("pattern.seed", seed, f"take the {'next' if step > 0 else 'previous'} seed")

    def refresh(self) -> None:
        """Show only what the pattern can have."""
        super().refresh()
        pattern = self.editor.design.pattern
        rows, drawn = pattern.family not in GROWN_FAMILIES, pattern.family == "motif"
        grey = drawn and pattern.motif is not None and pattern.motif.grey is not None
        for shown, those in ((drawn, self.motif_rows), (drawn and not grey, self.outline_rows), (grey, self.grey_rows)):
            for row in those:
                row.setVisible(shown)
        self.around.setVisible(not self._runs_once)
        self.alternate.setVisible(drawn and not self._runs_once)
        for row in (self.seed, self.scatter, self.sizes):
            row.setVisible(not drawn)
        self.evenness.setVisible(can_be_even(self.editor.design))
        self.seed_effect.setVisible(not drawn and not seed_has_effect(self.editor.design))
        self.density.refresh()
        self.density.set_usable(can_be_even(self.editor.design))
        self.slides[0].setVisible(not pattern.uses_target_density)
        self.slides[1].setVisible(not pattern.uses_target_density and rows)
        self.twist.setVisible(not drawn and not pattern.uses_target_density and rows)
        self.cells.refresh()

    @property
    def _runs_once(self) -> bool:
        """Whether one picture runs once round the ring, whatever number of repeats the design has."""
        pattern = self.editor.design.pattern
        grey = pattern.motif.grey if pattern.motif is not None else None
        return pattern.family == "motif" and grey is not None and grey.once

    def show_view(self, view: View) -> None:
        """How many rows "auto" came to, and how far cells are from regular."""
        self.cells.show_view(view)
        self.density.show_view(view)
        self.zones.show_view(view)
        self.panels.show_view(view)
        pattern = view.built.pattern
        self._across = pattern.across
        self.across.set_auto_number(pattern.across)
        per_cent = round(abs(pattern.stretch_percent))
        way = "longer across than regular" if pattern.stretch_percent > 0 else "longer round than regular"
        regular = per_cent == 0
        self.stretch.setText("cells are regular" if regular else f"cells are {per_cent} % {way}")
        self.stretch.setVisible(pattern.motif is None)
        self.header.set_summary(self.summary())

    def summary(self) -> str:
        """Family, around and across."""
        pattern = self.editor.design.pattern
        across = self._across if pattern.across == "auto" and self._across is not None else pattern.across
        even = ", even" if pattern.evenness > 0.0 else ""
        for name in ("zones", "panels"):
            count = len(getattr(self.editor.design, name))
            even += f", {count} {name if count > 1 else name[:-1]}" if count else ""
        return f"{family_label(pattern.family)} {1 if self._runs_once else pattern.around} × {across}{even}"
