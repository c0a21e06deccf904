"""What the commands say of a ring, a mesh or a proposal, as JSON and as lines."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ringtex.basics.errors import InputError
from ringtex.checks.finding import Finding, Level
from ringtex.checks.geometry.cell_measures import measure_cell_areas, measure_stretch
from ringtex.checks.making.weights import metal_cost
from ringtex.document.ring_weights import ring_weights, ring_weights_in_every_alloy
from ringtex.export.mesh_files.casting_pattern import casting_sentence
from ringtex.make_ring import BuiltRing
from ringtex.pattern.lattice.families import family_label
from ringtex.pattern.measure import measure_regularity
from ringtex.pattern.patterned_part import Pattern
from ringtex.solid.finishing.pierced_cells import WHOLE_WORDS, PiercedCells
from ringtex.solid.mesh.ring_mesh import RingMesh

if TYPE_CHECKING:
    from ringtex.command.console import Console
    from ringtex.document.proposal import Proposal


def finding_values(finding: Finding) -> dict[str, Any]:
    """One finding as plain values."""
    return {
        "kind": finding.kind.value,
        "level": finding.level.value,
        "message": finding.message,
        "advice": finding.advice,
        "measured": finding.measured,
        "limit": finding.limit,
        "unit": finding.unit,
        "where": finding.where,
        "place": None if finding.place is None else list(finding.place),
    }


def finding_lines(findings: Sequence[Finding]) -> list[str]:
    """One line a finding in the order given (worst first), or one line that says there is none."""
    if not findings:
        return ["Nothing found to object to."]
    return [_line(finding) for finding in findings]


def errors_among(findings: Sequence[Finding]) -> int:
    """How many findings are errors."""
    return sum(finding.level is Level.ERROR for finding in findings)


def _line(finding: Finding) -> str:
    where = f" ({finding.where})" if finding.where else ""
    advice = f" {finding.advice}." if finding.advice else ""
    return f"{finding.level.value}: {finding.message}{where}.{advice}"


def mesh_values(mesh: RingMesh) -> dict[str, Any]:
    """Counts and measures; genus and volume are null where the mesh has no inside."""
    sound = mesh.oriented
    return {
        "triangles": len(mesh.faces),
        "vertices": len(mesh.vertices),
        "closed": mesh.closed,
        "genus": mesh.genus if mesh.closed else None,
        "volume_mm3": mesh.volume if sound else None,
        "area_mm2": mesh.area,
    }


def weight_values(built: BuiltRing, price_per_g: float | None) -> dict[str, Any]:
    """Weights as cast and as finished, in the design's alloy and in every other; the cost where a price is given.

    Raises: InputError for a price that is none.
    """
    own = ring_weights(built)
    return {
        "weights": {
            "as_cast_g": own.cast_g,
            "finished_g": own.finished_g,
            "with_stones_g": own.with_stones_g,
            "polish_mm": built.design.make.polish_mm,
        },
        "alloys": {
            each.alloy.key: {"as_cast_g": each.cast_g, "finished_g": each.finished_g}
            for each in ring_weights_in_every_alloy(built)
        },
        "metal_cost": None if price_per_g is None else metal_cost(own, price_per_g),
    }


def weight_lines(built: BuiltRing, values: dict[str, Any]) -> list[str]:
    """The same for a person, where it says more than the weight as drawn."""
    lines = []
    weights = values["weights"]
    if built.design.make.polish_mm > 0.0:
        lines.append(f"{weights['as_cast_g']:.2f} g as cast, {weights['finished_g']:.2f} g when finished")
    if values["metal_cost"] is not None:
        lines.append(f"The metal as cast costs {values['metal_cost']:.2f} at that price, without sprue and loss")
    return lines


def refuse_vain_proposal(asked: bool, out: str | None, is_design: bool) -> None:
    """

    Parameters:
        asked: whether a proposal was asked for.
        out: file to write, or None.
        is_design: whether a design was given.
    Raises: InputError, OutputError where nothing could be proposed or written.
    """
    from ringtex.document.ring_files import refuse_unusable_place

    if out is not None and not asked:
        raise InputError("only a proposed design can be written", "Add --propose", "--out")
    if asked and not is_design:
        raise InputError("changes are proposed for designs, not for meshes", "Name a *.ring.json file", "--propose")
    if out is not None:
        refuse_unusable_place(out)


def proposal_for(file: str, console: Console) -> Proposal:
    """Look for it. Raises: InputError, Cancelled."""
    from ringtex.basics.progress import Progress
    from ringtex.command.console import stop_on_interrupt
    from ringtex.design.design_file import read_design
    from ringtex.document.proposal import propose

    progress = Progress(console.progress)
    with stop_on_interrupt(progress):
        return propose(read_design(Path(file)), progress)


def proposal_values(proposal: Proposal) -> dict[str, Any]:
    """The proposal as plain values."""
    return {
        "clears": proposal.clears,
        "changes": [
            {"key": change.key, "before": change.before, "after": change.after, "text": change.text}
            for change in proposal.changes
        ],
        "findings_after": [finding_values(finding) for finding in proposal.findings_after],
        "drafts": proposal.builds,
    }


def give_proposal(proposal: Proposal, out: str | None, console: Console) -> None:
    """Tell it, and write the changed design where that was asked for.

    Parameters:
        proposal: what was proposed.
        out: file to write, or None.
        console: where results go.
    Raises: OutputError.
    """
    console.say()
    if not proposal.changes:
        console.say("No change is needed." if proposal.clears else "No change was found that helps.")
        return
    console.say(
        "Proposed; together this clears every error and warning:"
        if proposal.clears
        else "Proposed; this helps, but does not clear all:"
    )
    for sentence in proposal.sentences:
        console.say(f"- {sentence}")
    for line in finding_lines(proposal.findings_after):
        console.say(f"After that, {line[0].lower()}{line[1:]}")
    if out is not None:
        from ringtex.design.design_file import write_design

        write_design(proposal.design, Path(out))
        console.say(f"Wrote {out}")


def ring_results(built: BuiltRing, files: list[dict[str, Any]], seconds: dict[str, float]) -> dict[str, Any]:
    """Everything that was measured of a ring, the files written, and the seconds spent in each stage.

    Parameters:
        built: the ring as it was built.
        files: what was written.
        seconds: spent in each stage.
    Returns: one plain dict, ready for JSON.
    """
    readings = built.report.readings
    return {
        "name": built.design.name,
        "files": files,
        **mesh_values(built.finished.mesh),
        "weight_g": readings.weight_g,
        "alloy": built.design.make.alloy,
        "pattern_scale": built.design.make.pattern_scale,
        **_finish_values(built),
        **_pattern_values(built),
        "seam": {"gap": readings.seam_gap_mm, "normal_degrees": readings.seam_normal_deg},
        "size": _size_values(built),
        "thinnest_metal_mm": readings.thinnest_metal_mm,
        "thinnest_edge_mm": readings.thinnest_edge_mm,
        "thinnest_ridge_mm": readings.thinnest_ridge_mm,
        "thinnest_groove_mm": readings.thinnest_groove_mm,
        "centre_of_mass": list(readings.centre_of_mass),
        "findings": [finding_values(finding) for finding in built.report.findings],
        "cautions": [caution.text for caution in built.report.cautions],
        "seconds": {**seconds, "total": sum(seconds.values())},
    }


def _finish_values(built: BuiltRing) -> dict[str, Any]:
    readings = built.report.readings
    stones = [
        {"number": number, "mm": each.stone.diameter_mm, "ct": each.stone.carat, "g": each.stone.weight_g,
         "u": each.stone.u, "v": each.stone.v, "through": each.place.through,
         "flush": each.stone.flush, "rim_mm": list(each.place.rim_mm)}
        for number, each in enumerate(built.finished.stones, start=1)
    ]  # fmt: skip
    return {
        "genus_expected": readings.genus_expected,
        "hollow_saved_mm3": readings.hollow_saved_mm3,
        "hollow_saved_g": readings.hollow_saved_g,
        "hollow_wall_mm": readings.hollow_wall_mm,
        "hollow_floor_mm": readings.hollow_floor_mm,
        "stones": stones,
        "stones_weight_g": readings.stones_weight_g,
        "weight_with_stones_g": readings.weight_g + readings.stones_weight_g,
        "moment_g_mm": readings.moment_g_mm,
        "holding_friction": readings.holding_friction,
    }


def _pattern_values(built: BuiltRing) -> dict[str, Any]:
    tiling = built.pattern.tiling
    areas = measure_cell_areas(built.solid, built.strip, tiling.cells, built.pattern.level)
    stretch = measure_stretch(built.strip, tiling.lower, tiling.upper)
    regular = measure_regularity(tiling, built.strip, built.pattern.level)
    return {
        "cells": built.pattern.counted[0],
        "around": built.pattern.around,
        "across": built.pattern.across,
        "stretch_percent": built.pattern.stretch_percent,
        **_zone_values(built),
        **_panel_values(built.pattern),
        **_pierced_values(built.finished.pierced),
        "cell_area": {"min": areas.smallest, "mean": areas.mean, "max": areas.largest, "cv": areas.cv},
        "regularity": {
            "six_sided_share": regular.six_sided_share,
            "mean_roundness": regular.mean_roundness,
            "least_roundness": regular.least_roundness,
        },
        "strip_length": built.strip.length,
        "strip_width": built.strip.width,
        "stretch": {
            "area_min": stretch.area_min,
            "area_max": stretch.area_max,
            "angle_error_degrees": stretch.angle_error_deg,
        },
    }


def _zone_values(built: BuiltRing) -> dict[str, Any]:
    """Each zone from the lower edge up; no key where there are none."""
    values = [
        {
            **_counts_of(zone.pattern),
            "stretch_percent": zone.pattern.stretch_percent,
            "from_mm": zone.pattern.tiling.lower,
            "to_mm": zone.pattern.tiling.upper,
            "blend_below_mm": options.blend_mm,
        }
        for zone, options in zip(built.pattern.zones, built.design.zones, strict=True)
    ]
    return {"zones": values} if values else {}


def _panel_values(pattern: Pattern) -> dict[str, Any]:
    """Each panel as it stands in the design; no key where there are none."""
    values = [
        {
            **_counts_of(panel.pattern),
            "from_mm": [panel.box.left, panel.box.low],
            "to_mm": [panel.box.right, panel.box.high],
        }
        for panel in pattern.panels
    ]
    return {"panels": values} if values else {}


def _pierced_values(pierced: PiercedCells | None) -> dict[str, Any]:
    """How many cells are pierced, and how many are left whole by reason; no key for reliefs of another form."""
    if pierced is None:
        return {}
    whole = {why.name.lower(): len(pierced.whole_cells(why)) for why in WHOLE_WORDS}
    return {"pierced": {"cells": pierced.count, "whole": whole}}


def _counts_of(pattern: Pattern) -> dict[str, Any]:
    return {
        "family": pattern.family,
        "cells": pattern.counted[0],
        "around": pattern.around,
        "across": pattern.across,
    }


def _panel_lines(pattern: Pattern) -> list[str]:
    return [
        f"panel {number}: {family_label(panel.pattern.family)}, {panel.pattern.around} x {panel.pattern.across}, "
        f"{panel.box.wide:.2f} x {panel.box.tall:.2f} mm on the strip"
        for number, panel in enumerate(pattern.panels, start=1)
    ]


def _zone_lines(built: BuiltRing) -> list[str]:
    made = [zone.pattern for zone in built.pattern.zones]
    blends = [f", blended {zone.blend_mm:g} mm below" if zone.blend_mm else "" for zone in built.design.zones]
    return [
        f"zone {number}: {family_label(zone.family)}, {zone.around} around, {zone.across} across, "
        f"{zone.tiling.upper - zone.tiling.lower:.2f} mm wide on the strip{blend}"
        for number, (zone, blend) in enumerate(zip(made, blends, strict=True), start=1)
    ]


def _size_values(built: BuiltRing) -> dict[str, Any]:
    size = built.design.size
    return {
        "scale": size.scale,
        "value": size.value,
        "circumference_mm": size.circumference_mm,
        "diameter_mm": size.diameter_mm,
        "measured_circumference_mm": built.report.readings.size_circumference_mm,
    }


def summary_lines(built: BuiltRing, results: dict[str, Any]) -> list[str]:
    """The same for a person: what was made, what was found, what was written, what to beware of."""
    name = built.design.name or "Ring"
    alloy = built.design.make.material.name
    count, counted = built.pattern.counted
    lines = [
        f"{name}: {built.design.size.label}, {count} {counted} ({built.pattern.around} around, "
        f"{built.pattern.across} across)",
        *_zone_lines(built),
        *_panel_lines(built.pattern),
        *_cell_lines(built, results),
        f"{results['volume_mm3']:.1f} mm3, {results['weight_g']:.2f} g in {alloy}; {results['triangles']} triangles, "
        f"thinnest metal {results['thinnest_metal_mm']:.2f} mm",
        *_finish_lines(built, results),
        *finding_lines(built.report.findings),
    ]
    if results["files"] and built.design.make.changes_export:
        lines.append(casting_sentence(built.design.make))
    lines += [f"Wrote {file['file']} ({file['format']}, {file['bytes'] / 1e6:.2f} MB)" for file in results["files"]]
    return [*lines, "Take care:", *(f"- {caution.text}" for caution in built.report.cautions)]


def _cell_lines(built: BuiltRing, results: dict[str, Any]) -> list[str]:
    """How even and regular the cells are; repeats of an own motif or picture have no such numbers."""
    if built.pattern.motif is not None:
        return []
    return [
        f"cells on the ring: area varies by {100.0 * results['cell_area']['cv']:.1f} %, "
        f"{_six_sided_words(results['regularity']['six_sided_share'])}, "
        f"roundness {results['regularity']['mean_roundness']:.2f} (regular hexagons 0.91)"
    ]


def _six_sided_words(share: float | None) -> str:
    return "every cell is cut by a border" if share is None else f"{100.0 * share:.0f} % of the inner ones six-sided"


def _finish_lines(built: BuiltRing, results: dict[str, Any]) -> list[str]:
    pierced = built.finished.pierced
    lines = [] if pierced is None else [f"pierced: {pierced.summary}"]
    if built.design.hollow is not None:
        lines.append(
            f"The hollow saves {results['hollow_saved_mm3']:.1f} mm3, {results['hollow_saved_g']:.2f} g; its wall is "
            f"{results['hollow_wall_mm']:.2f} mm at its thinnest"
        )
    if results["stones"]:
        carat = sum(stone["ct"] for stone in results["stones"])
        lines.append(
            f"{len(results['stones'])} stones, {carat:.2f} ct; {results['weight_with_stones_g']:.2f} g with stones"
        )
    return lines
