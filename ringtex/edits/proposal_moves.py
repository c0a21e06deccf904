"""For each kind of finding the small changes of a design that could clear it, computed from what was measured."""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace
from typing import Final

from ringtex.band.band_options import Station
from ringtex.basics.errors import InputError
from ringtex.checks.check_ring import RingReadings
from ringtex.checks.finding import Finding, Kind
from ringtex.checks.geometry.folding import NEAR_FOLD
from ringtex.checks.making.detail import RIDGE_AT_WALL
from ringtex.checks.making.making_limits import Limit
from ringtex.design.design import Design
from ringtex.edits.proposal_edits import STEP_MM, Edit, Move, down, edited, lacking, up
from ringtex.edits.proposal_stone_moves import STONE_MOVES

MIN_AROUND: Final = 3


def moves_for(finding: Finding, design: Design, readings: RingReadings) -> list[Design]:
    """Designs to try, each the smallest change of one quantity that could clear the finding; none for some kinds.

    A change that leads out of what the options allow is left out.
    """
    moves = _MOVES.get(finding.kind)
    found: list[Design] = []
    aimed = _aimed(finding, design)
    for edit in moves(aimed, design, readings) if moves else ():
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


def _ridge(finding: Finding, design: Design, readings: RingReadings) -> Iterator[Edit]:
    at_wall = design.relief.form in RIDGE_AT_WALL
    yield from (_wider_wall if at_wall else _more_cell)(design, lacking(finding))


def _groove(finding: Finding, design: Design, readings: RingReadings) -> Iterator[Edit]:
    at_wall = design.relief.form not in RIDGE_AT_WALL
    yield from (_wider_wall if at_wall else _more_cell)(design, lacking(finding))


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
    Kind.THIN_METAL: _thin_metal,
    Kind.FOLDED_RELIEF: _folded,
    Kind.STRETCHED_CELLS: _stretched,
    Kind.LOW_RELIEF: _low_relief,
    Kind.STEEP_FLANK: _steep,
    Kind.HIGH_HEAD: _high,
    Kind.THIN_WEB: _thin_web,
    **STONE_MOVES,
}
