"""The numbers of the relief, for its section and for the drawing of a cell's profile."""

from __future__ import annotations

from typing import Final

from ringtex.relief.relief_options import ReliefOptions
from ringtex.window.settings.controls.number_setting import NumberSetting

DEPTH: Final = NumberSetting(
    "relief.depth",
    "Depth",
    ReliefOptions,
    0.01,
    "How far tops stand above the band's face, or floors lie below it",
    "mm",
)
WALL_WIDTH: Final = NumberSetting(
    "relief.wall_width", "Groove", ReliefOptions, 0.01,
    "Full width of the level strip along every wall, true on the ring: the groove between raised cells, the ridge "
    "between sunk ones", "mm", drag_span=(0.0, 1.5),
)  # fmt: skip
TOP_SIZE: Final = NumberSetting(
    "relief.top_size",
    "Top size",
    ReliefOptions,
    0.01,
    "The top as a fraction of the cell, each length and not the area",
)
FLANK: Final = NumberSetting("relief.flank", "Flank", ReliefOptions, 1.0, "Slope of the flank against the face", "°", 1)
CORNER: Final = NumberSetting(
    "relief.corner", "Corner", ReliefOptions, 0.01, "Radius where a flank meets a level part, or of a tip", "mm"
)
ROUNDING: Final = NumberSetting(
    "relief.rounding", "Rounding", ReliefOptions, 0.05,
    "Corners of the cells seen from above: 0 sharp, 1 as round as the cell allows, like pebbles",
)  # fmt: skip
DEPTH_SCATTER: Final = NumberSetting(
    "relief.depth_scatter", "Depth scatter", ReliefOptions, 0.05,
    "0: all cells are alike; 1: each cell's depth is drawn between none and all",
)  # fmt: skip
RELIEF_SEED: Final = NumberSetting(
    "relief.seed", "Depth seed", ReliefOptions, 1, "Start of the draw of depths; the same seed gives the same depths",
    decimals=0, drag_span=(0, 100),
)  # fmt: skip
