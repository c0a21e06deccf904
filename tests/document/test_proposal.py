"""Proposals: the bad design is cleared, by what can be explained, in few drafts, the same every time."""

from __future__ import annotations

import pytest
from document.bad_design import bad_design
from zoo import band, plain_design, station

from ringtex.basics.errors import Cancelled, InputError
from ringtex.basics.progress import Progress
from ringtex.checks.finding import Kind, Level
from ringtex.design.design_file import design_from_json
from ringtex.document.proposal import MAX_BUILDS, propose
from ringtex.edits.design_differences import design_changes
from ringtex.make_ring import make_ring

WORN_FLAT = band("flat", station(0, 8, 1.4, 1.4))
EVEN = {"around": 24, "across": 4}


def test_the_bad_design_is_cleared_at_the_final_tolerance_too() -> None:
    bad = design_from_json(bad_design() | {"pattern": {"around": 10}})
    proposal = propose(bad, tolerance_mm=0.1)
    kinds = {finding.kind for finding in proposal.findings_before if finding.level is not Level.NOTE}
    assert kinds >= {Kind.THIN_METAL, Kind.THIN_RIDGE, Kind.LOW_RELIEF, Kind.STEEP_FLANK, Kind.HIGH_HEAD}
    assert proposal.clears
    assert proposal.builds <= MAX_BUILDS
    left = make_ring(proposal.design, 0.005).report.findings
    assert [f.kind for f in left if f.level is not Level.NOTE and f.kind is not Kind.DEGENERATE_TRIANGLES] == []
    assert proposal.changes == design_changes(bad, proposal.design)
    assert "flank 88 -> 85" in proposal.sentences


def test_a_thin_ridge_alone_changes_nothing_else() -> None:
    design = design_from_json(plain_design(pattern=EVEN, relief={"form": "sunk", "wall_width": 0.25}))
    proposal = propose(design)
    assert [change.key for change in proposal.changes] == ["relief.wall_width"]
    # A little over the limit of the process, as the ring measures it.
    assert 0.35 <= proposal.design.relief.wall_width_mm <= 0.37
    assert proposal.sentences == [f"ridge width 0.25 -> {proposal.design.relief.wall_width_mm:g}"]
    assert propose(design) == proposal


def test_cells_too_small_are_made_fewer_or_their_walls_narrower() -> None:
    proposal = propose(design_from_json(plain_design(pattern={"around": 70}, relief={"wall_width": 0.5})))
    assert proposal.findings_before[0].level is not Level.NOTE
    assert proposal.clears
    assert {change.key for change in proposal.changes} <= {"pattern.around", "relief.wall_width"}


def test_a_good_design_is_left_alone() -> None:
    design = design_from_json(plain_design(pattern=EVEN))
    proposal = propose(design)
    assert (proposal.design, proposal.changes, proposal.clears, proposal.builds) == (design, [], True, 1)


def test_own_limits_are_kept() -> None:
    body = plain_design(pattern=EVEN, relief={"form": "sunk", "wall_width": 0.4}, make={"limits": {"ridge": 0.6}})
    proposal = propose(design_from_json(body))
    assert proposal.clears
    assert proposal.design.relief.wall_width_mm == pytest.approx(0.61, abs=0.011)


def test_what_no_change_clears_is_told() -> None:
    body = plain_design(band=band("half_round", station(0, 6, 2.2, 1.0)), make={"process": "engrave_flat"})
    proposal = propose(design_from_json(body))
    assert not proposal.clears
    assert Kind.NOT_FROM_FLAT in {finding.kind for finding in proposal.findings_after}


def test_it_can_be_stopped_and_a_design_that_cannot_be_built_is_refused() -> None:
    progress = Progress(lambda stage, fraction: progress.cancel())
    with pytest.raises(Cancelled):
        propose(design_from_json(bad_design()), progress)
    with pytest.raises(InputError, match="rails"):
        propose(design_from_json(plain_design(rails={"lower": 5.0, "upper": 5.0})))


def test_relief_under_the_band_is_mended_by_height_or_depth() -> None:
    body = plain_design(band=WORN_FLAT, pattern=EVEN, relief={"form": "sunk", "depth": 0.8, "wall_width": 0.5})
    proposal = propose(design_from_json(body))
    assert proposal.clears
    assert {change.key for change in proposal.changes} <= {
        "relief.depth",
        "band.stations[0].height",
        "band.stations[0].edge_height",
    }
