import pytest

from ringtex.basics.errors import InputError
from ringtex.checks.making.alloys import ALLOYS, ELEMENT_DENSITY_G_CM3, alloy_named, density_by_mixture, weight_g

# Densities as printed, lowest and highest: a data sheet and trade tables (925), trade recipe tables and articles
# (gold), trade tables that disagree (platinum with cobalt, palladium).
PRINTED = {
    "silver_999": (10.49, 10.50),
    "silver_925": (10.36, 10.40),
    "gold_999": (19.3, 19.36),
    "gold_917": (17.7, 17.8),
    "gold_750_yellow": (15.58, 15.58),
    "gold_750_rose": (15.1, 15.1),
    "gold_750_white_palladium": (14.7, 16.9),
    "gold_750_white_nickel": (14.64, 14.8),
    "gold_585_yellow": (13.7, 13.7),
    "gold_375_yellow": (11.1, 11.4),
    "gold_375_white_nickel": (10.7, 10.7),
    "platinum_950_ruthenium": (20.70, 20.70),
    "platinum_950_cobalt": (20.1, 20.8),
    "platinum_900_iridium": (21.54, 21.54),
    "palladium_950": (12.0, 12.3),
}
AGREEMENT = 0.007
"""Printed values are rounded to 0.1 and recipes differ: the rule of mixtures is good to about 0.7 %, except in 9 ct
white gold, where it is 1.5 % high."""


@pytest.mark.parametrize(("key", "printed"), PRINTED.items())
def test_densities_lie_where_they_are_printed(key: str, printed: tuple[float, float]) -> None:
    share = 0.016 if key == "gold_375_white_nickel" else AGREEMENT
    assert printed[0] * (1.0 - share) <= ALLOYS[key].density_g_cm3 <= printed[1] * (1.0 + share)


def test_trade_range_table() -> None:
    # A trade range table repeated on a metal-finishing forum: windows by fineness.
    windows = {375: (10.8, 12.7), 585: (12.9, 14.6), 750: (14.6, 16.9), 916: (17.7, 17.8)}
    for alloy in ALLOYS.values():
        if alloy.key.startswith("gold") and alloy.fineness in windows:
            low, high = windows[alloy.fineness]
            assert low <= alloy.density_g_cm3 <= high


def test_rule_of_mixtures_worked() -> None:
    # 1 / (0.925 / 10.50 + 0.075 / 8.96), elements from CRC 80th ed.
    assert density_by_mixture({"Ag": 925, "Cu": 75}) == pytest.approx(10.36637, abs=1e-5)
    assert density_by_mixture({"Au": 1.0}) == ELEMENT_DENSITY_G_CM3["Au"]


def test_brass_is_a_handbook_value_because_mixtures_do_not_hold() -> None:
    # C26000: 8.53 in handbooks (from memory); the rule of mixtures gives 8.321, 2.5 % low.
    brass = ALLOYS["brass"]
    assert density_by_mixture(brass.shares) == pytest.approx(8.321, abs=1e-3)
    assert brass.density_g_cm3 == pytest.approx(8.53)
    assert not brass.by_mixture
    assert brass.density_g_cm3 > 1.02 * density_by_mixture(brass.shares)


def test_shares_add_up_and_reach_the_fineness() -> None:
    # ISO 9202: finenesses are minimum values without a minus tolerance.
    metals = {"g": "Au", "s": "Ag", "p": None, "b": None}
    for alloy in ALLOYS.values():
        total = sum(alloy.shares.values())
        if alloy.by_mixture:
            assert total == pytest.approx(100.0, abs=0.3)
            assert "rule of mixtures" in alloy.source
        main = metals.get(alloy.key[0])
        if alloy.fineness and main:
            assert 1000.0 * alloy.shares[main] / total >= alloy.fineness - 1.0
        assert alloy.source


def test_only_nickel_alloys_say_so() -> None:
    assert {key for key, alloy in ALLOYS.items() if alloy.contains_nickel} == {
        "gold_750_white_nickel",
        "gold_375_white_nickel",
    }
    assert not ALLOYS["wax"].is_metal


def test_weight_of_metal_from_wax() -> None:
    # The trade's rule: metal weight = wax weight x metal density / wax density.
    wax, gold = weight_g(500.0, ALLOYS["wax"]), weight_g(500.0, ALLOYS["gold_750_yellow"])
    assert gold == pytest.approx(wax * ALLOYS["gold_750_yellow"].density_g_cm3 / ALLOYS["wax"].density_g_cm3)
    assert weight_g(1000.0, ALLOYS["silver_999"]) == 10.5


@pytest.mark.parametrize("shares", [{}, {"Xx": 1.0}, {"Ag": 0.0}, {"Ag": -1.0}, {"Ag": float("nan")}])
def test_impossible_alloys_are_refused(shares: dict[str, float]) -> None:
    with pytest.raises(InputError) as refused:
        density_by_mixture(shares)
    assert refused.value.where == "make.alloy"


def test_unknown_alloy_lists_the_known() -> None:
    with pytest.raises(InputError, match="silver_925"):
        alloy_named("unobtainium")
