"""For each kind of finding the small changes of a design that could clear it, computed from what was measured."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import replace
from typing import Any, Final

from ringtex.band.band_options import Station
from ringtex.basics.errors import InputError
from ringtex.checks.check_ring import RingReadings
from ringtex.checks.finding import Finding, Kind
from ringtex.checks.geometry.folding import NEAR_FOLD
from ringtex.checks.making.detail import RIDGE_AT_WALL
from ringtex.checks.making.making_limits import Limit
from ringtex.design.design import Design
from ringtex.relief.relief_options import unused_numbers
from ringtex.solid.finishing.stone_options import Stone, StoneRow

Edit = dict[str, object]
"""New values by field, such as {"relief.wall_width_mm": 0.32}."""

Move = Callable[[Finding, Design, RingReadings], Iterator[Edit]]

STEP_MM: Final = 0.01
"""Lengths are proposed in hundredths, rounded to the safe side."""


def edited(design: Design, edit: Edit) -> Design:
    """The design with new values. Raises: InputError where they are not allowed."""
    for path, value in edit.items():
        stage, _, field = path.partition(".")
        part: Any = replace(getattr(design, stage), **{field: value}) if field else value
        design = replace(design, **{stage: part})
    return design


def up(value: float) -> float:
    """Rounded up to hundredths."""
    return round(math.ceil(value / STEP_MM - 1e-6) * STEP_MM, 6)


def down(value: float) -> float:
    """Rounded down to hundredths."""
    return round(math.floor(value / STEP_MM + 1e-6) * STEP_MM, 6)


def lacking(finding: Finding) -> float:
    """How much is missing to the limit, with 0.0001 to spare."""
    return max((finding.limit or 0.0) - (finding.measured or 0.0), 0.0) + 1e-4


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


def _low_seat(finding: Finding, design: Design, readings: RingReadings) -> Iterator[Edit]:
    """Stones set deeper, or smaller."""
    yield from _each(design, lambda stone: replace(stone, flush="rim"))
    yield from _smaller(design)


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
    Kind.LOW_SEAT: _low_seat,
    Kind.STONE_AT_RIM: _at_rim,
}


MIN_AROUND: Final = 3


def moves_for(finding: Finding, design: Design, readings: RingReadings) -> list[Design]:
    """Designs to try, each the smallest change of one quantity that could clear the finding; none for some kinds.

    A change that leads out of what the options allow is left out, and so is one of a number that does nothing to this
    design's relief.

    Parameters:
        finding: what was found.
        design: the design that was checked.
        readings: the ring's figures.
    Returns: designs to try.
    """
    moves = _MOVES.get(finding.kind)
    found: list[Design] = []
    aimed = _aimed(finding, design)
    pattern = design.pattern
    idle = {f"relief.{name}" for name in unused_numbers(design.relief, pattern.family, pattern.motif)}
    for edit in moves(aimed, design, readings) if moves else ():
        if not idle.isdisjoint(edit):
            continue
        with suppress(InputError):
            changed = edited(design, edit)
            if changed != design and changed not in found:
                found.append(changed)
    return found


def _aimed(finding: Finding, design: Design) -> Finding:
    """The finding with the size from which on there is no finding, in place of the size under which it is an error."""
    if not finding.limit_name:
        return finding
    limit: Limit = getattr(design.make.making_limits, finding.limit_name)
    return replace(finding, limit=limit.near)


def _wall_lacking(finding: Finding, design: Design) -> float:
    """What the asked width of the walls lacks: on the ring they are narrower, in proportion."""
    asked, measured, limit = design.relief.wall_width_mm, finding.measured, finding.limit
    if not (asked and measured and limit):
        return lacking(finding)
    return max(lacking(finding), asked * (limit / measured - 1.0) + 1e-4)


def _ridge(finding: Finding, design: Design, readings: RingReadings) -> Iterator[Edit]:
    at_wall = design.relief.form in RIDGE_AT_WALL
    if at_wall:
        yield from _wider_wall(design, _wall_lacking(finding, design))
    else:
        yield from _more_cell(design, lacking(finding))


def _groove(finding: Finding, design: Design, readings: RingReadings) -> Iterator[Edit]:
    at_wall = design.relief.form not in RIDGE_AT_WALL
    if at_wall:
        yield from _wider_wall(design, _wall_lacking(finding, design))
    else:
        yield from _more_cell(design, lacking(finding))


def _wider_wall(design: Design, missing: float) -> Iterator[Edit]:
    """The ridge or groove along the walls."""
    relief = design.relief
    if relief.wall_width_mm is not None:
        for more in (missing, 1.5 * missing):
            yield {"relief.wall_width_mm": up(relief.wall_width_mm + more)}
    elif relief.top_size is not None:
        for share in (0.95, 0.9, 0.8):
            yield {"relief.top_size": down(share * relief.top_size)}
    yield from _fewer_around(design, (0.95, 0.9, 0.8))


def _more_cell(design: Design, missing: float) -> Iterator[Edit]:
    """The inside of the cells: larger cells, or a narrower strip along their walls."""
    yield from _fewer_around(design, (0.97, 0.93, 0.88, 0.8, 0.7))
    relief = design.relief
    if relief.wall_width_mm is not None and relief.wall_width_mm > missing:
        yield {"relief.wall_width_mm": down(relief.wall_width_mm - missing)}
    if relief.top_size is not None:
        for share in (1.05, 1.15, 1.3):
            yield {"relief.top_size": min(up(share * relief.top_size), 0.98)}


def _fewer_around(design: Design, shares: tuple[float, ...]) -> Iterator[Edit]:
    pattern = design.pattern
    for share in shares:
        around = min(pattern.around - 1, math.floor(pattern.around * share))
        if around >= max(MIN_AROUND, abs(pattern.twist)):
            across = pattern.across
            if across != "auto":
                across = max(1, math.floor(across * around / pattern.around))
            yield {"pattern.around": around, "pattern.across": across}


def _small_cells(finding: Finding, design: Design, readings: RingReadings) -> Iterator[Edit]:
    yield from _fewer_around(design, (0.95, 0.9, 0.8, 0.7, 0.55))
    relief, rails = design.relief, design.rails
    if relief.wall_width_mm is not None:
        limits = design.make.making_limits
        kept = (limits.ridge_mm if relief.form in RIDGE_AT_WALL else limits.groove_mm).near
        for share in (0.85, 0.7, 0.5):
            asked = down(share * relief.wall_width_mm)
            # Not narrower than can be made with ease, as long as that is a change.
            yield {"relief.wall_width_mm": max(asked, kept) if kept < relief.wall_width_mm else asked}
    for more in (0.2, 0.5):
        yield {"rails.lower_mm": up(rails.lower_mm + more), "rails.upper_mm": up(rails.upper_mm + more)}


def _thin_metal(finding: Finding, design: Design, readings: RingReadings) -> Iterator[Edit]:
    """The limit that was broken says which metal is meant."""
    missing, hollow = lacking(finding), design.hollow
    if hollow is not None and finding.limit_name == "hollow_wall_mm":
        yield {"hollow.wall_mm": up(hollow.wall_mm + missing)}
        if hollow.floor_mm is not None:
            yield {"hollow.floor_mm": up(hollow.floor_mm + missing)}
        return
    relief = design.relief
    if finding.limit_name == "edge_mm":
        yield from _stations(design, 0.0, missing)
    if relief.depth_mm > missing + 0.05 and relief.form in RIDGE_AT_WALL:
        yield {"relief.depth_mm": down(relief.depth_mm - missing)}
    yield from _stations(design, missing, missing)


def _stations(design: Design, height: float, edge: float) -> Iterator[Edit]:
    """The lowest stations higher by so much, in the middle and at their edges; after that all of them."""
    stations = design.band.stations
    lowest = min(station.height_mm for station in stations), min(station.edge_height_mm for station in stations)
    least = up(lowest[0] + height), up(lowest[1] + edge)
    yield {
        "band.stations": tuple(
            _raised(s, max(s.height_mm, least[0]), max(s.edge_height_mm, least[1])) for s in stations
        )
    }
    raised = ((s, up(s.height_mm + height), up(s.edge_height_mm + edge)) for s in stations)
    yield {"band.stations": tuple(_raised(*each) for each in raised)}


def _raised(station: Station, height: float, edge: float) -> Station:
    return replace(station, height_mm=height, edge_height_mm=min(edge, height))


def _folded(finding: Finding, design: Design, readings: RingReadings) -> Iterator[Edit]:
    relief = design.relief
    if finding.unit == "triangles":
        yield from _small_cells(finding, design, readings)
        return
    # The margin 1 + h k falls in proportion to the depth.
    share = (1.0 - NEAR_FOLD) / max(1.0 - readings.fold_margin, 1e-6)
    yield {"relief.depth_mm": down(relief.depth_mm * share)}


def _stretched(finding: Finding, design: Design, readings: RingReadings) -> Iterator[Edit]:
    pattern = design.pattern
    if pattern.across != "auto":
        yield {"pattern.across": "auto"}
        for more in (-1, 1, -2, 2):
            yield {"pattern.across": max(pattern.across + more, 1)}
    for more in (-1, 1, -2, 2, -3, 3):
        yield {"pattern.around": max(pattern.around + more, MIN_AROUND)}


def _low_relief(finding: Finding, design: Design, readings: RingReadings) -> Iterator[Edit]:
    relief = design.relief
    yield {"relief.depth_mm": up(relief.depth_mm + lacking(finding) - 1e-4)}


def _steep(finding: Finding, design: Design, readings: RingReadings) -> Iterator[Edit]:
    yield {"relief.flank_deg": 90.0 - (finding.limit or 0.0)}


def _thin_web(finding: Finding, design: Design, readings: RingReadings) -> Iterator[Edit]:
    """Bars between pierced cells, or the borders beside them: wider walls, wider rails, larger cells."""
    missing, rails = lacking(finding), design.rails
    for more in (missing, 1.5 * missing):
        yield {"rails.lower_mm": up(rails.lower_mm + more), "rails.upper_mm": up(rails.upper_mm + more)}
    yield from _wider_wall(design, missing)


def _high(finding: Finding, design: Design, readings: RingReadings) -> Iterator[Edit]:
    """The stations that are too high, lower by what is too much."""
    over = (finding.measured or 0.0) - (finding.limit or 0.0) + STEP_MM
    tallest = max(station.height_mm for station in design.band.stations)
    stations = []
    for station in design.band.stations:
        height = min(station.height_mm, down(tallest - over))
        stations.append(replace(station, height_mm=height, edge_height_mm=min(station.edge_height_mm, height)))
    yield {"band.stations": tuple(stations)}


_MOVES: Final[dict[Kind, Move]] = {
    Kind.THIN_RIDGE: _ridge,
    Kind.THIN_GROOVE: _groove,
    Kind.SMALL_CELLS: _small_cells,
    Kind.WHOLE_CELLS: _small_cells,
    Kind.THIN_METAL: _thin_metal,
    Kind.FOLDED_RELIEF: _folded,
    Kind.STRETCHED_CELLS: _stretched,
    Kind.LOW_RELIEF: _low_relief,
    Kind.STEEP_FLANK: _steep,
    Kind.HIGH_HEAD: _high,
    Kind.THIN_WEB: _thin_web,
    **STONE_MOVES,
}
