"""What `ringtex make` tells of a ring: one plain dict, ready for JSON, and a few lines for a person."""

from __future__ import annotations

from typing import Any

from ringtex.checks.geometry.cell_measures import measure_cell_areas, measure_stretch
from ringtex.command.finding_lines import finding_lines, finding_values
from ringtex.command.mesh_values import mesh_values
from ringtex.export.mesh_files.casting_pattern import casting_sentence
from ringtex.make_ring import BuiltRing
from ringtex.pattern.measure import measure_regularity


def ring_results(built: BuiltRing, files: list[dict[str, Any]], seconds: dict[str, float]) -> dict[str, Any]:
    """Everything that was measured of a ring, the files written, and the seconds spent in each stage."""
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
         "u": each.stone.u, "v": each.stone.v, "through": each.place.through}
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
    areas = measure_cell_areas(built.solid, built.strip, tiling.cells)
    stretch = measure_stretch(built.strip, tiling.lower, tiling.upper)
    regular = measure_regularity(tiling, built.strip)
    return {
        "cells": tiling.cells,
        "around": built.pattern.around,
        "across": built.pattern.across,
        "stretch_percent": built.pattern.stretch_percent,
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
    lines = [
        f"{name}: {built.design.size.label}, {results['cells']} cells ({built.pattern.around} around, "
        f"{built.pattern.across} across)",
        f"cells on the ring: area varies by {100.0 * results['cell_area']['cv']:.1f} %, "
        f"{100.0 * results['regularity']['six_sided_share']:.0f} % of the inner ones six-sided, "
        f"roundness {results['regularity']['mean_roundness']:.2f} (regular hexagons 0.91)",
        f"{results['volume_mm3']:.1f} mm3, {results['weight_g']:.2f} g in {alloy}; {results['triangles']} triangles, "
        f"thinnest metal {results['thinnest_metal_mm']:.2f} mm",
        *_finish_lines(built, results),
        *finding_lines(built.report.findings),
    ]
    if results["files"] and built.design.make.changes_export:
        lines.append(casting_sentence(built.design.make))
    lines += [f"Wrote {file['file']} ({file['format']}, {file['bytes'] / 1e6:.2f} MB)" for file in results["files"]]
    return [*lines, "Take care:", *(f"- {caution.text}" for caution in built.report.cautions)]


def _finish_lines(built: BuiltRing, results: dict[str, Any]) -> list[str]:
    lines = []
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
