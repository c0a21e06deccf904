"""A zoo of designs as files give them: sound ones of every kind, and spoilt ones with the key that must be named."""

from __future__ import annotations

import copy
from typing import Any, Final

Json = dict[str, Any]


def plain_design(**changes: Any) -> Json:
    """A flat band of hexagons with other keys in place of its own."""
    station = {"angle": 0, "width": 8, "height": 1.6, "edge_height": 1.6}
    design = {
        "kind": "ringtex.design",
        "version": 2,
        "size": {"scale": "iso", "value": "54"},
        "band": {"section": "flat", "stations": [station]},
        "pattern": {"family": "hexagon", "around": 24, "across": 6},
    }
    return copy.deepcopy({**design, **changes})


def station(angle: float, width: float, height: float, edge: float, fullness: float = 2.0) -> Json:
    return {"angle": angle, "width": width, "height": height, "edge_height": edge, "fullness": fullness}


def band(section: str | None, *stations: Json, mirror: bool = True) -> Json:
    return {"section": section, "stations": list(stations), "mirror": mirror}


TAPERED: Final = band("court", station(0, 7, 2.4, 1.2), station(180, 4, 1.6, 1.0))
DOME: Final = band(None, station(0, 18, 9, 1.2), station(180, 5, 1.5, 1.2))
CROOKED: Final = band(
    None, station(20, 9, 4, 1.2, 2.5), station(-100, 6, 2, 1.0), station(170, 5, 1.8, 1.0), mirror=False
)

SOUND: Final[dict[str, Json]] = {
    "flat": plain_design(),
    "half-round": plain_design(band=band("half_round", station(0, 6, 2.2, 1.0))),
    "court": plain_design(band=band("court", station(0, 5, 2.0, 1.2))),
    "knife-edge": plain_design(band=band("knife_edge", station(0, 6, 2.6, 1.2))),
    "full": plain_design(band=band(None, station(0, 6, 2.0, 1.0, 6.0))),
    "comfort bore": plain_design(bore={"shape": "comfort", "rise": 0.4}),
    "tapered": plain_design(band=TAPERED),
    "dome": plain_design(band=DOME, pattern={"across": "auto"}),
    "crooked": plain_design(band=CROOKED, pattern={"across": "auto"}),
    "keeps area": plain_design(band=TAPERED, strip={"keep": "area"}),
    "keeps length": plain_design(band=TAPERED, strip={"keep": "length"}),
    "rails": plain_design(rails={"lower": 0.5, "upper": 1.1}),
    "brick": plain_design(pattern={"family": "brick", "around": 20, "across": 5}),
    "diamond": plain_design(pattern={"family": "diamond", "around": 20, "across": "auto"}),
    "cellular": plain_design(pattern={"family": "cellular", "around": 20, "across": 5, "scatter": 0.7, "seed": 4}),
    "scattered": plain_design(pattern={"family": "hexagon", "around": 20, "scatter": 0.8, "seed": 4}),
    "slid and twisted": plain_design(pattern={"slide": [1.7, 0.4], "twist": 2}),
    "sunk": plain_design(relief={"form": "sunk", "depth": 0.4}),
    "pillow": plain_design(relief={"form": "pillow"}),
    "dish": plain_design(relief={"form": "dish", "depth": 0.2}),
    "peak": plain_design(relief={"form": "peak", "wall_width": 0.1}),
    "step": plain_design(relief={"form": "step", "corner": 0}),
    "top size": plain_design(relief={"top_size": 0.6}),
    "random depth": plain_design(relief={"depth_scatter": 1, "seed": 9}),
    "US size": plain_design(size={"scale": "us", "value": "6 3/4"}),
    "cells changed": plain_design(
        edits={"cells": [{"u": 0.5, "v": 0.5, "depth": -1}, {"u": 0.1, "v": 0.4, "depth": 0}]}
    ),
    "sites changed": plain_design(
        pattern={"family": "cellular", "around": 20, "across": 5, "scatter": 0.5},
        edits={
            "sites": {
                "pinned": [{"u": 0.3, "v": 0.5}],
                "added": [{"u": 1, "v": 0.5}],
                "removed": [{"u": 0.6, "v": 0.2}],
                "moved": [{"u": 0.01, "v": 0.5, "to_u": 0.98, "to_v": 0.45}],
            }
        },
    ),
    "stones": plain_design(
        stones=[
            {"u": 0.5, "v": 0.5, "diameter": 1.5},
            {"count": 3, "stone": {"u": 0.1, "v": 0.5, "carat": 0.01}, "spacing": 2.5, "also_opposite": True},
        ]
    ),
    "hollow": plain_design(band=DOME, rails={"lower": 0.5, "upper": 0.5}, hollow={"wall": 1}),
    "hollow with a floor": plain_design(
        band=DOME,
        rails={"lower": 0.5, "upper": 0.5},
        hollow={"floor": 0.8, "reach": 70, "drains": [{"angle": 20}, {"angle": -20, "along": 2, "diameter": 1}]},
        stones=[{"u": 0.5, "v": 0.5, "diameter": 2}],
    ),
    "plain places": plain_design(
        plain=[
            {"u": 0, "v": 0.5, "width": 6, "height": 12, "fade": 2},
            {"u": 0.5, "v": 0.5, "width": 3, "shape": "round", "level": "top", "fade": 1},
        ],
        stones=[{"u": 0.03, "v": 0.5, "diameter": 1.2}, {"u": 0.5, "v": 0.5, "diameter": 1.2}],
    ),
    "pierced": plain_design(
        pattern={"around": 20, "across": 3},
        relief={"form": "pierced", "depth": 0.2, "wall_width": 0.8},
        rails={"lower": 0.8, "upper": 0.8},
        plain=[{"u": 0, "v": 0.5, "width": 4, "height": 12}],
    ),
    "inscription": plain_design(inscription={"text": "Ring 24 – für Åse", "height": 1.2}),
    "raised inscription": plain_design(inscription={"text": "8", "raised": True, "angle": 30, "along": -1}),
    "reserved keys left empty": plain_design(hollow=None, stones=[], plain=[]),
}


