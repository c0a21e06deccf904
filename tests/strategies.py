"""Hypothesis strategies over the whole design space, as Designs and as the JSON of files, sound and unsound."""

from __future__ import annotations

import math
from typing import Any

from hypothesis import Phase
from hypothesis import strategies as st

from ringtex.band.band_options import BandOptions, Station
from ringtex.band.bore import BoreOptions
from ringtex.band.finger_size import FingerSize
from ringtex.checks.making.alloys import ALLOYS
from ringtex.checks.making.make_options import MakeOptions
from ringtex.design.design import Design
from ringtex.design.edit_options import EditOptions
from ringtex.pattern.cellular.site_edits import MovedSite, SiteEdits, SitePosition
from ringtex.pattern.grown.grown_families import GROWN_FAMILIES, OUTLINE_FAMILIES
from ringtex.pattern.pattern_options import CELL_FAMILIES, PatternOptions, RailOptions
from ringtex.pattern.zone_options import ZoneOptions
from ringtex.relief.cell_edits import CellEdit
from ringtex.relief.relief_options import FORMS, ReliefOptions
from ringtex.strip.strip_options import StripOptions

MAX_AROUND = 40
"""The space itself goes to 2000 repeats; benchmarks build those, properties need not."""


UNSHRUNK = (Phase.explicit, Phase.reuse, Phase.generate)
"""For whole rings: to look for a simpler one that fails takes minutes, the one that was drawn says where to look."""


def lengths(low: float, high: float) -> st.SearchStrategy[float]:
    """Lengths a person would enter (hundredths), and any other float of the range."""
    tidy = st.integers(math.ceil(low * 100), math.floor(high * 100)).map(lambda hundredths: hundredths / 100.0)
    return st.one_of(tidy, st.floats(low, high))


def finger_sizes() -> st.SearchStrategy[FingerSize]:
    letters = st.builds(lambda letter, half: letter + half, st.sampled_from("ABHLNZ"), st.sampled_from(["", " 1/2"]))
    return st.one_of(
        st.builds(FingerSize, st.just("iso"), st.integers(41, 76).map(str)),
        st.builds(
            FingerSize, st.just("iso"), st.integers(3600, 9000).map(lambda hundredths: f"{hundredths / 100:.2f}")
        ),
        st.builds(FingerSize, st.just("us"), st.integers(0, 64).map(lambda quarters: f"{quarters / 4:g}")),
        st.builds(FingerSize, st.just("uk"), letters),
        st.builds(FingerSize, st.just("jp"), st.integers(1, 30).map(str)),
        st.builds(FingerSize, st.just("it"), st.integers(1, 36).map(str)),
    )


@st.composite
def stations(draw: st.DrawFn, section: str | None) -> tuple[Station, ...]:
    """One to four stations at different angles, also left against right; mostly alike, so that few are too steep."""
    gentle = draw(st.integers(0, 3)) > 0
    angles = draw(st.lists(st.integers(0, 4 if gentle else 180), min_size=1, max_size=4, unique=True))
    width, height = draw(lengths(2.0, 20.0)), draw(lengths(1.0, 7.0))
    made = []
    for angle in angles:
        if gentle:
            here, up = width * draw(lengths(0.6, 1.6)), height * draw(lengths(0.7, 1.4))
        else:
            here, up = draw(lengths(1.0, 40.0)), draw(lengths(0.6, 15.0))
        lowest = max(0.3, _least_edge(section, here, up))
        edge = up if section == "flat" else draw(st.floats(min(lowest, up), up))
        sign = draw(st.sampled_from([1, -1]))
        turned = float(sign * angle * (45 if gentle else 1))
        made.append(Station(turned, here, up, edge, draw(st.floats(1.0, 12.0))))
    return tuple(made)


@st.composite
def bands(draw: st.DrawFn) -> BandOptions:
    section = draw(st.sampled_from([None, "half_round", "flat", "court", "knife_edge"]))
    return BandOptions(section, draw(stations(section)), draw(st.booleans()))


@st.composite
def bores(draw: st.DrawFn, band: BandOptions) -> BoreOptions:
    """Straight, or a comfort bore that mostly leaves enough metal at the edges."""
    room = min(station.edge_height_mm for station in band.stations) - 0.32
    most = min(2.0, room) if draw(st.integers(0, 4)) else 2.0
    if most <= 0.0 or draw(st.booleans()):
        return BoreOptions()
    return BoreOptions("comfort", draw(st.floats(0.0, most)))


def families() -> st.SearchStrategy[str]:
    """As often one of the four most used families as any of all."""
    return st.one_of(st.sampled_from(["hexagon", "brick", "diamond", "cellular"]), st.sampled_from(CELL_FAMILIES))


