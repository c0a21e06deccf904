"""Random designs, drawn from the options' own fields and limits: a new option is tried as soon as it is there."""

from __future__ import annotations

import random
import types
from dataclasses import MISSING, fields, is_dataclass, replace
from typing import Annotated, Any, Literal, Union, get_args, get_origin, get_type_hints

import numpy as np
import shapely

from ringtex.band.band_options import MAX_HEIGHT_MM, MAX_WIDTH_MM, BandOptions, Station
from ringtex.band.finger_size import FingerSize
from ringtex.basics.limits import Within
from ringtex.checks.making.alloys import ALLOYS
from ringtex.checks.making.making_limits import Process
from ringtex.design.design import Design
from ringtex.pattern.grown.grown_families import GROWN_FAMILIES
from ringtex.pattern.motif.motif_options import MotifOptions
from ringtex.pattern.motif.motif_outline import outline_text
from ringtex.pattern.motif.repeats import alternates
from ringtex.pattern.panels.panel_options import Panel
from ringtex.pattern.pattern_options import CELL_FAMILIES, FAMILIES, FREE_FORM_FAMILIES, OWN_FAMILIES
from ringtex.pattern.picture.grey_reader import picture_text
from ringtex.pattern.zone_options import ZoneOptions
from ringtex.relief.relief_options import FORMS, PICTURE_FORMS, forms_of

USUAL: dict[str, tuple[float, float]] = {
    "pattern.around": (3, 26), "pattern.across": (1, 5), "pattern.twist": (-2, 2), "pattern.slide_mm": (-6, 6),
    "pattern.seed": (0, 999), "rails.lower_mm": (0, 1.2), "rails.upper_mm": (0, 1.2), "relief.depth_mm": (0.05, 0.6),
    "relief.wall_width_mm": (0, 1.5), "relief.flank_deg": (40, 89), "relief.corner_mm": (0, 0.3),
    "relief.seed": (0, 999), "relief.fade.spots": (0.1, 5), "pattern.density.spots": (0.4, 3),
    "bore.rise_mm": (0, 0.5), "hollow.wall_mm": (0.5, 1.2), "hollow.lip_mm": (0.4, 1.5), "hollow.corner_mm": (0.1, 1),
    "hollow.floor_mm": (0.5, 1), "hollow.drains.angle_deg": (-50, 50), "hollow.drains.along_mm": (-1, 1),
    "hollow.drains.diameter_mm": (0.8, 2), "stones.count": (1, 5), "stones.spacing_mm": (1.5, 5),
    "stones.diameter_mm": (0.8, 2.5), "stones.stone.diameter_mm": (0.8, 1.8), "stones.collar_mm": (0.2, 1),
    "stones.v": (0.35, 0.65), "stones.stone.v": (0.35, 0.65), "stones.stone.collar_mm": (0.2, 1),
    "plain.width_mm": (0.8, 9), "plain.height_mm": (0.8, 14), "plain.corner_mm": (0.05, 1.5), "plain.fade_mm": (0, 2),
    "inscription.height_mm": (0.7, 1.6), "inscription.along_mm": (-0.5, 0.5), "inscription.depth_mm": (0.05, 0.35),
    "make.shrinkage_percent": (0, 3), "make.polish_mm": (0, 0.1), "zones.width_mm": (0.6, 3), "zones.rail_mm": (0, 0.5),
    "zones.depth": (-1, 1.5), "panels.v": (0.3, 0.7), "panels.width_mm": (2, 9), "panels.height_mm": (1.2, 6),
    "panels.frame_mm": (0.1, 0.4), "panels.depth": (-1, 1.5), "zones.blend_mm": (0, 2),
}  # fmt: skip
"""Where a value mostly lies; other numbers lie anywhere within their limits."""

WILD: dict[str, tuple[float, float]] = {
    "pattern.around": (3, 400),
    "pattern.across": (1, 60),
    "pattern.twist": (-60, 60),
}
"""Narrower limits of numbers that lie anywhere: the sizes of drafts are to be small."""

