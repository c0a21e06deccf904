"""The making profile: own limits, what a process asks, findings with figures."""

from __future__ import annotations

import math
from dataclasses import fields

import pytest

from ringtex.basics.errors import InputError
from ringtex.checks.finding import Finding, Kind, Level
from ringtex.checks.making.make_options import MakeOptions
from ringtex.checks.making.making_limits import LIMITS, OWN_SOURCE, Limit, MakingLimits, OwnLimits, Process
from ringtex.checks.making.process_checks import check_process
from ringtex.relief.relief_options import ReliefOptions


def test_own_limits_stand_in_place_of_the_shipped_ones_and_nothing_else_changes() -> None:
    make = MakeOptions(limits=OwnLimits(ridge_mm=0.22, heavy_g=12.0, off_axis_mm=2.0))
    limits, shipped = make.making_limits, LIMITS[make.way]
    assert limits.ridge_mm == Limit(0.22, 0.22, OWN_SOURCE)
    assert limits.ridge_mm.judge(0.22) is None
    assert limits.ridge_mm.judge(0.219) is Level.ERROR
    assert (limits.heavy_g, limits.heavy_source, limits.off_axis_source) == (12.0, OWN_SOURCE, OWN_SOURCE)
    assert (limits.groove_mm, limits.metal_mm) == (shipped.groove_mm, shipped.metal_mm)


def test_every_limit_can_be_the_makers_own() -> None:
    limits = {field.name for field in fields(MakingLimits) if not field.name.endswith("_source")}
    assert limits - {"polish", "shrinkage"} == {field.name for field in fields(OwnLimits)}


@pytest.mark.parametrize("value", [math.nan, math.inf, -0.1, 21.0, "1", True])
def test_absurd_own_limits_are_refused(value: float) -> None:
    with pytest.raises(InputError) as refused:
        OwnLimits(hollow_wall_mm=value)
    assert refused.value.where == "make.limits.hollow_wall"


def test_every_limit_and_allowance_of_every_process_has_a_source() -> None:
    for process in Process:
        limits = LIMITS[process]
        assert process.words
        for field in fields(limits):
            value = getattr(limits, field.name)
            if isinstance(value, Limit):
                assert 0.0 <= value.least <= value.near
            if not isinstance(value, float | str):
                assert value.source


def test_polishing_on_one_measured_ring() -> None:
    """Teague's ring: thickness 1.91 cast, 1.72 finished; bore 19.63 and 19.82: 0.095 off each face."""
    usual = LIMITS[Process.PRINT_AND_CAST].polish.usual
    assert usual == pytest.approx((1.91 - 1.72) / 2.0, abs=0.01)
    assert usual == pytest.approx((19.82 - 19.63) / 2.0, abs=0.01)


def check(relief: dict[str, object], process: Process, polish: float = 0.0, **given: object) -> list[Finding]:
    options = ReliefOptions(**{"depth_mm": 0.3, "flank_deg": 70.0, **relief})  # type: ignore[arg-type]
    return check_process(options, MakeOptions(process=process.value, polish_mm=polish), **given)  # type: ignore[arg-type]


def test_a_good_design_has_no_findings() -> None:
    for process in Process:
        assert check({}, process, 0.05, holes=(("stone 1", 1.2),)) == []


def test_relief_that_polishing_leaves_too_low() -> None:
    (found,) = check({"depth_mm": 0.15}, Process.PRINT_AND_CAST, 0.1)
    assert (found.kind, found.level, found.limit_name) == (Kind.LOW_RELIEF, Level.ERROR, "relief_mm")
    assert found.measured == pytest.approx(0.05)
    assert found.limit == pytest.approx(0.1)
    assert "0.20" in found.advice


def test_flanks_that_a_mould_would_hold() -> None:
    (found,) = check({"flank_deg": 88.0}, Process.MOULD_AND_CAST)
    assert (found.kind, found.level, found.measured) == (Kind.STEEP_FLANK, Level.ERROR, 2.0)
    assert "87 degrees or less" in found.advice
    assert check({"flank_deg": 88.0}, Process.PRINT_AND_CAST) == []
    assert check({"flank_deg": 88.0, "form": "pillow"}, Process.MOULD_AND_CAST) == []


def test_the_smallest_hole_is_named() -> None:
    holes = (("stone 1", 0.55), ("drain 1", 0.4), ("stone 2", 1.0))
    (found,) = check({}, Process.PRINT_AND_CAST, holes=holes)
    assert (found.kind, found.level, found.measured, found.limit) == (Kind.SMALL_HOLE, Level.ERROR, 0.4, 0.5)
    assert "drain 1 (and 1 more)" in found.message


def test_a_dome_cannot_be_bent_from_flat() -> None:
    (found,) = check({}, Process.ENGRAVE_FLAT, bends_from_flat=False)
    assert found.kind is Kind.NOT_FROM_FLAT
    assert check({}, Process.PRINT_AND_CAST, bends_from_flat=False) == []
