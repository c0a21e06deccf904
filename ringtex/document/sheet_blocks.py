"""The blocks of a workshop sheet: finger size, pattern, smooth regions, stones, weights, making."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

import numpy as np

from ringtex.band.finger_size import size_in_every_scale
from ringtex.checks.finding import Finding, Level
from ringtex.checks.making.making_limits import Limit, MakingLimits
from ringtex.design.design import Design
from ringtex.document.ring_weights import ring_weights
from ringtex.edits.pattern_ties import seed_has_effect
from ringtex.export.sheet.sheet import SheetBlock, SheetRow
from ringtex.pattern.lattice.families import family_label
from ringtex.pattern.patterned_part import Pattern
from ringtex.relief.relief_options import FLANKED
from ringtex.solid.finishing.stone_options import GRAM_PER_CARAT

if TYPE_CHECKING:
    from ringtex.make_ring import BuiltRing
    from ringtex.solid.finishing.stone_options import Stone
    from ringtex.solid.finishing.stone_seats import SetStone


_SCALE_NAMES: Final = {
    "iso": "ISO 8653",
    "us": "US, Canada",
    "uk": "UK, Ireland, Australia",
    "jp": "Japan (trade scale)",
    "it": "Italy, Spain, Switzerland",
}
_CERTAIN_MM: Final = 0.005


def size_block(built: BuiltRing) -> SheetBlock:
    """The finger size in every scale, with how far the nearest mark is off."""
    size = built.design.size
    rows = [
        SheetRow("Asked for", size.label, strong=True),
        SheetRow("Inside", f"circumference {size.circumference_mm:.2f}, diameter {size.diameter_mm:.2f} mm"),
    ]
    for reading in size_in_every_scale(size.circumference_mm):
        off = reading.off_mm
        aside = "" if abs(off) < _CERTAIN_MM else f" ({abs(off):.2f} mm {'larger' if off > 0.0 else 'smaller'} round)"
        rows.append(SheetRow(_SCALE_NAMES[reading.scale], f"{reading.mark}{aside}"))
    if built.design.bore.shape == "comfort":
        rows.append(SheetRow("Comfort bore", f"rises {built.design.bore.rise_mm:.2f} mm to the edges"))
    return SheetBlock("Finger size", tuple(rows))


def _zone_rows(pattern: Pattern, design: Design) -> list[SheetRow]:
    made = [zone.pattern for zone in pattern.zones]
    blends = [f", blends {zone.blend_mm:g} mm below" if zone.blend_mm else "" for zone in design.zones]
    return [
        SheetRow(
            f"Zone {number}",
            f"{family_label(zone.family)} {zone.around} x {zone.across}, "
            f"{zone.tiling.upper - zone.tiling.lower:.2f} mm{blend}",
        )
        for number, (zone, blend) in enumerate(zip(made, blends, strict=True), start=1)
    ]


def _panel_rows(pattern: Pattern) -> list[SheetRow]:
    return [
        SheetRow(
            f"Panel {number}",
            f"{family_label(panel.pattern.family)} {panel.pattern.around} x {panel.pattern.across}, "
            f"{panel.box.wide:.2f} x {panel.box.tall:.2f} mm",
        )
        for number, panel in enumerate(pattern.panels, start=1)
    ]


def pattern_block(built: BuiltRing) -> SheetBlock:
    """Numbers from which the pattern could be made again."""
    design, pattern, readings = built.design, built.pattern, built.report.readings
    relief = design.relief
    wall = (
        f"{relief.wall_width_mm:g} mm" if relief.wall_width_mm is not None else f"top {relief.top_size:g} of the cell"
    )
    slopes = f"{relief.flank_deg:g}°, corners {relief.corner_mm:g} mm"
    flanks = f", flanks {slopes}" if relief.form in FLANKED else ""
    rows = [
        SheetRow("Pattern", f"{family_label(pattern.family)}, {pattern.counted[0]} {pattern.counted[1]}", strong=True),
        SheetRow("Around x across", f"{pattern.around} x {pattern.across}"),
        *_zone_rows(pattern, design),
        *_panel_rows(pattern),
        SheetRow("Relief", f"{relief.form}, {relief.depth_mm:g} mm deep", strong=True),
        # The foot of an own motif's flank is its outline.
        *([SheetRow(relief.wall_name.capitalize(), f"{wall}{flanks}")] if pattern.family != "motif" else []),
        *([SheetRow("Flank", slopes)] if pattern.family == "motif" and flanks else []),
        *([SheetRow("Rounding in plan", f"{relief.rounding:g}")] if relief.rounding else []),
        SheetRow("Plain borders", f"{design.rails.lower_mm:g} and {design.rails.upper_mm:g} mm"),
    ]
    if built.finished.pierced is not None:
        rows.append(SheetRow("Pierced", built.finished.pierced.summary))
    if seed_has_effect(design) or relief.depth_scatter:
        rows.append(SheetRow("Seeds", f"pattern {design.pattern.seed}, depth {relief.seed}"))
    thinnest = [f"metal {readings.thinnest_metal_mm:.2f}", f"edge {readings.thinnest_edge_mm:.2f}"]
    if readings.thinnest_ridge_mm is not None:
        thinnest.append(f"ridge {readings.thinnest_ridge_mm:.2f}")
    if readings.thinnest_groove_mm is not None:
        thinnest.append(f"groove {readings.thinnest_groove_mm:.2f}")
    if readings.hollow_wall_mm is not None:
        thinnest.append(f"hollow wall {readings.hollow_wall_mm:.2f}")
    rows.append(SheetRow("Thinnest, measured", f"{', '.join(thinnest)} mm"))
    return SheetBlock("Pattern", tuple(rows))


def places_block(built: BuiltRing) -> SheetBlock | None:
    """What is left smooth, and what is written in the bore; None where there is neither."""
    design = built.design
    rows = []
    for number, place in enumerate(design.plain, start=1):
        width, height = (2.0 * half for half in place.half_mm)
        size = f"Ø {width:g}" if place.shape == "round" and width == height else f"{width:g} x {height:g}"
        where = f"at {_angle_deg(built, place.u, place.v):.0f}°, {100.0 * place.v:.0f} % of the width"
        rows.append(SheetRow(f"Plain place {number}", f"{place.shape} {size} mm {where}, level with the {place.level}"))
    inscription = design.inscription
    if inscription is not None:
        how = "raised" if inscription.raised else "cut"
        size = f"{inscription.height_mm:g} mm high, {how} {inscription.depth_mm:g}, at {inscription.angle_deg:g}°"
        rows.append(SheetRow("In the bore", inscription.text, strong=True))
        rows.append(SheetRow("Letters", size))
    return SheetBlock("Plain places and inscription", tuple(rows)) if rows else None


def _angle_deg(built: BuiltRing, u: float, v: float) -> float:
    """The angle from the head of a place on the strip, given by its shares of length and width."""
    strip = built.strip
    theta, _ = strip.to_band(np.array([u * strip.length]), np.array([v * strip.width]))
    return math.degrees(float(theta[0]))


def outside_row(built: BuiltRing) -> SheetRow:
    """What a caliper would read over the relief."""
    vertices = built.finished.mesh.vertices
    x, y, z = (vertices.max(axis=0) - vertices.min(axis=0)).tolist()
    return SheetRow("Outside, over relief", f"{y:.2f} high, {x:.2f} wide, {z:.2f} along the finger")


def blank_row(built: BuiltRing) -> SheetRow | None:
    """The strip of sheet that a plain flat band is bent from: pi x (inner diameter + thickness)."""
    band = built.strip.band
    if not band.is_flat:
        return None
    station = band.options.stations[0]
    length = math.pi * (2.0 * band.bore_radius_mm + station.height_mm)
    size = f"{length:.2f} x {station.width_mm:g} x {station.height_mm:g} mm"
    return SheetRow("Flat blank", f"{size}, without saw cut and joint")


def stones_block(set_stones: tuple[SetStone, ...]) -> SheetBlock | None:
    """Stones of one size and kind in one row, with their number, weight and seat, and how deep they sit."""
    stones = [each.stone for each in set_stones]
    if not stones:
        return None
    alike: dict[Stone, list[int]] = {}
    for number, stone in enumerate(stones, start=1):
        same = next((s for s in alike if _kind(s) == _kind(stone)), stone)
        alike.setdefault(same, []).append(number)
    rows = []
    for stone, numbers in alike.items():
        seat = stone.diameter_mm - stone.undersize_mm
        rows.append(
            SheetRow(
                f"{len(numbers)} x Ø {stone.diameter_mm:g}",
                f"{stone.carat:.3f} ct each, {stone.depth_mm:.2f} deep; seat Ø {seat:.2f}, bearing "
                f"{stone.bearing_deg:g}°, hole Ø {stone.hole * stone.diameter_mm:.2f} right through; "
                f"flush by its {stone.flush}, rim {_rim_words([set_stones[n - 1] for n in numbers])}",
            )
        )
    total = sum(stone.carat for stone in stones)
    grams = total * GRAM_PER_CARAT
    rows.append(SheetRow("All", f"{len(stones)} round stones, {total:.3f} ct, {grams:.3f} g", strong=True))
    return SheetBlock("Stones (weights estimated)", tuple(rows))


def _kind(stone: Stone) -> tuple[object, ...]:
    return stone.diameter_mm, stone.hole, stone.bearing_deg, stone.undersize_mm, stone.proportions, stone.flush


def _rim_words(stones: list[SetStone]) -> str:
    """How high the metal stands at the rims, over the tables."""
    low, high = min(each.place.rim_mm[0] for each in stones), max(each.place.rim_mm[1] for each in stones)
    return f"{low:+.2f} to {high:+.2f}"


def findings_block(findings: list[Finding]) -> SheetBlock:
    """Every finding, worst first, with what to do."""
    if not findings:
        return SheetBlock("Findings", (SheetRow("", "Nothing found to object to."),), wide=True)
    return SheetBlock("Findings", tuple(_finding_row(finding) for finding in findings), wide=True)


def _finding_row(finding: Finding) -> SheetRow:
    where = f" ({finding.where or 'the whole ring'})"
    limit = ""
    if finding.limit is not None and finding.limit > 0.0:
        limit = f" Limit {finding.limit:.3g} {finding.unit}.".replace(" .", ".")
    advice = f" {finding.advice}." if finding.advice else ""
    text = f"{finding.message}{where}.{limit}{advice}"
    return SheetRow(finding.level.value, text, strong=finding.level is Level.ERROR)


def cautions_block(built: BuiltRing) -> SheetBlock:
    """The cautions that apply, in plain words."""
    return SheetBlock("Take care", tuple(SheetRow("", caution.text) for caution in built.report.cautions), wide=True)


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
