"""A document with its column of settings on the screen, for the tests of the settings."""

from __future__ import annotations

from typing import Any

from settings_hands import PanelBench, design_of, row
from zoo import plain_design

from ringtex.window.settings.controls.number_row import NumberRow

WIDE: dict[str, Any] = plain_design(
    band={"section": None, "stations": [
        {"angle": 0, "width": 9, "height": 3, "edge_height": 1.2, "fullness": 2.5},
        {"angle": 180, "width": 6, "height": 2.4, "edge_height": 1.2, "fullness": 2.5}], "mirror": True},
    bore={"shape": "comfort", "rise": 0.2},
    relief={"form": "raised", "depth_scatter": 0.5},
)  # fmt: skip
"""A design in which every number of the column shows."""


class Bench(PanelBench):
    """Counts how often the document told of a change."""

    def __init__(self, qtbot: Any, body: dict[str, Any]) -> None:
        super().__init__(qtbot, design_of(body))
        self.told = 0
        self.document.listen(self._count)

    def restart(self, body: dict[str, Any]) -> None:
        """Begin with what a design file says."""
        self.begin(design_of(body))
        self.told = 0

    def _count(self) -> None:
        self.told += 1

    def number(self, key: str) -> NumberRow:
        return row(self.panel, key)

    def agrees(self) -> bool:
        return all(found.matches_design() for found in self.panel.rows if not found.isHidden())
