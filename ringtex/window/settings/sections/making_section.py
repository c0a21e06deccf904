"""The making: of what, how, what that takes away, what it can do, and what the metal costs."""

from __future__ import annotations

from dataclasses import fields
from typing import Final

from PySide6.QtWidgets import QLabel, QWidget

from ringtex.basics.errors import InputError
from ringtex.basics.limits import key_of
from ringtex.checks.making.alloys import ALLOYS
from ringtex.checks.making.make_options import MakeOptions
from ringtex.checks.making.making_limits import LIMITS, Allowance, Limit, OwnLimits, Process
from ringtex.checks.making.weights import MAX_PRICE, checked_price
from ringtex.window.appearance.theme import even_figures
from ringtex.window.building.view_state import ViewState
from ringtex.window.settings.controls.basic_rows import ChoiceRow
from ringtex.window.settings.controls.entry_field import EntryField
from ringtex.window.settings.controls.fold_section import FoldSection
from ringtex.window.settings.controls.hover_watch import HoverWatch
from ringtex.window.settings.controls.number_row import NumberRow
from ringtex.window.settings.controls.number_setting import NumberSetting, number_of, text_of
from ringtex.window.settings.controls.setting_row import SettingRow
from ringtex.window.settings.design_editor import DesignEditor
from ringtex.window.settings.sections.settings_section import SettingsSection

RESET: Final = "Reset"
LIMIT_NAMES: Final = {
    "metal_mm": ("Metal", "Between the relief and the finger hole"),
    "edge_mm": ("Edge", "At the band's edges"),
    "ridge_mm": ("Ridge", "Narrowest metal standing between two grooves"),
    "groove_mm": ("Groove", "Narrowest gap"),
    "relief_mm": ("Relief", "Least height of a feature"),
    "draft_deg": ("Draft", "Least lean of a flank from upright"),
    "hole_mm": ("Hole", "Least diameter that stays open"),
    "web_mm": ("Bars", "Bars between pierced cells"),
    "hollow_wall_mm": ("Hollow's wall", "Between the hollow and the outside, and of its floor"),
    "stone_gap_mm": ("Between stones", "Metal between two girdles"),
    "stone_edge_mm": ("Stone to edge", "Metal between a girdle and the band's edge"),
    "seat_mm": ("Under a girdle", "Metal between a girdle and the hollow"),
    "culet_mm": ("Culet to finger", "How far a stone's tip stays clear of the finger"),
    "high_head_mm": ("High head", "From this height over the finger on it is said that a head is high"),
    "wide_head_mm": ("Wide head", "From this width along the finger on it is said that a ring is wide"),
    "heavy_g": ("Heavy", "From this weight on it is said that a ring is heavy"),
    "off_axis_mm": ("Off balance", "Of the centre of mass from the finger's middle"),
}
"""Every limit by its name in `OwnLimits`, with its name for the screen and what it is about."""

UNITS: Final = {"draft_deg": ("°", 1.0), "heavy_g": ("g", 1.0)}
"""Unit and step, where it is no length."""
REACH: Final = {"draft_deg": 20.0, "heavy_g": 100.0, "high_head_mm": 20.0, "wide_head_mm": 40.0, "off_axis_mm": 10.0}
"""How far a drag across the name goes, where 2 mm are too little."""


