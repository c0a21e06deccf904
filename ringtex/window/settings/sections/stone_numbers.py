"""What can be set of a stone and of a row of stones, with limits as the core has them."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from ringtex.solid.finishing.stone_options import MAX_IN_ROW
from ringtex.window.settings.controls.number_setting import NumberSetting

_UNDERSIZE: Final = "How much the seat is smaller than the stone, to be opened when setting; bench practice, no source"

DIAMETER: Final = NumberSetting("diameter", "Diameter", 0.8, 12.0, 0.05, "Across the girdle", "mm", reach=(0.8, 6.0))
CARAT: Final = NumberSetting(
    "diameter", "Weight", 0.002, 6.5, 0.005, "Estimated: diameter² × depth × 0.0061; a round brilliant", "ct", 3,
    reach=(0.002, 0.8),
)  # fmt: skip
PLACE_NUMBERS: Final = (
    NumberSetting("u", "Around", 0.0, 1.0, 0.005, "Share of the strip's length: 0.5 is the head, 0 the seam", "", 3),
    NumberSetting("v", "Across", 0.0, 1.0, 0.005, "Share of the strip's width: 0.5 is the middle", "", 3),
    NumberSetting("collar", "Collar", 0.2, 5.0, 0.05, "Plain metal round the stone", "mm", reach=(0.2, 2.0)),
)
SEAT_NUMBERS: Final = (
    NumberSetting("hole", "Hole", 0.3, 0.85, 0.01, "The through hole as a share of the stone; half to two thirds"),
    NumberSetting("bearing", "Bearing", 20.0, 70.0, 1.0, "Slope of the bearing that carries the girdle", "°", 1),
    NumberSetting("undersize", "Undersize", 0.0, 0.3, 0.01, _UNDERSIZE, "mm"),
    NumberSetting(
        "proportions.table", "Table", 0.3, 0.8, 0.01, "The table as a share of the diameter (Tolkowsky 0.53)"
    ),
    NumberSetting("proportions.crown", "Crown", 15.0, 50.0, 0.5, "Slope of the crown (Tolkowsky 34.5°)", "°", 2),
    NumberSetting(
        "proportions.pavilion", "Pavilion", 30.0, 55.0, 0.25, "Slope of the pavilion (Tolkowsky 40.75°)", "°", 2
    ),
    NumberSetting(
        "proportions.girdle", "Girdle", 0.0, 0.1, 0.001, "The girdle's thickness as a share of the diameter", "", 3
    ),
)
COUNT: Final = NumberSetting("count", "Stones", 1, MAX_IN_ROW, 1, "How many in the row", decimals=0, reach=(1, 40))
SPACING: Final = NumberSetting(
    "spacing", "Spacing", 0.5, 50.0, 0.05, "From middle to middle; auto spreads the row evenly", "mm", reach=(0.5, 8.0)
)


def at(setting: NumberSetting, key: str) -> NumberSetting:
    """The same number of the entry at a key."""
    return replace(setting, key=f"{key}.{setting.key}", touches=key)
