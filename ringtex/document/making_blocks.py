"""Of a workshop sheet: what the ring is made of and how, and what it weighs."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from ringtex.checks.making.making_limits import Limit, MakingLimits
from ringtex.document.ring_weights import ring_weights
from ringtex.export.sheet.sheet import SheetBlock, SheetRow

if TYPE_CHECKING:
    from ringtex.make_ring import BuiltRing

_LIMITS: Final = (
    ("metal", "metal_mm"),
    ("edge", "edge_mm"),
    ("ridge", "ridge_mm"),
    ("groove", "groove_mm"),
    ("relief", "relief_mm"),
    ("hole", "hole_mm"),
    ("hollow wall", "hollow_wall_mm"),
)


def weight_block(built: BuiltRing) -> SheetBlock:
    """Weights in the design's alloy."""
    readings, weights = built.report.readings, ring_weights(built)
    finishing = built.design.make.polish_mm
    rows = [SheetRow("As cast, no sprue", f"{weights.cast_g:.2f} g", strong=True)]
    if finishing > 0.0:
        rows.append(SheetRow("Finished", f"{weights.finished_g:.2f} g, {finishing:g} mm off each face", strong=True))
    if readings.stones_weight_g:
        rows.append(SheetRow("With stones", f"{weights.with_stones_g:.2f} g", strong=True))
    rows.append(SheetRow("Volume, surface", f"{readings.volume_mm3:.1f} mm³, {readings.area_mm2:.0f} mm²"))
    if built.design.hollow is not None:
        saved = f"{readings.hollow_saved_mm3:.1f} mm³, {readings.hollow_saved_g:.2f} g"
        rows.append(SheetRow("Saved by the hollow", saved))
    moment = f"{readings.moment_g_mm:.0f} g mm about the finger"
    if readings.holding_friction is not None and readings.moment_g_mm >= 1.0:
        moment += f"; friction of {readings.holding_friction:.2f} holds it"
    rows.append(SheetRow("Turning moment", moment))
    return SheetBlock("Weight", tuple(rows))


def making_block(built: BuiltRing) -> SheetBlock:
    """Alloy, process, what is allowed for on export, and the least sizes that the findings were judged by."""
    make = built.design.make
    alloy = make.material
    fineness = f", {alloy.fineness} fine" if alloy.fineness is not None else ""
    nickel = ", contains nickel" if alloy.contains_nickel else ""
    rows = [
        SheetRow("Alloy", f"{alloy.name}{fineness}{nickel}", strong=True),
        SheetRow("Density", f"{alloy.density_g_cm3:.2f} g/cm³ ({alloy.source})"),
        SheetRow("Process", make.way.words, strong=True),
        *_allowance_rows(built),
        SheetRow("Least sizes", f"{_limits(make.making_limits)} mm"),
    ]
    hollow = built.design.hollow
    if hollow is not None:
        closed = "open to the finger"
        if hollow.floor_mm is not None:
            drains = ", ".join(f"Ø {drain.diameter_mm:g} at {drain.angle_deg:g}°" for drain in hollow.drains)
            closed = f"closed by a floor of {hollow.floor_mm:g}, drains {drains}"
        text = f"wall {hollow.wall_mm:g}, lip {hollow.lip_mm:g}, {hollow.reach_deg:g}° to each side; {closed}"
        rows.append(SheetRow("Hollow", text))
    return SheetBlock("Making", tuple(rows))


def _allowance_rows(built: BuiltRing) -> list[SheetRow]:
    make = built.design.make
    limits = make.making_limits
    shrinkage = f"none given (usual: {limits.shrinkage.usual:g} %)"
    if make.shrinkage_percent > 0.0:
        shrinkage = f"{make.shrinkage_percent:g} %: files are written {make.pattern_scale:.5f} times as large"
    finishing = f"none given (usual: {limits.polish.usual:g} mm a face)"
    if make.polish_mm > 0.0:
        finishing = f"{make.polish_mm:g} mm a face: files have the bore that much smaller all round"
    rows = [
        SheetRow("Shrinkage", shrinkage, strong=make.shrinkage_percent > 0.0),
        SheetRow("Finishing", finishing, strong=make.polish_mm > 0.0),
    ]
    if make.changes_export:
        bore = 2.0 * (built.strip.band.bore_radius_mm - make.polish_mm)
        text = f"Ø {bore * make.pattern_scale:.3f} mm in the file, Ø {bore:.3f} as cast"
        rows.append(SheetRow("Bore", text, strong=True))
    return rows


def _limits(limits: MakingLimits) -> str:
    named: list[str] = []
    for name, field in _LIMITS:
        limit: Limit = getattr(limits, field)
        named.append(f"{name} {limit.least:g}")
    return ", ".join(named)