class LimitRow(NumberRow):
    """One limit: the process's own until another is typed; the button brings the process's back."""

    def __init__(self, name: str, editor: DesignEditor, state: ViewState, parent: QWidget) -> None:
        label, about = LIMIT_NAMES[name]
        unit, step = UNITS.get(name, ("mm", 0.05))
        reach = (0.0, REACH.get(name, 2.0))
        key = f"make.limits.{key_of(name)}"
        setting = NumberSetting(key, label, OwnLimits, step, about, unit, 2, "limits", reach)
        self._name = name
        super().__init__(setting, editor, state, True, parent, auto_value=None)
        self.auto.setText(RESET)
        self.auto.setAccessibleName(f"{label}: back to the process's own limit")

    def refresh(self) -> None:
        """Show the limit that holds, and say on hover where it comes from."""
        shipped = getattr(LIMITS[self._editor.design.make.way], self._name)
        self._auto_number = shipped.least if isinstance(shipped, Limit) else shipped
        super().refresh()
        own = self.value is not None
        said = self._shipped_words(shipped)
        tip = f"{self.setting.hint}. {'Your own; shipped is ' if own else 'As shipped: '}{said}"
        self.auto.setVisible(own)
        if tip == self.toolTip():
            return
        for part in (self, self.label, self.field):
            part.setToolTip(tip)
        self.field.setAccessibleDescription(tip)
        self.auto.setToolTip(f"Back to the process's own: {said}")

    def _shipped_words(self, shipped: Limit | float) -> str:
        unit, places = self.setting.unit, self.setting.decimals
        space = "" if unit == "°" else " "
        if isinstance(shipped, Limit):
            least, near = text_of(shipped.least, places), text_of(shipped.near, places)
            return f"{least}{space}{unit}, with a warning under {near}{space}{unit} ({shipped.source})"
        source = getattr(LIMITS[self._editor.design.make.way], f"{self._name.rsplit('_', 1)[0]}_source")
        return f"{text_of(shipped, places)}{space}{unit} ({source})"


class LimitRows(FoldSection):
    """Every limit, folded away; its header says how many are the maker's own."""

    def __init__(self, editor: DesignEditor, state: ViewState, watch: HoverWatch, parent: QWidget) -> None:
        super().__init__("Limits", state, parent)
        self._editor = editor
        self.set_folded(True)
        self.column.setContentsMargins(8, 0, 0, 0)
        about = QLabel("Under a limit is an error, near it a warning. Hover for where it comes from.", self.body)
        about.setProperty("role", "soft")
        about.setWordWrap(True)
        self.column.addWidget(about)
        self.rows = [LimitRow(name, editor, state, self.body) for name in LIMIT_NAMES]
        for row in self.rows:
            self.column.addWidget(row)
        watch.watch(self.body, "limits")

    def refresh(self) -> None:
        """Show the limits that hold."""
        for row in self.rows:
            row.refresh()
        limits = self._editor.design.make.limits
        own = sum(getattr(limits, field.name) is not None for field in fields(OwnLimits))
        self.header.set_summary(f"{own} of your own" if own else "as shipped")


HINT = (
    "What a gram of this alloy costs you, in your own currency; the readings then say what the metal as cast costs. "
    "Empty for none. Kept on this computer, not in the design"
)


class PriceRow(SettingRow):
    """A price for each alloy; empty where none was given."""

    def __init__(self, editor: DesignEditor, state: ViewState, parent: QWidget) -> None:
        super().__init__("price", "price", parent)
        self._editor, self._finishing = editor, state.finishing
        name = QLabel("Price of the metal", self)
        name.setWordWrap(True)
        self.field = EntryField("Price of the metal per gram", "0000.00", self)
        self.field.setAccessibleDescription(HINT)
        self.field.setPlaceholderText("none")
        name.setBuddy(self.field)
        unit = QLabel("per g", self)
        unit.setProperty("role", "soft")
        self.setToolTip(HINT)
        self.line.addWidget(name, 1)
        self.line.addWidget(self.field)
        self.line.addWidget(unit)
        self.field.committed.connect(self._enter)
        self.field.reverted.connect(self.clear_explanation)
        self._finishing.prices_changed.connect(self.refresh)

    @property
    def price(self) -> float | None:
        """The price of the design's alloy."""
        return self._finishing.prices.get(self._editor.design.make.alloy)

    def refresh(self) -> None:
        """Show the price of the design's alloy."""
        self.field.show_text(self._text())
        if not self.field.is_uncommitted:
            self.clear_explanation()

    def matches_design(self) -> bool:
        """Whether the field shows the price."""
        return self.field.text() == self._text() or bool(self.explained)

    def _text(self) -> str:
        return "" if self.price is None else text_of(self.price, 2)

    def _enter(self, text: str) -> None:
        price: float | None = None
        try:
            if text.strip():
                price = checked_price(number_of(text, "", whole=False, where="price"))
        except InputError as error:
            self.explain(InputError(error.message, f"Give 0 to {MAX_PRICE:g}, or nothing", "price"))
            return
        self._finishing.set_price(self._editor.design.make.alloy, price)
        self.field.show_text(self._text(), replacing=True)
        self.clear_explanation()