_PAGE = 50_000.0
OUTLINES = tuple(
    outline_text(
        shapely.MultiPolygon(shapely.get_parts(shapely.transform(shape, lambda points: np.rint(points * _PAGE))))
    )
    for shape in (
        shapely.box(0.1, 0.1, 0.9, 0.9),
        shapely.Point(0.5, 0.5).buffer(0.45).difference(shapely.Point(0.5, 0.45).buffer(0.2)),
        shapely.box(0.0, 0.4, 1.0, 0.6),
        shapely.MultiPolygon([shapely.box(0.1, 0.1, 0.4, 0.4), shapely.Point(0.7, 0.7).buffer(0.2)]),
        shapely.Polygon(
            [(0.5, 0.0), (0.6, 0.4), (1.0, 0.5), (0.6, 0.6), (0.5, 1.0), (0.4, 0.6), (0.0, 0.5), (0.4, 0.4)]
        ),
    )
)
"""Drawings: a square, a ring, a band that joins its neighbours, two pieces, a star."""

PICTURES = tuple(
    picture_text(np.random.default_rng(seed).integers(0, 2**bits, (12, 30)).astype(f"uint{bits}"))
    for seed, bits in ((1, 8), (2, 16))
)
"""Grey pictures of noise, whose borders do not meet."""

WORDS: dict[str, tuple[Any, ...]] = {
    "pattern.motif.outline": OUTLINES,
    "pattern.motif.name": ("", "drawing"),
    "pattern.motif.text": ("", "tide"),
    "pattern.motif.font": ("", "dejavu_sans"),
    "pattern.motif.grey.pixels": PICTURES,
    "name": ("", "tide", "Ring Nr. 7", "=1+1", "指輪", "x" * 120),
    "pattern.family": (*FAMILIES, *OWN_FAMILIES),
    "relief.form": FORMS,
    "make.alloy": tuple(ALLOYS),
    "make.process": tuple(each.value for each in Process),
    "inscription.text": ("A", "8 & B", "Å. 2024", "qpg", "for ever and ever", "ii", "W@%"),
    "inscription.font": ("dejavu_sans",),
}

GIVEN: dict[str, float] = {
    "pattern": 1.0, "pattern.family": 1.0, "relief": 1.0, "relief.form": 1.0,
    "hollow": 0.12, "stones": 0.15, "plain": 0.15, "inscription": 0.1, "pattern.density": 0.2, "relief.fade": 0.2,
    "pattern.motif.grey": 0.3, "zones": 0.12, "zones.width_mm": 0.3, "zones.rail_mm": 0.4, "zones.pattern": 0.7,
    "zones.blend_mm": 0.4,
    "edits.cells": 0.15, "edits.sites": 0.2, "pattern.evenness": 0.25, "pattern.scatter": 0.5, "pattern.twist": 0.3,
    "pattern.slide_mm": 0.4, "relief.depth_scatter": 0.25, "bore": 0.3, "make.limits": 0.1, "hollow.floor_mm": 0.4,
    "panels": 0.2,
}  # fmt: skip
"""How often an option that may be left out is given; others: more than half the time."""

MOST = {"stones": 2, "plain": 2, "hollow.drains": 2, "edits.cells": 6, "zones": 3, "panels": 3}
"""Entries of lists; others have up to four."""

WILDNESS = (0.0, 0.0, 0.0, 0.02, 0.02, 0.3)
"""How often a number lies anywhere within its limits, or at their ends: one of these holds for a whole design."""

REFUSED_TIES = 0.03
"""How often options are given together that refuse each other."""

LARGE_EVERY = 25
"""How often a design has hundreds of repeats."""


def random_design(seed: int, number: int) -> Design:
    """Design `number` of a seed, the same whatever was drawn before.

    Raises: InputError where options refuse each other.
    """
    draw = _Draw(random.Random(f"{seed}:{number}"))
    if number % LARGE_EVERY == LARGE_EVERY - 1:
        draw.usual = {**USUAL, "pattern.around": (40, 320), "pattern.across": (1, 24)}
    design = draw.options(Design, "")
    assert isinstance(design, Design)
    return design