def without(*path: str) -> Json:
    """The plain design without one key."""
    design = plain_design()
    inner = design
    for key in path[:-1]:
        inner = inner[key]
    del inner[path[-1]]
    return design


SPOILT: Final[dict[str, tuple[Json, str]]] = {
    "no kind": (without("kind"), "kind"),
    "other kind": (plain_design(kind="drawing"), "kind"),
    "no version": (without("version"), "version"),
    "newer version": (plain_design(version=99), "version"),
    "version in words": (plain_design(version="one"), "version"),
    "no size": (without("size"), "size"),
    "no band": (without("band"), "band"),
    "no scale": (without("size", "scale"), "size.scale"),
    "unknown key": (plain_design(sise=1), "sise"),
    "unknown inner key": (plain_design(pattern={"arround": 24}), "pattern.arround"),
    "size as a number": (plain_design(size={"scale": "iso", "value": 54}), "size.value"),
    "no such scale": (plain_design(size={"scale": "moon", "value": "54"}), "size.scale"),
    "negative size": (plain_design(size={"scale": "iso", "value": "-54"}), "size.value"),
    "absurd size": (plain_design(size={"scale": "iso", "value": "9999"}), "size.value"),
    "no such section": (plain_design(band=band("round", station(0, 8, 1.6, 1.6))), "band.section"),
    "no stations": (plain_design(band=band("flat")), "band.stations"),
    "width 0": (plain_design(band=band("flat", station(0, 0, 1.6, 1.6))), "band.stations[0].width"),
    "width -8": (plain_design(band=band("flat", station(0, -8, 1.6, 1.6))), "band.stations[0].width"),
    "width 1e9": (plain_design(band=band("flat", station(0, 1e9, 1.6, 1.6))), "band.stations[0].width"),
    "edge above crown": (plain_design(band=band(None, station(0, 8, 1.6, 2))), "band.stations[0].edge_height"),
    "text in a station": (plain_design(band={"section": "flat", "stations": ["head"]}), "band.stations[0]"),
    "same angle twice": (plain_design(band=band(None, station(9, 8, 2, 1), station(9, 7, 2, 1))), "band.stations[1]"),
    "bore shape": (plain_design(bore={"shape": "square"}), "bore.shape"),
    "straight bore with a rise": (plain_design(bore={"rise": 0.3}), "bore.rise"),
    "keep what": (plain_design(strip={"keep": "everything"}), "strip.keep"),
    "no such family": (plain_design(pattern={"family": "zigzag"}), "pattern.family"),
    "around 0": (plain_design(pattern={"around": 0}), "pattern.around"),
    "around 10 million": (plain_design(pattern={"around": 10_000_000}), "pattern.around"),
    "around 2.5": (plain_design(pattern={"around": 2.5}), "pattern.around"),
    "across words": (plain_design(pattern={"across": "many"}), "pattern.across"),
    "across 10 million": (plain_design(pattern={"across": 10_000_000}), "pattern.across"),
    "scatter 2": (plain_design(pattern={"scatter": 2}), "pattern.scatter"),
    "slide of one": (plain_design(pattern={"slide": [1]}), "pattern.slide"),
    "half a twist": (plain_design(pattern={"twist": 0.5}), "pattern.twist"),
    "depth 0": (plain_design(relief={"depth": 0}), "relief.depth"),
    "depth 100": (plain_design(relief={"depth": 100}), "relief.depth"),
    "depth true": (plain_design(relief={"depth": True}), "relief.depth"),
    "no such form": (plain_design(relief={"form": "wavy"}), "relief.form"),
    "wall width and top size": (plain_design(relief={"wall_width": 0.4, "top_size": 0.5}), "relief"),
    "neither": (plain_design(relief={"wall_width": None, "top_size": None}), "relief"),
    "overhanging flank": (plain_design(relief={"flank": 120}), "relief.flank"),
    "negative rail": (plain_design(rails={"lower": -1}), "rails.lower"),
    "no such alloy": (plain_design(make={"alloy": "cheese"}), "make.alloy"),
    "no such process": (plain_design(make={"process": "wish"}), "make.process"),
    "shrinkage": (plain_design(make={"shrinkage_percent": 90}), "make.shrinkage_percent"),
    "edited cell beyond the strip": (
        plain_design(edits={"cells": [{"u": 0, "v": 0, "depth": 1}, {"u": 1.5, "v": 0, "depth": 1}]}),
        "edits.cells[1].u",
    ),
    "edited cell without a depth": (plain_design(edits={"cells": [{"u": 0, "v": 0}]}), "edits.cells[0].depth"),
    "edited cell too deep": (plain_design(edits={"cells": [{"u": 0, "v": 0, "depth": 9}]}), "edits.cells[0].depth"),
    "site moved nowhere": (plain_design(edits={"sites": {"moved": [{"u": 0, "v": 0}]}}), "edits.sites.moved[0].to_u"),
    "site in words": (plain_design(edits={"sites": {"added": ["head"]}}), "edits.sites.added[0]"),
    "no such edit": (plain_design(edits={"walls": []}), "edits.walls"),
    "thick wall": (plain_design(hollow={"wall": 99}), "hollow.wall"),
    "closed without drains": (plain_design(hollow={"floor": 0.9}), "hollow.drains"),
    "drain off the ring": (plain_design(hollow={"floor": 0.9, "drains": [{"angle": 400}]}), "hollow.drains[0].angle"),
    "open with drains": (plain_design(hollow={"drains": [{"angle": 0}]}), "hollow.drains"),
    "stones of no size": (plain_design(stones=[{"u": 0.5, "v": 0.5}]), "stones[0].diameter"),
    "stone beyond the strip": (plain_design(stones=[{"u": 2, "v": 0.5, "diameter": 1}]), "stones[0].u"),
    "stone of two sizes": (plain_design(stones=[{"u": 0, "v": 0, "diameter": 1, "carat": 1}]), "stones[0].carat"),
    "stone of 1000 carat": (plain_design(stones=[{"u": 0, "v": 0, "carat": 1000}]), "stones[0].carat"),
    "stone's table": (
        plain_design(stones=[{"u": 0, "v": 0, "diameter": 1, "proportions": {"table": 2}}]),
        "stones[0].proportions.table",
    ),
    "row of none": (
        plain_design(stones=[{"count": 0, "stone": {"u": 0, "v": 0.5, "diameter": 1}}]),
        "stones[0].count",
    ),
    "plain place of no width": (plain_design(plain=[{"u": 0, "v": 0.5}]), "plain[0].width"),
    "plain place of a shape": (plain_design(plain=[{"u": 0, "v": 0, "width": 2, "shape": "star"}]), "plain[0].shape"),
    "too many plain places": (plain_design(plain=[{"u": 0, "v": 0.5, "width": 2}] * 25), "plain"),
    "inscription of nothing": (plain_design(inscription={"text": "  "}), "inscription.text"),
    "inscription in a picture": (plain_design(inscription={"text": "a", "font": "a.png"}), "inscription.font"),
    "long name": (plain_design(name="x" * 10_000), "name"),
    "name of two lines": (plain_design(name="a\nb"), "name"),
}

