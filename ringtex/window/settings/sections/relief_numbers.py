"""The relief's numbers, as the core limits them."""

from __future__ import annotations

from typing import Final

from ringtex.window.settings.controls.number_setting import NumberSetting

DEPTH: Final = NumberSetting(
    "relief.depth", "Depth", 0.05, 1.0, 0.01, "How far tops stand above the band's face, or floors lie below it", "mm"
)
WALL_WIDTH: Final = NumberSetting(
    "relief.wall_width", "Groove", 0.0, 5.0, 0.01,
    "Full width of the level strip along every wall, true on the ring: the groove between raised cells, the ridge "
    "between sunk ones", "mm", reach=(0.0, 1.5),
)  # fmt: skip
TOP_SIZE: Final = NumberSetting(
    "relief.top_size", "Top size", 0.05, 0.98, 0.01, "The top as a share of the cell, each length and not the area"
)
FLANK: Final = NumberSetting("relief.flank", "Flank", 30.0, 89.0, 1.0, "Slope of the flank against the face", "°", 1)
CORNER: Final = NumberSetting(
    "relief.corner", "Corner", 0.0, 0.5, 0.01, "Radius where a flank meets a level part", "mm"
)
DEPTH_SCATTER: Final = NumberSetting(
    "relief.depth_scatter", "Depth scatter", 0.0, 1.0, 0.05,
    "0: all cells are alike; 1: each cell's depth is drawn between none and all",
)  # fmt: skip
RELIEF_SEED: Final = NumberSetting(
    "relief.seed", "Depth seed", 0, 2**32 - 1, 1, "Start of the draw of depths; the same seed gives the same depths",
    decimals=0, reach=(0, 100),
)  # fmt: skip
