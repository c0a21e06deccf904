"""Hypothesis strategies over what is done to a ring after its relief: hollow, stones, plain places, letters, cuts."""

from __future__ import annotations

from hypothesis import strategies as st

from ringtex.band.band_options import BandOptions, Station
from ringtex.band.bore import BoreOptions
from ringtex.band.finger_size import FingerSize
from ringtex.design.design import Design
from ringtex.pattern.pattern_options import FAMILIES, PatternOptions, RailOptions
from ringtex.relief.plain_options import PlainPlace
from ringtex.relief.relief_options import FORMS, ReliefOptions
from ringtex.solid.finishing.hollow_options import Drain, HollowOptions
from ringtex.solid.finishing.inscription_options import InscriptionOptions
from ringtex.solid.finishing.stone_options import Stone, StoneRow
from ringtex.strip.strip_options import StripOptions


@st.composite
def worn_bands(draw: st.DrawFn) -> BandOptions:
    """Plain, tapered and dome bands of sizes that are worn."""
    palm = Station(180.0, draw(st.floats(3.0, 7.0)), draw(st.floats(1.4, 2.2)), 1.2)
    head = Station(0.0, draw(st.floats(5.0, 18.0)), draw(st.floats(1.6, 9.0)), 1.2)
    section = draw(st.sampled_from([None, "half_round", "court"]))
    if section == "court":
        head = Station(0.0, head.width_mm, min(head.height_mm, 1.2 + 0.45 * head.width_mm), 1.2)
        palm = Station(180.0, palm.width_mm, min(palm.height_mm, 1.2 + 0.45 * palm.width_mm), 1.2)
    return BandOptions(section, (head, palm) if draw(st.booleans()) else (head,))


@st.composite
def hollows(draw: st.DrawFn) -> HollowOptions:
    closed = draw(st.booleans())
    drains = ()
    if closed:
        places = draw(st.lists(st.integers(-4, 4), min_size=1, max_size=3, unique=True))
        drains = tuple(Drain(12.0 * place, draw(st.floats(-0.5, 0.5)), draw(st.floats(0.8, 1.6))) for place in places)
    return HollowOptions(
        wall_mm=draw(st.floats(0.6, 1.4)),
        lip_mm=draw(st.floats(0.5, 1.5)),
        reach_deg=draw(st.floats(55.0, 80.0)) if closed else draw(st.floats(20.0, 165.0)),
        corner_mm=draw(st.floats(0.1, 2.0)),
        floor_mm=draw(st.floats(0.5, 1.0)) if closed else None,
        drains=drains,
    )


@st.composite
def any_hollows(draw: st.DrawFn) -> HollowOptions:
    """Everything that the options allow, their ends and what leaves most room as often as what lies between."""
    closed = draw(st.booleans())

    def within(low: float, high: float) -> float:
        return draw(
            st.one_of(st.just(low), st.floats(low, low + 0.2 * (high - low)), st.floats(low, high), st.just(high))
        )

    return HollowOptions(
        wall_mm=draw(st.one_of(st.just(0.4), st.floats(0.4, 1.5), st.floats(0.4, 5.0))),
        lip_mm=draw(st.one_of(st.just(0.3), st.floats(0.3, 1.5), st.floats(0.3, 10.0))),
        reach_deg=within(20.0, 165.0),
        corner_mm=within(0.1, 2.0),
        floor_mm=draw(st.one_of(st.just(0.4), st.floats(0.4, 1.0), st.floats(0.4, 5.0))) if closed else None,
        drains=(Drain(0.0),) if closed else (),
    )


@st.composite
def stones(draw: st.DrawFn) -> Stone:
    """Anywhere on the crown or near it."""
    return Stone(
        u=draw(st.floats(0.0, 1.0)),
        v=draw(st.floats(0.35, 0.65)),
        diameter_mm=draw(st.floats(0.9, 3.0)),
        collar_mm=draw(st.floats(0.2, 1.0)),
        hole=draw(st.floats(0.4, 0.75)),
    )


@st.composite
def stone_rows(draw: st.DrawFn) -> StoneRow:
    stone = Stone(draw(st.sampled_from([0.0, 0.25, 0.5])), 0.5, draw(st.floats(0.9, 1.6)))
    count = draw(st.integers(1, 5))
    return StoneRow(count, stone, draw(st.floats(2.2, 3.5)), "around", draw(st.booleans()))


@st.composite
def plain_places(draw: st.DrawFn) -> PlainPlace:
    return PlainPlace(
        u=draw(st.floats(0.0, 1.0)),
        v=draw(st.sampled_from([0.3, 0.5, 0.62])),
        width_mm=draw(st.floats(1.0, 8.0)),
        height_mm=draw(st.one_of(st.none(), st.floats(1.0, 20.0))),
        shape=draw(st.sampled_from(["round", "rectangle"])),
        corner_mm=draw(st.floats(0.1, 2.0)),
        level=draw(st.sampled_from(["ground", "top"])),
        fade_mm=draw(st.sampled_from([0.0, 1.5])),
    )


def inscriptions() -> st.SearchStrategy[InscriptionOptions]:
    return st.builds(
        InscriptionOptions,
        text=st.sampled_from(["A", "8 & B", "Å. 2024", "qpg"]),
        height_mm=st.floats(0.8, 1.6),
        depth_mm=st.floats(0.1, 0.3),
        raised=st.booleans(),
        angle_deg=st.sampled_from([180.0, 170.0, -165.0, 0.0]),
    )


@st.composite
def finished_designs(draw: st.DrawFn) -> Design:
    """Whole designs with something done to them; a stage may still find that things do not fit each other."""
    family = draw(st.sampled_from(FAMILIES))
    form = draw(st.sampled_from(FORMS))
    rail = draw(st.floats(0.3, 1.0))
    open_or_closed = draw(hollows()) if draw(st.booleans()) else None
    entries = draw(st.lists(st.one_of(stones(), stone_rows()), max_size=3))
    return Design(
        size=FingerSize("iso", str(draw(st.integers(46, 66)))),
        band=draw(worn_bands()),
        bore=draw(st.sampled_from([BoreOptions(), BoreOptions("comfort", 0.3)])),
        strip=StripOptions(draw(st.sampled_from(["shape", "length", "area"]))),
        pattern=PatternOptions(family, draw(st.integers(6, 30)), seed=draw(st.integers(0, 99))),
        rails=RailOptions(rail, rail),
        relief=ReliefOptions(form=form, depth_mm=draw(st.floats(0.1, 0.4)), wall_width_mm=draw(st.floats(0.3, 1.0))),
        hollow=open_or_closed
        if form != "pierced" or open_or_closed is None or open_or_closed.floor_mm is None
        else None,
        stones=tuple(entries),
        plain=tuple(draw(st.lists(plain_places(), max_size=2))),
        inscription=draw(st.one_of(st.none(), inscriptions())),
    )
