"""What both views and the settings share about stones and plain places, and what is no part of the design."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QObject, Signal

PLACING: Final = ("stone", "plain")
"""What a click on strip or ring can place."""

HINTS: Final = {
    "stone": "Click where a stone is to sit. Esc ends.",
    "plain": "Click where the plain place is to be. Esc ends.",
}


class FinishingState(QObject):
    """What a click places, which entry is chosen, and the prices that the user typed."""

    placing_changed = Signal()
    place_clicked = Signal(float, float)
    """(u, v), mm on the strip, where a click on a view is to place something."""
    pointed_out = Signal(float, float)
    """(u, v), mm on the strip, where the ring was clicked and nothing is being placed."""
    chosen_changed = Signal()
    revealed = Signal(str)
    """The settings are to show this entry, such as "stones[1]"."""
    prices_changed = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._placing: str | None = None
        self._chosen: str | None = None
        self._prices: dict[str, float] = {}

    @property
    def placing(self) -> str | None:
        """What a click places; None where a click does what it always does."""
        return self._placing

    def set_placing(self, what: str | None) -> None:
        """Let clicks place "stone" or "plain", or do as always. Raises: ValueError for anything else."""
        if what is not None and what not in PLACING:
            raise ValueError(f"nothing is called {what!r}")
        if what != self._placing:
            self._placing = what
            self.placing_changed.emit()

    @property
    def hint(self) -> str:
        """What to do now, in a sentence; empty where nothing is being placed."""
        return HINTS[self._placing] if self._placing is not None else ""

    @property
    def chosen(self) -> str | None:
        """The entry that was clicked last, such as "stones[1]" or "plain[0]"; None for none."""
        return self._chosen

    def choose(self, key: str | None, reveal: bool = False) -> None:
        """Choose an entry; with reveal the settings show it."""
        if key != self._chosen:
            self._chosen = key
            self.chosen_changed.emit()
        if reveal and key is not None:
            self.revealed.emit(key)

    @property
    def prices(self) -> dict[str, float]:
        """Price per gram that the user typed, by the alloy's key."""
        return dict(self._prices)

    def set_price(self, alloy: str, price_per_g: float | None) -> None:
        """Say what a gram of an alloy costs; None forgets it."""
        before = self._prices.get(alloy)
        if price_per_g is None:
            self._prices.pop(alloy, None)
        else:
            self._prices[alloy] = price_per_g
        if before != price_per_g:
            self.prices_changed.emit()

    def set_prices(self, prices: dict[str, float]) -> None:
        """Take all prices, as they were remembered."""
        if prices != self._prices:
            self._prices = dict(prices)
            self.prices_changed.emit()