MISFITS: Final[dict[str, tuple[Json, str]]] = {
    "rail wider than the band": (plain_design(rails={"lower": 9}), "rails"),
    "rails as wide as the band": (plain_design(rails={"lower": 4, "upper": 4}), "rails"),
    "evenness of a lattice": (plain_design(pattern={"family": "brick", "evenness": 1}), "pattern.evenness"),
    "too steep": (plain_design(band=band(None, station(0, 30, 12, 1), station(9, 2, 1, 1))), "band.stations"),
    "a closed hollow under pierced cells": (
        plain_design(
            band=DOME, relief={"form": "pierced"}, hollow={"floor": 0.8, "reach": 70, "drains": [{"angle": 20}]}
        ),
        "hollow.floor",
    ),
    "a line longer than the bore": (plain_design(inscription={"text": "m" * 60}), "inscription.height"),
    "letters over the edge": (plain_design(inscription={"text": "M", "along": 3.8}), "inscription.height"),
    "no such letter": (plain_design(inscription={"text": "字"}), "inscription.text"),
    "no such font file": (plain_design(inscription={"text": "a", "font": "no/such.ttf"}), "inscription.font"),
    "letters over the hollow": (
        plain_design(band=DOME, rails={"lower": 0.5, "upper": 0.5}, hollow={}, inscription={"text": "a", "angle": 0}),
        "inscription.angle",
    ),
    "plain places that overlap": (
        plain_design(plain=[{"u": 0.99, "v": 0.5, "width": 4}, {"u": 0.02, "v": 0.5, "width": 3, "shape": "round"}]),
        "plain[1]",
    ),
    "no room for a hollow": (plain_design(hollow={"wall": 1.5}), "hollow.wall"),
    "lips too wide": (plain_design(hollow={"lip": 4}), "hollow.lip"),
    "row longer than the ring": (
        plain_design(stones=[{"count": 30, "stone": {"u": 0, "v": 0.5, "diameter": 2}, "spacing": 3}]),
        "stones[0].spacing",
    ),
    "comfort bore through the edge": (plain_design(bore={"shape": "comfort", "rise": 1.5}), "bore.rise"),
}
"""Options that are each in range but cannot be built together: refused by the stages, with the key to change."""
