"""Numbers of the relief that do nothing to a ring: not proposed, and really without effect on its mesh."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from zoo import plain_design

from ringtex.basics.progress import Progress
from ringtex.basics.resources import demo_folder
from ringtex.checks.finding import Kind
from ringtex.design.design import Design
from ringtex.design.design_file import design_from_json
from ringtex.edits.motif_edits import with_motif
from ringtex.edits.proposal_moves import moves_for
from ringtex.make_ring import make_ring, shape_ring
from ringtex.pattern.motif.import_motif import read_motif
from ringtex.relief.relief_options import unused_numbers

OTHER: dict[str, Any] = {
    "wall_width_mm": 0.55, "top_size": 0.5, "flank_deg": 50.0, "corner_mm": 0.02, "rounding": 0.7, "seed": 9,
}  # fmt: skip


def design(family: str, form: str, **relief: object) -> Design:
    rails = {"lower": 0.4, "upper": 0.4}
    made = design_from_json(plain_design(rails=rails, relief={"form": form, "wall_width": 0.3, **relief}))
    if family == "motif":
        made = with_motif(made, read_motif(demo_folder() / "drawings" / "laurel_leaf.svg").motif)
        return replace(made, pattern=replace(made.pattern, around=12, across=1))
    return replace(made, pattern=replace(made.pattern, family=family, around=16, across=2))


def unused(made: Design) -> frozenset[str]:
    return unused_numbers(made.relief, made.pattern.family, made.pattern.motif)


@pytest.mark.parametrize("form", ["raised", "pillow", "peak"])
@pytest.mark.parametrize("family", ["hexagon", "growth_rings", "motif"])
def test_they_change_nothing_of_the_ring_and_the_others_do(family: str, form: str) -> None:
    made = design(family, form)

    def mesh(**given: Any) -> tuple[bytes, bytes]:
        changed = replace(made, relief=replace(made.relief, **given))
        found = shape_ring(changed, 0.05, Progress()).solid.mesh
        return found.vertices.tobytes(), found.faces.tobytes()

    before = mesh()
    of_motifs: dict[str, dict[str, Any]] = {"top_size": {"top_size": OTHER["top_size"], "wall_width_mm": None}}
    tried = {name: {name: value} for name, value in OTHER.items() if name != "top_size"}
    tried |= of_motifs if family == "motif" else {}
    assert {name for name, given in tried.items() if mesh(**given) == before} == unused(made) & set(tried)


def test_no_wall_width_is_proposed_for_a_drawing() -> None:
    """Twelve leaves on a band of 6 mm have veins and lobes too thin to make."""
    made = design("motif", "raised")
    report = make_ring(made, 0.03).report
    thin = [finding for finding in report.findings if finding.kind in (Kind.THIN_RIDGE, Kind.THIN_GROOVE)]
    assert thin
    for finding in thin:
        moves = moves_for(finding, made, report.readings)
        assert moves
        assert {(each.relief.wall_width_mm, each.relief.top_size) for each in moves} == {
            (made.relief.wall_width_mm, made.relief.top_size)
        }


def test_wider_grooves_are_proposed_between_growth_rings() -> None:
    made = design("growth_rings", "raised", wall_width=0.2)
    report = make_ring(made, 0.03).report
    groove = next(finding for finding in report.findings if finding.kind is Kind.THIN_GROOVE)
    moves = moves_for(groove, made, report.readings)
    assert any((each.relief.wall_width_mm or 0.0) > 0.3 for each in moves)
