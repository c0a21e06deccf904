"""Of a workshop sheet: what the ring is made of and how, and what it weighs."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringtex.export.sheet import SheetBlock, SheetRow

if TYPE_CHECKING:
    from ringtex.make_ring import BuiltRing


def weight_block(built: BuiltRing) -> SheetBlock:
    """Weights in the design's alloy."""
    readings = built.report.readings
    rows = [SheetRow("As drawn", f"{readings.weight_g:.2f} g", strong=True)]
    if readings.stones_weight_g:
        with_stones = readings.weight_g + readings.stones_weight_g
        rows.append(SheetRow("With stones", f"{with_stones:.2f} g", strong=True))
    rows.append(SheetRow("Volume, surface", f"{readings.volume_mm3:.1f} mm³, {readings.area_mm2:.0f} mm²"))
    if built.design.hollow is not None:
        saved = f"{readings.hollow_saved_mm3:.1f} mm³, {readings.hollow_saved_g:.2f} g"
        rows.append(SheetRow("Saved by the hollow", saved))
    rows.append(SheetRow("Turning moment", f"{readings.moment_g_mm:.0f} g mm about the finger"))
    return SheetBlock("Weight", tuple(rows))