class _Draw:
    """The state of drawing one design."""

    def __init__(self, chance: random.Random) -> None:
        self.chance = chance
        self.usual = USUAL
        self.wild = chance.choice(WILDNESS)

    def options(self, kind: Any, path: str) -> Any:
        """One of an options' class, every field drawn."""
        if kind is FingerSize:
            return self.size()
        if kind is BandOptions:
            return self.band()
        hints = get_type_hints(kind, include_extras=True)
        drawn = {}
        for field in fields(kind):
            inner = f"{path}.{field.name}" if path else field.name
            optional = field.default is not MISSING or field.default_factory is not MISSING
            if optional and self.chance.random() > GIVEN.get(_alike(inner), 0.6):
                continue
            drawn[field.name] = self.value(hints[field.name], inner)
        self.tie(path, drawn)
        if kind is MotifOptions and drawn.get("grey") is not None:
            drawn["outline"] = ""
        return kind(**drawn)

    def tie(self, path: str, drawn: dict[str, Any]) -> None:
        """Mostly, give what only goes together."""
        if self.chance.random() < max(self.wild, REFUSED_TIES):
            return
        if path in ("pattern", "zones.pattern", "panels.pattern"):
            if path == "panels.pattern":
                drawn["around"] = self.chance.randint(3, 8)
            self.tie_pattern(drawn, may_be_own=path == "pattern")
        if path == "relief":
            if drawn.get("top_size") is not None:
                drawn["wall_width_mm"] = None
            elif drawn.get("wall_width_mm", 0.4) is None:
                drawn["wall_width_mm"] = self.number(Within(0.0, 1.5), "relief.wall_width_mm", False)
        own = path == "" and drawn["pattern"].family in FREE_FORM_FAMILIES
        if own and drawn["relief"].form not in forms_of(drawn["pattern"].family, drawn["pattern"].motif):
            drawn["relief"] = replace(drawn["relief"], form=self.chance.choice(PICTURE_FORMS))
        if path == "" and drawn.get("zones"):
            zones = [*drawn["zones"]]
            zones.insert(self.chance.randint(0, len(zones)), ZoneOptions())
            drawn["zones"] = () if own else (replace(zones[0], rail_mm=0.0, blend_mm=0.0), *zones[1:])
        if path == "" and drawn.get("panels"):
            drawn["panels"] = () if own or drawn.get("zones") else self.apart(drawn["panels"])
        if path == "bore" and drawn.get("shape", "straight") == "straight":
            drawn["rise_mm"] = 0.0
        if path == "hollow":
            closed = drawn.get("floor_mm") is not None
            drawn["drains"] = (self.value(_DRAINS, "hollow.drains") or ()) if closed else ()
        if path == "" and drawn.get("hollow") and drawn["relief"].form == "pierced":
            drawn["hollow"] = None

    def apart(self, panels: tuple[Panel, ...]) -> tuple[Panel, ...]:
        """Panels one after the other round the ring, so that few of them overlap."""
        count, first = len(panels), self.chance.random()
        turns = [(first + number + self.chance.uniform(-0.2, 0.2)) / count % 1.0 for number in range(count)]
        return tuple(replace(panel, u=round(turn, 3)) for panel, turn in zip(panels, turns, strict=True))

    def tie_pattern(self, drawn: dict[str, Any], may_be_own: bool) -> None:
        """Even cells and densities belong to two families, which then neither slide nor climb; zones have no motifs;
        repeats of a motif that alternate have an even count."""
        ordered = drawn.get("evenness", 0.0) > 0.0 or drawn.get("density") is not None
        if ordered or self.chance.random() < 0.3 or drawn.get("family") in OWN_FAMILIES:
            if may_be_own and not ordered and self.chance.random() < 0.5:
                drawn["family"], drawn["motif"] = "motif", self.options(MotifOptions, "pattern.motif")
                if alternates(drawn["motif"]) and "around" in drawn:
                    drawn["around"] += drawn["around"] % 2
                return
            drawn["family"] = self.chance.choice(("hexagon", "cellular"))
        if not may_be_own and drawn.get("family") in FREE_FORM_FAMILIES:
            drawn["family"] = self.chance.choice(CELL_FAMILIES)
        if ordered or drawn.get("family") in GROWN_FAMILIES:
            along = drawn.pop("slide_mm", (0.0, 0.0))[0]
            if not ordered:
                drawn["slide_mm"] = (along, 0.0)
            drawn.pop("twist", None)

    def value(self, hint: Any, path: str) -> Any:
        """One value of a field's type."""
        origin, parts = get_origin(hint), get_args(hint)
        if _alike(path) in WORDS:
            return self.chance.choice(WORDS[_alike(path)])
        if origin is Annotated:
            limits = next(each for each in parts[1:] if isinstance(each, Within))
            return self.number(limits, path, parts[0] is int)
        if origin is Literal:
            return self.chance.choice(parts)
        if origin in (Union, types.UnionType):
            return self.value(self.chance.choice(parts), path)
        if origin is tuple:
            if parts[-1] is not Ellipsis:
                return tuple(self.value(part, path) for part in parts)
            return tuple(self.value(parts[0], path) for _ in range(self.chance.randint(1, MOST.get(path, 4))))
        if is_dataclass(hint):
            return self.options(hint, path)
        if hint is bool:
            return self.chance.random() < 0.5
        if hint is int:
            return self.number(Within(-1, 400), path, True)
        if hint is type(None):
            return None
        raise TypeError(f"{path}: nothing is drawn for {hint}")

    def number(self, limits: Within, path: str, whole: bool) -> float:
        """Mostly a usual one, mostly with few digits."""
        low, high, path = limits.low, limits.high, _alike(path)
        if self.chance.random() < self.wild:
            low, high = WILD.get(path, (low, high))
            if self.chance.random() < 0.3:
                low = high = self.chance.choice((low, high))
        elif path in self.usual and not (path.endswith("spots") and high <= 1.0):
            usual = self.usual[path]
            low, high = max(low, usual[0]), min(high, usual[1])
            low, high = (low, high) if low <= high else (limits.low, limits.high)
        if whole:
            return self.chance.randint(round(low), round(high))
        drawn = self.chance.uniform(low, high)
        return min(max(round(drawn, 2), low), high) if self.chance.random() < 0.6 else drawn

    def size(self) -> FingerSize:
        """A finger size in any scale."""
        pick = self.chance
        return pick.choice(
            (
                FingerSize("iso", str(pick.randint(41, 76))),
                FingerSize("iso", f"{pick.uniform(36.0, 90.0):.2f}"),
                FingerSize("us", f"{pick.randint(0, 64) / 4:g}"),
                FingerSize("uk", pick.choice("ABHLNZ") + pick.choice(("", " 1/2"))),
                FingerSize("jp", str(pick.randint(1, 30))),
                FingerSize("it", str(pick.randint(1, 36))),
            )
        )

    def band(self) -> BandOptions:
        """Plain, tapered, domed, and now and then anything."""
        pick = self.chance
        section = pick.choice((None, "half_round", "flat", "court", "knife_edge"))
        if pick.random() < self.wild:
            count = pick.randint(1, 5)
            return BandOptions(
                section,
                tuple(
                    Station(
                        float(pick.randint(-180, 180)), pick.uniform(1.0, MAX_WIDTH_MM),
                        height := pick.uniform(0.6, MAX_HEIGHT_MM), pick.uniform(0.3, height), pick.uniform(1.0, 12.0),
                    )
                    for _ in range(count)
                ),
                pick.random() < 0.5,
            )  # fmt: skip
        width, height = pick.uniform(2.5, 9.0), pick.uniform(1.3, 3.0)
        angles = pick.choice(((0.0,), (0.0,), (0.0, 180.0), (0.0, 90.0, 180.0), (0.0, 60.0, -80.0, 180.0)))
        stations = []
        for angle in angles:
            grown = pick.uniform(1.0, 2.4) if angle == 0.0 and len(angles) > 1 else pick.uniform(0.85, 1.15)
            here, up = round(width * grown, 2), round(height * pick.uniform(1.0, grown), 2)
            least = max(0.5 * up, 0.3, up - 0.49 * here if section == "court" else 0.0)
            edge = up if section == "flat" else pick.uniform(min(least, up), up)
            stations.append(Station(angle, here, up, edge, pick.choice((2.0, pick.uniform(1.0, 12.0)))))
        mirror = len(angles) < 4 or pick.random() < 0.3
        return BandOptions(section, tuple(stations), mirror)


def _alike(path: str) -> str:
    """The name under which a value is drawn: a zone's or a panel's own pattern is drawn as the ring's."""
    return path.partition(".")[2] if path.startswith(("zones.pattern", "panels.pattern")) else path


def _drains_hint() -> Any:
    from ringtex.solid.finishing.hollow_options import HollowOptions

    return get_type_hints(HollowOptions, include_extras=True)["drains"]


_DRAINS = _drains_hint()
