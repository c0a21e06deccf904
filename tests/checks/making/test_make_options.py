import math

import pytest

from ringtex.basics.errors import InputError
from ringtex.checks.finding import Level
from ringtex.checks.making.cautions import cautions_for
from ringtex.checks.making.make_options import MakeOptions
from ringtex.checks.making.making_limits import LIMITS, Limit, Process


def test_pattern_scale_worked() -> None:
    # Computed: p = 1.25 % gives 1.012658, an inner diameter of 17.30 becomes 17.519, the volume grows by 1.03846.
    scale = MakeOptions(shrinkage_percent=1.25).pattern_scale
    assert scale == pytest.approx(1.012658, abs=1e-6)
    assert 17.30 * scale == pytest.approx(17.519, abs=1e-3)
    assert scale**3 == pytest.approx(1.03846, abs=1e-5)


@pytest.mark.parametrize("shrinkage", [math.nan, math.inf, -0.1, 15.1, "1", True])
def test_absurd_shrinkage_is_refused(shrinkage: float) -> None:
    with pytest.raises(InputError) as refused:
        MakeOptions(shrinkage_percent=shrinkage)
    assert refused.value.where == "make.shrinkage_percent"


def test_unknown_process_and_alloy_are_refused() -> None:
    with pytest.raises(InputError, match="print_and_cast"):
        MakeOptions(process="wishing")
    with pytest.raises(InputError, match="silver_925"):
        MakeOptions(alloy="wood")


def test_limits_judge() -> None:
    limit = Limit(0.8, 1.0)
    assert limit.judge(0.799) is Level.ERROR
    assert limit.judge(0.8) is Level.WARNING
    assert limit.judge(0.8 - 1e-9) is Level.WARNING
    assert limit.judge(1.0) is None


def test_every_process_has_sourced_limits() -> None:
    assert set(LIMITS) == set(Process)
    for limits in LIMITS.values():
        for limit in (limits.metal_mm, limits.edge_mm, limits.ridge_mm, limits.groove_mm):
            assert 0.0 < limit.least < limit.near
            assert limit.source


def keys(make: MakeOptions, hollow: bool = False) -> set[str]:
    return {caution.key for caution in cautions_for(make, hollow)}


def test_cautions_fit_the_ring() -> None:
    silver = keys(MakeOptions())
    assert {"ring_snag", "sharp_edges", "uncured_resin", "burn_out", "investment_dust", "local_rules"} == silver
    assert "nickel" in keys(MakeOptions(alloy="gold_750_white_nickel"))
    assert "uncured_resin" not in keys(MakeOptions(process="wax_and_cast"))
    assert "burn_out" not in keys(MakeOptions(process="print_metal"))
    assert "metal_powder" in keys(MakeOptions(process="print_metal"))
    assert "resin_worn" in keys(MakeOptions(alloy="resin", process="print_model"))
    assert "sealed_hollow" in keys(MakeOptions(), hollow=True)


def test_nickel_caution_states_the_legal_limit() -> None:
    # REACH Annex XVII entry 27: 0.5 micrograms / cm2 / week for articles such as finger rings.
    nickel = next(c for c in cautions_for(MakeOptions(alloy="gold_375_white_nickel")) if c.key == "nickel")
    assert "0.5 micrograms" in nickel.text
    assert "entry 27" in nickel.source
