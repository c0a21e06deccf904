"""Rings with panels: closed, without crossings, level on their frames, and kept by the design file."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from zoo import plain_design

from ringtex.basics.errors import InputError
from ringtex.basics.progress import Progress
from ringtex.command.results import _panel_lines, _panel_values
from ringtex.design.design import Design
from ringtex.design.design_file import design_from_json, design_to_json
from ringtex.document.sheet_blocks import pattern_block
from ringtex.edits.design_keys import with_one
from ringtex.edits.panel_edits import next_panel
from ringtex.make_ring import ShapedRing, make_ring, shape_ring
from ringtex.pattern.lattice.families import family_label
from ringtex.pattern.panels.panel_options import Panel
from ringtex.pattern.panels.panel_pattern import panel_of_cell
from ringtex.pattern.pattern_options import PatternOptions
from ringtex.relief.relief_options import FORMS

DOME = {"stations": [
    {"angle": 0, "width": 12, "height": 4, "edge_height": 1.2, "fullness": 2.5},
    {"angle": 180, "width": 6, "height": 2.0, "edge_height": 1.2, "fullness": 2.5}], "mirror": True}  # fmt: skip
PANELS = (
    Panel(0.5, 0.5, 11.0, 4.4, 0.4, PatternOptions("diamond", 6)),
    Panel(0.0, 0.5, 8.0, 3.6, 0.3, PatternOptions("cellular", 6, scatter=0.4), depth=-0.5),
)


def ring(form: str, **given: Any) -> ShapedRing:
    design = design_from_json(plain_design(rails={"lower": 0.4, "upper": 0.4}, **given))
    relief = replace(design.relief, form=form, depth_mm=0.25, wall_width_mm=0.3, top_size=None)
    design = replace(design, pattern=PatternOptions("hexagon", 22), relief=relief, panels=PANELS)
    return shape_ring(design_from_json(design_to_json(design)), 0.02, Progress())


@pytest.mark.parametrize("form", FORMS)
def test_rings_are_closed_and_do_not_cross(form: str) -> None:
    """By exact arithmetic: libigl's binding of CGAL, for tests only."""
    from igl.copyleft import cgal

    made = ring(form, **({"band": DOME} if form in ("raised", "dish") else {}))
    mesh = made.solid.mesh
    assert [problem for problem in mesh.problems() if "genus" not in problem] == []
    assert len(cgal.remesh_self_intersections(mesh.vertices, mesh.faces.astype(np.int64), detect_only=True)[2]) == 0
    frame = np.flatnonzero(panel_of_cell(made.pattern) % 2 == 1)
    frame = frame[panel_of_cell(made.pattern)[frame] > 0]
    of_frame = np.isin(made.solid.face_cell, frame)
    heights = made.solid.strip_positions[made.solid.mesh.faces[: len(of_frame)][of_frame], 2]
    assert len(frame) == 8
    assert float(np.abs(heights).max()) < 1e-9


def test_sheet_and_results_tell_of_panels() -> None:
    design = replace(design_from_json(plain_design()), panels=PANELS[:1])
    built = make_ring(design, 0.05)
    rows = {row.name: row.value for row in pattern_block(built).rows}
    assert rows["Panel 1"] == f"{family_label('diamond')} 6 x {built.pattern.panels[0].pattern.across}, 11.00 x 4.40 mm"
    values, lines = _panel_values(built.pattern)["panels"], _panel_lines(built.pattern)
    assert values[0]["to_mm"][0] - values[0]["from_mm"][0] == pytest.approx(11.0)
    assert (values[0]["family"], values[0]["around"]) == ("diamond", 6)
    assert "11.00 x 4.40 mm on the strip" in lines[0]
    assert _panel_values(make_ring(design_from_json(plain_design()), 0.05).pattern) == {}


def test_a_file_without_panels_says_nothing_of_them() -> None:
    assert "panels" not in design_to_json(design_from_json(plain_design()))


def test_panels_are_added_one_after_the_other_until_there_is_no_room() -> None:
    design: Design = design_from_json(plain_design())
    for count in range(1, 5):
        design = replace(design, panels=(*design.panels, next_panel(design)))
        assert len(shape_ring(design, 0.05, Progress()).pattern.panels) == count
    assert len({panel.u for panel in design.panels}) == 4
    # A wide one would lie over others wherever it is put.
    wide = replace(design, panels=(*design.panels[:3], replace(design.panels[0], u=0.75, width_mm=13.0)))
    with pytest.raises(InputError) as refusal:
        next_panel(wide)
    assert refusal.value.where == "panels"
    changed = with_one(design, "panels[1].pattern.family", "cellular")
    assert changed.panels[1].pattern.family == "cellular"
