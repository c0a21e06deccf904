"""A stone's weight as a way to give its diameter."""

from __future__ import annotations

from typing import Any

from ringtex.basics.errors import InputError
from ringtex.edits.design_keys import nearest_that_can
from ringtex.solid.finishing.stone_options import Proportions, Stone, diameter_of
from ringtex.window.settings.controls.number_setting import NumberSetting
from ringtex.window.settings.design_editor import DesignEditor

MIN_MM, MAX_MM = 0.8, 12.0
"""The diameters that the core takes."""

DECIMALS = 3


class CaratEditor(DesignEditor):
    """Takes and gives carats at the key of a stone's diameter; other proportions give another weight."""

    def value(self, key: str) -> Any:
        """The estimated weight, carat."""
        return round(self._stone(key).carat, DECIMALS)

    def set_value(self, key: str, value: Any, label: str) -> InputError | None:
        """Change the diameter to that of so many carats."""
        low, high = self.limits(key)
        if not low <= value <= high:
            message, advice = f"{value:g} ct is out of reach", f"Use {low:.3f} to {high:.2f} ct"
            return InputError(message, advice, key)
        return super().set_value(key, self._diameter(key, float(value)), label)

    def nearest(self, setting: NumberSetting, wanted: float) -> float | None:
        """The nearest weight that the stone can have."""
        low, high = self.limits(setting.key)
        held = self._diameter(setting.key, min(max(wanted, low), high))
        found = nearest_that_can(self.design, setting.key, held, MIN_MM, MAX_MM, 4)
        return None if found is None else min(max(round(self._carat(setting.key, found), DECIMALS), low), high)

    def limits(self, key: str) -> tuple[float, float]:
        """Least and most carats of a stone of these proportions, rounded inwards."""
        grain = 10.0**-DECIMALS
        return self._carat(key, MIN_MM) + grain, self._carat(key, MAX_MM) - grain

    def _stone(self, key: str) -> Stone:
        stone = super().value(key.removesuffix(".diameter"))
        assert isinstance(stone, Stone)
        return stone

    def _shape(self, key: str) -> Proportions:
        return self._stone(key).proportions

    def _diameter(self, key: str, carat: float) -> float:
        return round(diameter_of(carat, self._shape(key)), 4)

    def _carat(self, key: str, diameter_mm: float) -> float:
        return Stone(0.5, 0.5, diameter_mm, proportions=self._shape(key)).carat