@st.composite
def patterns(draw: st.DrawFn, most_around: int = MAX_AROUND) -> PatternOptions:
    family = draw(families())
    around = draw(st.integers(3, most_around))
    return PatternOptions(
        family=family,
        around=around,
        across=draw(st.one_of(st.just("auto"), st.integers(1, 12))),
        seed=draw(st.integers(0, 2**53 - 1)),
        scatter=draw(st.one_of(st.just(0.0), st.floats(0.0, 1.0))),
        slide_mm=draw(st.tuples(lengths(-60.0, 60.0), lengths(-10.0, 10.0))),
        twist=draw(st.integers(-min(3, around), min(3, around))),
    )


@st.composite
def zones(draw: st.DrawFn, own: st.SearchStrategy[PatternOptions], worn: bool = False) -> tuple[ZoneOptions, ...]:
    """Mostly none; else two to four, some with the design's own pattern; worn: none that could hardly be cast."""
    if draw(st.integers(0, 3)):
        return ()
    made = [
        ZoneOptions(
            pattern=draw(st.one_of(st.none(), own)) if number else None,
            width_mm=draw(st.one_of(st.none(), lengths(0.8 if worn else 0.2, 3.0))),
            rail_mm=draw(st.one_of(st.just(0.0), lengths(0.1 if worn else 0.0, 0.6))) if number else 0.0,
            mirrored=draw(st.booleans()),
            depth=draw(st.one_of(st.just(1.0), st.floats(0.3, 1.5) if worn else st.floats(-2.0, 2.0))),
            rounding=draw(st.one_of(st.none(), st.floats(0.0, 1.0))),
            blend_mm=draw(st.one_of(st.just(0.0), lengths(0.0, 2.0))) if number else 0.0,
        )
        for number in range(draw(st.integers(2, 4)))
    ]
    return tuple(made)


def rails() -> st.SearchStrategy[RailOptions]:
    return st.one_of(st.just(RailOptions()), st.builds(RailOptions, lengths(0.0, 2.0), lengths(0.0, 2.0)))


@st.composite
def reliefs(draw: st.DrawFn) -> ReliefOptions:
    by_ridge = draw(st.booleans())
    return ReliefOptions(
        form=draw(st.sampled_from(FORMS)),
        depth_mm=draw(lengths(0.05, 1.0)),
        wall_width_mm=draw(lengths(0.0, 2.0)) if by_ridge else None,
        top_size=None if by_ridge else draw(st.floats(0.05, 0.98)),
        flank_deg=draw(st.floats(30.0, 89.0)),
        corner_mm=draw(lengths(0.0, 0.5)),
        rounding=draw(st.one_of(st.just(0.0), st.floats(0.0, 1.0))),
        depth_scatter=draw(st.one_of(st.just(0.0), st.floats(0.0, 1.0))),
        seed=draw(st.integers(0, 2**32 - 1)),
    )


def edits() -> st.SearchStrategy[EditOptions]:
    """Mostly none; else a few cells and sites."""
    shares = st.floats(0.0, 1.0)
    places = st.builds(SitePosition, shares, shares)
    some_cells = st.lists(st.builds(CellEdit, shares, shares, st.floats(-2.0, 2.0)), max_size=6).map(tuple)
    some_sites = st.builds(
        SiteEdits,
        pinned=st.lists(places, max_size=2).map(tuple),
        added=st.lists(places, max_size=2).map(tuple),
        removed=st.lists(places, max_size=2).map(tuple),
        moved=st.lists(st.builds(MovedSite, shares, shares, shares, shares), max_size=2).map(tuple),
    )
    return st.one_of(st.just(EditOptions()), st.builds(EditOptions, some_cells, some_sites))


def makes() -> st.SearchStrategy[MakeOptions]:
    return st.builds(MakeOptions, alloy=st.sampled_from(sorted(ALLOYS)), shrinkage_percent=st.floats(0.0, 5.0))


@st.composite
def designs(draw: st.DrawFn, most_around: int = MAX_AROUND) -> Design:
    """Designs whose options are each in range; a stage may still find that they do not fit each other."""
    band = draw(bands())
    return Design(
        size=draw(finger_sizes()),
        band=band,
        name=draw(st.text(st.characters(exclude_categories=("C", "Z")), max_size=20)),
        bore=draw(bores(band)),
        strip=StripOptions(draw(st.sampled_from(["length", "shape", "area"]))),
        pattern=draw(patterns(most_around)),
        rails=draw(rails()),
        relief=draw(reliefs()),
        make=draw(makes()),
        edits=draw(edits()),
        zones=draw(zones(patterns(most_around))),
    )


