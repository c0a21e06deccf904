"""Usual cautions: what can hurt the wearer or the maker, and who has the last word."""

from __future__ import annotations

from dataclasses import dataclass

from ringtex.checks.making.make_options import MakeOptions
from ringtex.checks.making.making_limits import Process


@dataclass(frozen=True)
class Caution:
    """One caution: a key, a plain sentence or two, and where the figures come from."""

    key: str
    text: str
    source: str


RING_SNAG = Caution(
    "ring_snag",
    "A ring that catches can tear the skin or the finger off. Take rings off at machinery, in sport and when climbing.",
    "medical pages on ring avulsion injury (Urbaniak's classes)",
)
SHARP_EDGES = Caution(
    "sharp_edges",
    "Fresh ridges and edges are sharp. Break and round every edge that is worn by 0.2 to 0.3 mm before trying the "
    "ring on.",
    "common practice, no source",
)
NICKEL = Caution(
    "nickel",
    "This alloy contains nickel, a common skin allergen. In the EU finger rings may release at most 0.5 micrograms per "
    "square centimetre and week; have the finished piece tested, and follow the law where it is sold.",
    "REACH Annex XVII entry 27; test by EN 1811",
)
UNCURED_RESIN = Caution(
    "uncured_resin",
    "Uncured resin and the alcohol it was washed in irritate and sensitise the skin. Wear nitrile gloves and goggles, "
    "air the room, and follow the resin's safety data sheet.",
    "industry association fact sheet on acrylate resins",
)
RESIN_WORN = Caution(
    "resin_worn",
    "A printed resin model is for trying the size and look, not for wearing on the skin, unless its maker says so.",
    "common practice, no source",
)
BURN_OUT = Caution(
    "burn_out",
    "Burning out wax or resin gives carbon monoxide, acrolein and formaldehyde. Use a vented kiln with exhaust, and "
    "leave it to people trained for it.",
    "Haz-Map, Lost-wax casting",
)
INVESTMENT_DUST = Caution(
    "investment_dust",
    "Investment powder is mostly crystalline silica, which scars the lungs. Wear a fitted respirator when mixing and "
    "breaking out, and keep the dust wet.",
    "Haz-Map, Lost-wax casting",
)
METAL_POWDER = Caution(
    "metal_powder",
    "Fine metal powder can burn and harms the lungs. Leave printing and cleaning to a service equipped for it.",
    "common practice, no source",
)
SEALED_HOLLOW = Caution(
    "sealed_hollow",
    "A sealed hollow can burst when it is heated. Leave a vent open for soldering, pickling and casting.",
    "jewellers' practice",
)
LOCAL_RULES = Caution(
    "local_rules",
    "Local codes, the data sheets of your materials and licensed or trained practice come before anything said here.",
    "common practice, no source",
)


def cautions_for(make: MakeOptions, hollow: bool = False) -> list[Caution]:
    """The cautions that apply to a ring of that alloy and process; the wearer's come first."""
    printed_resin = make.way.prints_resin or make.alloy == "resin"
    model = make.way is Process.PRINT_MODEL or not make.material.is_metal
    chosen = {
        RING_SNAG: True,
        SHARP_EDGES: True,
        NICKEL: make.material.contains_nickel,
        RESIN_WORN: model and printed_resin,
        UNCURED_RESIN: printed_resin,
        BURN_OUT: make.way.casts,
        INVESTMENT_DUST: make.way.casts,
        METAL_POWDER: make.way is Process.PRINT_METAL,
        SEALED_HOLLOW: hollow,
        LOCAL_RULES: True,
    }
    return [caution for caution, applies in chosen.items() if applies]