PROCESS_NAMES: Final = {way: way.words for way in Process}
SHRINKAGE: Final = NumberSetting(
    "make.shrinkage_percent", "Shrinkage", MakeOptions, 0.1,
    "Linear shrinkage from the pattern to the finished metal: measure your own, published figures differ tenfold", "%",
    highlight="shrinkage", drag_span=(0.0, 8.0),
)  # fmt: skip
POLISH: Final = NumberSetting(
    "make.polish", "Polishing loss", MakeOptions, 0.01,
    "Metal that finishing takes off each face; the exported bore is made that much smaller", "mm",
    highlight="polish", drag_span=(0.0, 0.3),
)  # fmt: skip


class MakingSection(SettingsSection):
    """Alloy, process and allowances, what follows from them, the limits, and the price of the metal."""

    def __init__(self, editor: DesignEditor, state: ViewState, watch: HoverWatch, parent: QWidget) -> None:
        super().__init__("Making", editor, state, watch, parent)
        alloys = [(alloy.name, alloy.key) for alloy in ALLOYS.values()]
        self.alloy = self.add_row(ChoiceRow("make.alloy", "Alloy", alloys, "What the ring is made of", editor))
        self.density = self._soft_label()
        ways = [(PROCESS_NAMES.get(way, way.value), way.value) for way in Process]
        self.process = self.add_row(ChoiceRow("make.process", "Process", ways, "How the ring comes to be", editor))
        self.shrinkage = self.add_number(SHRINKAGE)
        self.polish = self.add_number(POLISH)
        self.scale = self._soft_label()
        self.price = self.add_row(PriceRow(editor, state, self.body))
        self.limits = LimitRows(editor, state, watch, self.body)
        self.column.addWidget(self.limits)
        self.drawings.append(self.limits)

    def _soft_label(self) -> QLabel:
        label = QLabel(self.body)
        label.setProperty("role", "soft")
        label.setWordWrap(True)
        label.setFont(even_figures(label.font()))
        self.column.addWidget(label)
        return label

    @property
    def inner_rows(self) -> list[SettingRow]:
        """The rows of the limits, where they are not folded away."""
        return [] if self.limits.folded else list(self.limits.rows)

    def refresh(self) -> None:
        """Also show what follows from the choices."""
        super().refresh()
        make = self.editor.design.make
        alloy = make.material
        fine = f", {alloy.fineness} ‰ fine" if alloy.fineness is not None else ""
        nickel = ", contains nickel" if alloy.contains_nickel else ""
        self.density.setText(f"{alloy.density_g_cm3:.2f} g/cm³{fine}{nickel}")
        self.density.setToolTip(f"Density: {alloy.source}")
        limits = make.making_limits
        usual = f"Usual: shrinkage {_usual(limits.shrinkage, '%')}, polishing loss {_usual(limits.polish, 'mm')}."
        larger = f"Exported {make.pattern_scale:.4f} times as large"
        smaller = f"bore {make.polish_mm:g} mm smaller all round"
        changed = [text for text, on in ((larger, make.shrinkage_percent > 0.0), (smaller, make.polish_mm > 0.0)) if on]
        self.scale.setText(f"{', '.join(changed) if changed else 'Exported as large as drawn'}. {usual}")
        self.scale.setToolTip(f"Shrinkage: {limits.shrinkage.source}.\nPolishing: {limits.polish.source}.")

    def summary(self) -> str:
        """The alloy."""
        return self.editor.design.make.material.name


def _usual(allowance: Allowance, unit: str) -> str:
    return f"{text_of(allowance.usual, 1)} {unit}" if allowance.usual else "none"