@st.composite
def worn_bands(draw: st.DrawFn) -> BandOptions:
    """Plain, tapered and dome bands as they are worn (common practice, no source)."""
    section = draw(st.sampled_from([None, "half_round", "flat", "court", "knife_edge"]))
    width, height = draw(lengths(3.0, 10.0)), draw(lengths(1.4, 2.6))
    edge = height if section == "flat" else draw(lengths(0.9, height - 0.3))
    palm = Station(180.0, width, height, max(edge, _least_edge(section, width, height)), draw(st.floats(1.5, 6.0)))
    if draw(st.booleans()):
        return BandOptions(section, (palm,))
    high = draw(lengths(1.0, 3.0 if section == "court" else 4.0)) * height
    head_width = width * draw(st.floats(1.0, 3.0))
    head_edge = high if section == "flat" else max(edge, _least_edge(section, head_width, high))
    head = Station(0.0, head_width, high, head_edge, palm.fullness)
    return BandOptions(section, (head, palm))


def _least_edge(section: str | None, width: float, height: float) -> float:
    """A court arc may rise by at most half its width."""
    return height - width / 2.0 + 1e-9 if section == "court" else 0.0


@st.composite
def worn_designs(draw: st.DrawFn, most_around: int = MAX_AROUND) -> Design:
    """Designs of rings that could be worn, nearly all of which can be built."""
    has_cells = draw(st.integers(0, 15)) > 0
    family = draw(families() if has_cells else st.sampled_from(list(OUTLINE_FAMILIES)))
    by_ridge = draw(st.booleans())
    own = st.builds(PatternOptions, families(), st.integers(8, most_around))
    found = draw(zones(own, worn=True)) if has_cells else ()
    return Design(
        size=FingerSize("iso", str(draw(st.integers(44, 70)))),
        band=draw(worn_bands()),
        strip=StripOptions(draw(st.sampled_from(["length", "shape", "shape", "area"]))),
        pattern=PatternOptions(
            family=family,
            around=draw(st.integers(8, most_around)),
            across="auto" if found else draw(st.one_of(st.just("auto"), st.integers(1, 12))),
            seed=draw(st.integers(0, 1000)),
            scatter=draw(st.one_of(st.just(0.0), st.floats(0.0, 1.0))),
            slide_mm=draw(st.tuples(lengths(-5.0, 5.0), lengths(-2.0, 2.0))),
            twist=0 if family in GROWN_FAMILIES else draw(st.integers(-2, 2)),
        ),
        rails=draw(st.builds(RailOptions, lengths(0.0, 0.8), lengths(0.0, 0.8))),
        relief=ReliefOptions(
            form=draw(st.sampled_from(FORMS)),
            depth_mm=draw(lengths(0.1, 0.6)),
            wall_width_mm=draw(lengths(0.0, 0.8)) if by_ridge else None,
            top_size=None if by_ridge else draw(st.floats(0.2, 0.9)),
            flank_deg=draw(st.floats(40.0, 85.0)),
            corner_mm=draw(lengths(0.0, 0.2)),
            rounding=draw(st.one_of(st.just(0.0), st.floats(0.0, 1.0))),
            depth_scatter=draw(st.one_of(st.just(0.0), st.floats(0.0, 1.0))),
        ),
        zones=found,
    )


def rubbish() -> st.SearchStrategy[Any]:
    """JSON values that are hardly ever right where they stand."""
    numbers = st.sampled_from([-1, 0, 10_000_000, 1e300, -1e-300, 0.5, 1e18])
    others: st.SearchStrategy[Any] = st.sampled_from(
        [None, True, "", "auto", "nonsense", [], [[]], {}, {"key": 1}, [1, 2, 3]]
    )
    return st.one_of(numbers, others)


@st.composite
def spoilt(draw: st.DrawFn, sound: dict[str, Any]) -> dict[str, Any]:
    """The JSON of a design in which one place, at any depth, is taken away, replaced by rubbish, or given a new key."""
    key = draw(st.sampled_from(sorted(sound)))
    inner = sound[key]
    if isinstance(inner, dict) and inner and draw(st.booleans()):
        return {**sound, key: draw(spoilt(inner))}
    if isinstance(inner, list) and inner and isinstance(inner[0], dict) and draw(st.booleans()):
        return {**sound, key: [draw(spoilt(inner[0])), *inner[1:]]}
    how = draw(st.sampled_from(["remove", "replace", "add"]))
    if how == "remove":
        return {name: value for name, value in sound.items() if name != key}
    return {**sound, (key if how == "replace" else f"{key}_x"): draw(rubbish())}
