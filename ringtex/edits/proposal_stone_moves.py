"""The small changes that could clear what is found at stones and at holes."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import replace
from typing import Any, Final

from ringtex.band.band_options import Station
from ringtex.basics.errors import InputError
from ringtex.checks.check_ring import RingReadings
from ringtex.checks.finding import Finding, Kind
from ringtex.design.design import Design
from ringtex.edits.proposal_edits import Edit, Move, down, lacking, up
from ringtex.solid.finishing.stone_options import Stone, StoneRow

Entries = tuple[Stone | StoneRow, ...]

SMALLER: Final = (0.95, 0.9, 0.8)
NEARER_THE_MIDDLE: Final = (0.85, 0.7, 0.5, 0.25, 0.0)


def _small_hole(finding: Finding, design: Design, readings: RingReadings) -> Iterator[Edit]:
    """Every hole that is smaller is made as wide as the limit."""
    least, hollow = finding.limit or 0.0, design.hollow
    if hollow is not None and hollow.drains:
        drains = tuple(replace(drain, diameter_mm=max(drain.diameter_mm, up(least))) for drain in hollow.drains)
        yield {"hollow.drains": drains}
    yield from _each(design, lambda stone: replace(stone, hole=max(stone.hole, up(least / stone.diameter_mm))))


def _thin_seat(finding: Finding, design: Design, readings: RingReadings) -> Iterator[Edit]:
    if design.hollow is not None:
        missing = lacking(finding) if finding.kind is Kind.THIN_SEAT else (finding.measured or 0.0)
        for more in (missing, 2.0 * missing):
            yield {"hollow.wall_mm": up(design.hollow.wall_mm + more)}


def _each(design: Design, change: Callable[[Stone], Stone]) -> Iterator[Edit]:
    """Every stone changed alike; nothing where that leads out of what can be set."""
    with suppress(InputError):
        changed: Entries = tuple(
            replace(entry, stone=change(entry.stone)) if isinstance(entry, StoneRow) else change(entry)
            for entry in design.stones
        )
        yield {"stones": changed}


def _times(name: str, share: float) -> Callable[[Stone], Stone]:
    def changed(stone: Stone) -> Stone:
        values: dict[str, Any] = {name: down(share * getattr(stone, name))}
        return replace(stone, **values)

    return changed


def _towards_middle(share: float) -> Callable[[Stone], Stone]:
    return lambda stone: replace(stone, v=round(0.5 + share * (stone.v - 0.5), 4))


def _smaller(design: Design) -> Iterator[Edit]:
    for share in SMALLER:
        yield from _each(design, _times("diameter_mm", share))


def _close(finding: Finding, design: Design, readings: RingReadings) -> Iterator[Edit]:
    """Rows with wider spacing or fewer stones, narrower holes, smaller stones."""
    missing = lacking(finding)
    rows = [entry for entry in design.stones if isinstance(entry, StoneRow)]
    if any(row.spacing_mm is not None for row in rows):
        with suppress(InputError):
            yield {"stones": tuple(_spaced(entry, missing) for entry in design.stones)}
    for fewer in (1, 2, 3):
        if any(row.count > fewer for row in rows):
            yield {"stones": tuple(_fewer(entry, fewer) for entry in design.stones)}
    for share in SMALLER:
        yield from _each(design, _times("hole", share))
    yield from _smaller(design)


def _spaced(entry: Stone | StoneRow, more_mm: float) -> Stone | StoneRow:
    if not isinstance(entry, StoneRow) or entry.spacing_mm is None:
        return entry
    return replace(entry, spacing_mm=up(entry.spacing_mm + more_mm))


def _fewer(entry: Stone | StoneRow, fewer: int) -> Stone | StoneRow:
    return replace(entry, count=max(1, entry.count - fewer)) if isinstance(entry, StoneRow) else entry


def _at_edge(finding: Finding, design: Design, readings: RingReadings) -> Iterator[Edit]:
    """Stones nearer to the middle of the band, or smaller."""
    for share in NEARER_THE_MIDDLE:
        yield from _each(design, _towards_middle(share))
    yield from _smaller(design)


def _deep(finding: Finding, design: Design, readings: RingReadings) -> Iterator[Edit]:
    """Smaller stones, or a higher band."""
    yield from _smaller(design)
    missing = lacking(finding)
    yield {"band.stations": tuple(_higher(station, missing) for station in design.band.stations)}


def _higher(station: Station, more_mm: float) -> Station:
    edge = station.edge_height_mm + (more_mm if station.edge_height_mm == station.height_mm else 0.0)
    return replace(station, height_mm=up(station.height_mm + more_mm), edge_height_mm=up(edge))


def _at_rim(finding: Finding, design: Design, readings: RingReadings) -> Iterator[Edit]:
    """The hollow's rim moved away from the hole."""
    hollow = design.hollow
    if hollow is None:
        return
    for degrees in (-5.0, 5.0, -10.0, 10.0, -20.0, 20.0):
        with suppress(InputError):
            yield {"hollow": replace(hollow, reach_deg=hollow.reach_deg + degrees)}
    for more in (0.3, 0.6):
        with suppress(InputError):
            yield {"hollow": replace(hollow, lip_mm=up(hollow.lip_mm + more))}


STONE_MOVES: Final[dict[Kind, Move]] = {
    Kind.SMALL_HOLE: _small_hole,
    Kind.THIN_SEAT: _thin_seat,
    Kind.FEATHER_SEAT: _thin_seat,
    Kind.STONES_CLOSE: _close,
    Kind.STONE_AT_EDGE: _at_edge,
    Kind.STONE_HOLE_BLIND: _at_edge,
    Kind.STONE_DEEP: _deep,
    Kind.STONE_AT_RIM: _at_rim,
}
