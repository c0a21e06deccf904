"""Bars between pierced cells in closed form."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely
from finished_reports import built_flat, kinds
from shapely.geometry import MultiPolygon
from zoo import plain_design

from ringtex.basics.tolerances import DRAFT_CHORD_MM
from ringtex.checks.making.pierced_webs import check_whole_cells, measure_webs
from ringtex.command.results import ring_results, summary_lines
from ringtex.design.design_file import design_from_json, read_design
from ringtex.document.sheet_blocks import pattern_block
from ringtex.edits.motif_edits import with_motif
from ringtex.make_ring import make_ring
from ringtex.pattern.motif.motif_options import MotifOptions
from ringtex.pattern.motif.motif_outline import GRID, outline_text
from ringtex.solid.finishing.cell_outlines import Whole

PIERCED = {"form": "pierced", "depth": 0.1, "wall_width": 1.2, "corner": 0, "flank": 89}


def test_the_bar_is_the_ridge_as_it_narrows_to_the_bore() -> None:
    """Bricks on a flat band: cuts are radial, so that a bar along the ring keeps its width and one across narrows as
    the radius does; flanks at 89 degrees take 0.0017 and ledges 0.02 on each side.
    """
    ring = built_flat(
        relief=PIERCED, pattern={"family": "brick", "around": 16, "across": 1}, rails={"lower": 1, "upper": 1}
    )
    band = ring.strip.band
    webs = measure_webs(ring.finished.pierced, band)
    outer = float(band.crown_radius(np.zeros(1))[0])
    assert webs is not None
    wide = 1.2 + 2.0 * (0.02 + 0.1 * np.tan(np.radians(1.0)))
    assert webs.web_mm == pytest.approx(wide * band.bore_radius_mm / outer, abs=0.03)
    assert webs.border_mm == pytest.approx(1.0 + 0.5 * wide, abs=0.03)
    assert ring.finished.genus == 1 + 16
    assert ring.finished.mesh.problems(17) == []


def test_thin_bars_are_found() -> None:
    thin = built_flat(
        relief={**PIERCED, "wall_width": 0.4}, pattern={"family": "hexagon", "around": 24, "across": "auto"}
    )
    assert "thin_web" in kinds(thin)
    assert "wrong_genus" not in kinds(thin)
    assert measure_webs(None, thin.strip.band) is None


def test_cells_that_stay_whole_unasked_are_told_with_their_number_and_why() -> None:
    """Rows of bricks 0.08 mm high: half of that less what the ridges leave is under the 0.02 mm that a hole needs."""
    rows = {"family": "brick", "around": 12, "across": 100}
    relief = {"form": "pierced", "depth": 0.2, "wall_width": 0.6, "flank": 60}
    ring = make_ring(design_from_json(plain_design(pattern=rows, relief=relief)), DRAFT_CHORD_MM)
    (found,) = (finding for finding in ring.report.findings if finding.kind.value == "whole_cells")
    assert found.message == "1200 of 1200 cells are left whole: too narrow to be pierced"
    assert "narrower ridge" in found.advice
    assert (found.measured, found.limit, found.unit) == (1200.0, 0.0, "cells")
    assert found.place is not None
    assert ring.finished.mesh.problems(1) == []


def test_narrow_cells_under_a_plain_place_stay_whole_as_asked() -> None:
    rows = {"family": "brick", "around": 12, "across": 100}
    relief = {"form": "pierced", "depth": 0.2, "wall_width": 0.6, "flank": 60}
    for plain in ([{"u": 0.5, "v": 0.5, "width": 6, "height": 20}], [{"u": 0.99, "v": 0.5, "width": 6, "height": 20}]):
        ring = make_ring(design_from_json(plain_design(pattern=rows, relief=relief, plain=plain)), DRAFT_CHORD_MM)
        pierced = ring.finished.pierced
        assert pierced is not None
        covered = pierced.whole_cells(Whole.COVERED)
        middles = ring.pattern.tiling.kernel[0][covered]
        away = middles[:, 0] / ring.strip.length - plain[0]["u"]
        assert 100 <= len(covered) <= 300
        assert np.all(np.abs(away - np.rint(away)) * ring.strip.length < 4.0)
        (found,) = (finding for finding in ring.report.findings if finding.kind.value == "whole_cells")
        assert found.measured == 1200.0 - len(covered)


def test_cells_whose_holes_would_meet_are_told() -> None:
    """Some of the holes in the cracked ring that failed once are folds."""
    path = Path(__file__).parents[2] / "corpus" / "pierced_cracks_with_a_folded_slit.ring.json"
    ring = make_ring(read_design(path), DRAFT_CHORD_MM)
    pierced = ring.finished.pierced
    assert pierced is not None
    whole = pierced.whole_cells(Whole.MEETING)
    (found,) = (finding for finding in ring.report.findings if finding.kind.value == "whole_cells")
    are = "is" if len(whole) == 1 else "are"
    assert found.message.startswith(f"{len(whole)} of {ring.pattern.tiling.cells} cells {are} left whole: holes there")
    assert len(whole) == ring.pattern.tiling.cells - pierced.count > 0
    both = pierced.outlines.whole.copy()
    both[np.flatnonzero(both == Whole.NOT)[:2]] = Whole.NARROW
    mixed = replace(pierced, outlines=replace(pierced.outlines, whole=both))
    (found,) = check_whole_cells(mixed, ring.solid, ring.design.relief, ring.pattern)
    assert f"2 too narrow to be pierced, and {len(whole)} whose holes" in found.message


def test_cells_that_stay_whole_as_asked_are_counted_in_summary_sheet_and_json() -> None:
    """One cell shallow by hand, those near a stone and those under a plain place."""
    ring = built_flat(
        relief={**PIERCED, "wall_width": 0.8},
        pattern={"family": "hexagon", "around": 16, "across": 2},
        stones=[{"u": 0.25, "v": 0.5, "diameter": 1.5}],
        plain=[{"u": 0.5, "v": 0.5, "width": 3, "height": 3}],
        edits={"cells": [{"u": 0.8, "v": 0.3, "depth": 0.3}]},
    )
    told = ring_results(ring, [], {})
    pierced = ring.finished.pierced
    assert pierced is not None
    assert told["pierced"]["cells"] == pierced.count
    whole = told["pierced"]["whole"]
    assert whole["shallow"] == 1
    assert whole["covered"] >= 4
    assert (whole["narrow"], whole["meeting"]) == (0, 0)
    assert pierced.count + sum(whole.values()) == told["cells"] == 32
    assert "whole_cells" not in kinds(ring)
    words = f"{pierced.count} of 32 cells, left whole: {whole['covered']} under stones or plain places, 1 too shallow"
    assert f"pierced: {words}" in summary_lines(ring, told)
    assert words in [row.value for row in pattern_block(ring).rows]


def test_own_shapes_are_called_shapes() -> None:
    """Discs 0.2 mm apart: the bar between them is to be drawn wider, for there is no wall of cells to make wider."""
    circle = MultiPolygon([shapely.Point(0.5 * GRID, 0.5 * GRID).buffer(0.5 * GRID)])
    motif = MotifOptions(outline_text(circle), "disc", 10.0, 10.0, size=0.95)
    plain = design_from_json(plain_design(relief={"form": "pierced", "depth": 0.1}))
    ring = make_ring(with_motif(replace(plain, pattern=replace(plain.pattern, around=24)), motif), DRAFT_CHORD_MM)
    pierced = ring.finished.pierced
    assert pierced is not None
    assert pierced.summary == f"{pierced.count} of {pierced.count} shapes"
    said = [finding for finding in ring.report.findings if finding.kind.value == "thin_web"]
    assert said
    assert all("pierced shapes" in finding.message and "cells" not in finding.advice for finding in said)
    assert any("further apart" in finding.advice for finding in said)
