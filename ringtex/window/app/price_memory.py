"""Prices of metals, remembered from one run to the next."""

from __future__ import annotations

import contextlib
from typing import Final

from PySide6.QtCore import QObject, QSettings

from ringtex.basics.errors import InputError
from ringtex.checks.making.alloys import ALLOYS
from ringtex.checks.making.weights import checked_price
from ringtex.window.building.finishing_state import FinishingState

GROUP: Final = "price_per_g"


class PriceMemory(QObject):
    """Gives the state what was remembered, and remembers what changes; what is damaged there reads as no price."""

    def __init__(self, finishing: FinishingState, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._finishing = finishing
        self._store = QSettings(QSettings.Format.IniFormat, QSettings.Scope.UserScope, "ringtex", "window")
        finishing.set_prices(self._read())
        finishing.prices_changed.connect(self._write)

    def _read(self) -> dict[str, float]:
        prices = {}
        for alloy in ALLOYS:
            kept = self._store.value(f"{GROUP}/{alloy}")
            with contextlib.suppress(InputError, ValueError):
                if isinstance(kept, str | float | int):
                    prices[alloy] = checked_price(float(kept))
        return prices

    def _write(self) -> None:
        self._store.remove(GROUP)
        for alloy, price in self._finishing.prices.items():
            self._store.setValue(f"{GROUP}/{alloy}", repr(price))
