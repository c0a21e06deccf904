"""Contour lines of own motifs and growth rings against their outlines, measured by shapely."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from zoo import plain_design

from ringtex.basics.resources import demo_folder
from ringtex.design.design_file import design_from_json
from ringtex.document.workshop_sheet import flat_pattern
from ringtex.edits.motif_edits import with_motif
from ringtex.export.sheet.drawing import Path
from ringtex.export.sheet.relief_contour import cut_at_seam, relief_contour
from ringtex.make_ring import make_ring
from ringtex.pattern.motif.import_motif import read_motif


def test_lines_enclose_what_the_leaves_have_at_half_their_height() -> None:
    """Their outline is the foot of the flank, so that half-way up it has moved in by half the flank's run."""
    leaf = read_motif(demo_folder() / "drawings" / "laurel_leaf.svg").motif
    made = with_motif(design_from_json(plain_design(relief={"corner": 0.0}, rails={"lower": 0.5, "upper": 0.5})), leaf)
    made = replace(made, pattern=replace(made.pattern, around=6, across=1), relief=replace(made.relief, depth_mm=0.3))
    ring = make_ring(made, 0.01)
    lines = relief_contour(ring.solid, ring.strip.length)
    assert ring.pattern.motif is not None
    moved = 0.15 / math.tan(math.radians(made.relief.flank_deg))
    wanted = ring.pattern.motif.shapes(range(6)).buffer(-moved)
    found = shapely.build_area(shapely.multilinestrings([shapely.LineString(line) for line in lines]))
    assert found.symmetric_difference(wanted).area < 0.03 * wanted.area


@pytest.mark.parametrize("family", ["growth_rings", "hexagon"])
def test_the_sheet_draws_rings_not_their_cells(family: str) -> None:
    ring = make_ring(design_from_json(plain_design(pattern={"family": family, "around": 12, "across": 4})), 0.03)
    drawing = flat_pattern(ring)
    thin = next(part for part in drawing.marks if isinstance(part, Path))
    longest = max(len(line) for line in thin.rows)
    assert (longest > 50) == (family == "growth_rings")


def test_lines_over_the_seam_are_cut_there() -> None:
    lines = np.array([[[9.5, 0.0], [10.5, 1.0]], [[-0.5, 0.0], [0.5, 1.0]], [[21.0, 2.0], [22.0, 2.0]]])
    cut = cut_at_seam(lines, 10.0)
    assert np.all((cut[..., 0] >= 0.0) & (cut[..., 0] <= 10.0))
    assert sorted(np.linalg.norm(cut[:, 1] - cut[:, 0], axis=1)) == pytest.approx([0.5 * math.sqrt(2.0)] * 4 + [1.0])
