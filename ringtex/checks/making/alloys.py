"""Densities of casting metals, waxes and resins, each with its source."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

from ringtex.basics.errors import InputError
from ringtex.basics.known_names import unknown_name

ELEMENT_DENSITY_G_CM3: Final[dict[str, float]] = {
    "Au": 19.3,
    "Ag": 10.50,
    "Cu": 8.96,
    "Zn": 7.133,
    "Ni": 8.902,
    "Co": 8.9,
    "Pd": 12.02,
    "Pt": 21.45,
    "Ir": 22.42,
    "Ru": 12.41,
    "Rh": 12.41,
    "Ga": 5.904,
    "In": 7.31,
    "Sn": 7.31,
    "Ge": 5.323,
    "Si": 2.33,
    "Mn": 7.33,
}
"""Source: CRC Handbook of Chemistry and Physics, 80th ed. (1999), as listed in the public-domain `periodictable` table.
Other pages print 19.32 for gold and the modern 22.56 for iridium; the difference in an alloy is under 0.1 %."""


def density_by_mixture(shares: Mapping[str, float]) -> float:
    """Density in g/cm3 of an alloy from its elements' mass shares (of any total): 1 / sum(share / density).

    Holds within about 1 % for gold, silver and platinum alloys; for brass it is some 2.5 % too low. Raises `InputError`
    for an unknown element or shares that are not positive numbers.
    """
    unknown = sorted(set(shares) - set(ELEMENT_DENSITY_G_CM3))
    if unknown:
        known = ", ".join(ELEMENT_DENSITY_G_CM3)
        raise InputError(f"no density is known for {', '.join(unknown)}", f"Use {known}", "make.alloy")
    if not shares or not all(math.isfinite(share) and share > 0.0 for share in shares.values()):
        raise InputError(
            "an alloy's shares must be positive numbers", "Give parts by mass, such as 925 and 75", "make.alloy"
        )
    volume = sum(share / ELEMENT_DENSITY_G_CM3[element] for element, share in shares.items())
    return sum(shares.values()) / volume


@dataclass(frozen=True)
class Alloy:
    """A material to make a ring of.

    key is what design files carry; fineness is in parts per thousand by mass, None where the trade marks none. shares
    are parts by mass. by_mixture says that the density was computed from them; else it was printed: see source.
    """

    key: str
    name: str
    fineness: int | None
    density_g_cm3: float
    source: str
    shares: Mapping[str, float] = field(default_factory=dict, compare=False)
    by_mixture: bool = False

    @property
    def contains_nickel(self) -> bool:
        """Nickel is part of the recipe: it calls for a caution."""
        return self.shares.get("Ni", 0.0) > 0.0

    @property
    def is_metal(self) -> bool:
        """False for wax and resin."""
        return bool(self.shares)


def _mixed(key: str, name: str, fineness: int, source: str, **shares: float) -> Alloy:
    density = density_by_mixture(shares)
    return Alloy(key, name, fineness, density, f"rule of mixtures; {source}", shares, by_mixture=True)


_TABLE: Final = (
    Alloy("silver_999", "fine silver", 999, 10.50, "CRC Handbook, 80th ed.", {"Ag": 1.0}),
    _mixed("silver_958", "Britannia silver", 958, "95.8 Ag, the rest copper", Ag=95.8, Cu=4.2),
    _mixed("silver_925", "sterling silver", 925, "92.5 Ag 7.5 Cu; a data sheet prints 10.36", Ag=92.5, Cu=7.5),
    Alloy("gold_999", "fine gold", 999, 19.3, "CRC Handbook, 80th ed.; other pages print 19.32", {"Au": 1.0}),
    _mixed(
        "gold_917", "22 ct yellow gold", 916, "recipe of a general article; tables print 17.7 to 17.8",
        Au=91.67, Ag=5.0, Cu=2.0, Zn=1.33,
    ),
    _mixed("gold_750_yellow", "18 ct yellow gold", 750, "trade recipe; printed 15.58", Au=75.0, Ag=16.0, Cu=9.0),
    _mixed("gold_750_rose", "18 ct rose gold", 750, "article's recipe; printed 15.1", Au=75.0, Ag=2.75, Cu=22.25),
    _mixed(
        "gold_750_white_palladium", "18 ct white gold with palladium", 750, "trade recipe; tables print 14.7 to 16.9",
        Au=75.0, Ag=4.0, Cu=4.0, Pd=17.0,
    ),
    _mixed(
        "gold_750_white_nickel", "18 ct white gold with nickel", 750, "recipe from memory; printed 14.64 to 14.8",
        Au=75.0, Cu=8.5, Ni=11.0, Zn=5.5,
    ),
    _mixed("gold_585_yellow", "14 ct yellow gold", 585, "article's recipe; printed 13.7", Au=58.5, Ag=25.0, Cu=16.5),
    _mixed(
        "gold_375_yellow", "9 ct yellow gold", 375, "trade recipe; printed 11.1 and 11.4",
        Au=37.5, Ag=10.0, Cu=45.0, Zn=7.5,
    ),
    _mixed(
        "gold_375_white_nickel", "9 ct white gold with nickel", 375, "trade recipe; printed 10.7",
        Au=37.8, Cu=40.0, Zn=10.4, Ni=11.8,
    ),
    _mixed("platinum_950_ruthenium", "platinum 950 with ruthenium", 950, "95 Pt 5 Ru; printed 20.70", Pt=95.0, Ru=5.0),
    _mixed(
        "platinum_950_cobalt", "platinum 950 with cobalt", 950, "95 Pt 5 Co; trade tables disagree: 20.1, 20.8",
        Pt=95.0, Co=5.0,
    ),
    _mixed("platinum_900_iridium", "platinum 900 with iridium", 900, "90 Pt 10 Ir; printed 21.54", Pt=90.0, Ir=10.0),
    _mixed("palladium_950", "palladium 950 with ruthenium", 950, "95.2 Pd 4.8 Ru; printed 12.00", Pd=95.2, Ru=4.8),
    Alloy(
        "brass", "brass, 70 copper 30 zinc", None, 8.53,
        "handbook value from memory; the rule of mixtures (8.32) does not hold for brass", {"Cu": 70.0, "Zn": 30.0},
    ),
    Alloy("bronze", "bronze, 90 copper 10 tin", None, 8.78, "handbook value from memory", {"Cu": 90.0, "Sn": 10.0}),
    Alloy("wax", "carving or injection wax", None, 0.95, "a trade forum's table; others take 1.00"),
    Alloy("resin", "cured casting resin", None, 1.15, "typical 1.1 to 1.2, from memory: take your resin's data sheet"),
)  # fmt: skip

ALLOYS: Final[dict[str, Alloy]] = {alloy.key: alloy for alloy in _TABLE}
"""Every alloy by its key."""


def alloy_named(key: str) -> Alloy:
    """The alloy of that key. Raises `InputError` that lists the keys."""
    if not isinstance(key, str) or key not in ALLOYS:
        titles = {alloy.key: alloy.name for alloy in _TABLE}
        raise unknown_name(f'"{str(key)[:40]}" is not an alloy ringtex knows', key, ALLOYS, "make.alloy", titles=titles)
    return ALLOYS[key]


def weight_g(volume_mm3: float, alloy: Alloy) -> float:
    """Weight in grams of a solid of that volume, without sprues and before polishing."""
    return volume_mm3 * alloy.density_g_cm3 / 1000.0
