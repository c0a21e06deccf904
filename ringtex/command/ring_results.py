"""What `ringtex make` tells of a ring: one plain dict, ready for JSON, and a few lines for a person."""

from __future__ import annotations

from typing import Any

from ringtex.checks.cell_areas import measure_cell_areas
from ringtex.checks.strip_stretch import measure_stretch
from ringtex.command.finding_lines import finding_lines, finding_values
from ringtex.command.mesh_values import mesh_values
from ringtex.make_ring import BuiltRing


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


def _pattern_values(built: BuiltRing) -> dict[str, Any]:
    tiling = built.pattern.tiling
    areas = measure_cell_areas(built.solid, built.strip, tiling.cells)
    stretch = measure_stretch(built.strip, tiling.lower, tiling.upper)
    return {
        "cells": tiling.cells,
        "around": built.pattern.around,
        "across": built.pattern.across,
        "stretch_percent": built.pattern.stretch_percent,
        "cell_area": {"min": areas.smallest, "mean": areas.mean, "max": areas.largest, "cv": areas.cv},
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
    scale = built.design.make.pattern_scale
    lines = [
        f"{name}: {built.design.size.label}, {results['cells']} cells ({built.pattern.around} around, "
        f"{built.pattern.across} across)",
        f"{results['volume_mm3']:.1f} mm3, {results['weight_g']:.2f} g in {alloy}; {results['triangles']} triangles, "
        f"thinnest metal {results['thinnest_metal_mm']:.2f} mm",
        *finding_lines(built.report.findings),
    ]
    if scale != 1.0:
        lines.append(f"The mesh is written {scale:.4f} times as large, for the shrinkage that the design asks for.")
    lines += [f"Wrote {file['file']} ({file['format']}, {file['bytes'] / 1e6:.2f} MB)" for file in results["files"]]
    return [*lines, "Take care:", *(f"- {caution.text}" for caution in built.report.cautions)]
