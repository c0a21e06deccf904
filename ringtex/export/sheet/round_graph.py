"""A small graph of one measure round the ring, from palm over head to palm."""

from __future__ import annotations

from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.export.sheet.dimension_lines import measure_text
from ringtex.export.sheet.drawing import Anchor, Path, Words

_FOOT_MM = 4.0
_HEAD_MM = 5.0
_TITLE_MM = 3.2
_SMALL_MM = 2.5
_NAMED: Final[tuple[tuple[float, str, Anchor], ...]] = (
    (-180.0, "palm", "start"),
    (-90.0, "-90°", "middle"),
    (0.0, "head", "middle"),
    (90.0, "90°", "middle"),
    (180.0, "palm", "end"),
)


def round_graph(
    angle_deg: Floats, low: Floats, high: Floats, title: str, width_mm: float, height_mm: float
) -> list[Path | Words]:
    """The room between low and high (mm) over the angle from -180 to 180 degrees, filled; head in the middle.

    The smallest and largest measure (high - low) stand in the title.
    """
    measure = high - low
    tall = height_mm - _FOOT_MM - _HEAD_MM
    scale = tall / max(float(np.max(high) - np.min(low)), 1e-9)
    x = (angle_deg + 180.0) / 360.0 * width_mm
    bottom = _FOOT_MM - float(np.min(low)) * scale
    upper = np.column_stack((x, bottom + high * scale))
    lower = np.column_stack((x, bottom + low * scale))
    marks: list[Path | Words] = [Path((np.concatenate((upper, lower[::-1])),), "outline", True, True)]
    for deg, name, anchor in _NAMED:
        place = (deg + 180.0) / 360.0 * width_mm
        marks.append(Path((np.array([[place, _FOOT_MM - 1.0], [place, height_mm - _HEAD_MM + 1.0]]),), "thin"))
        marks.append(Words(name, place, 0.2, _SMALL_MM, anchor))
    spread = float(np.ptp(measure))
    least, most = measure_text(float(np.min(measure))), measure_text(float(np.max(measure)))
    words = f"{title}: {least} mm" if spread < 0.005 else f"{title}: {least} to {most} mm"
    marks.append(Words(words, 0.0, height_mm - _TITLE_MM, _TITLE_MM, "start", bold=True))
    return marks
