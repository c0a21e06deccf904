"""Single sites of a pattern moved, pinned, added and removed by hand."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields
from typing import Annotated, Final, TypeAlias

import numpy as np

from ringtex.basics.arrays import Floats, Longs
from ringtex.basics.errors import InputError
from ringtex.basics.limits import Within, require_limits
from ringtex.pattern.cellular.sites import wrap_sites
from ringtex.pattern.patterned_part import GrownSites, PatternedPart

MAX_SITE_EDITS: Final = 1000
"""Of each kind: as many as a hand could ever do; each is looked up among all sites."""

CLOSEST: Final = 0.05
"""A site set by hand and another never come closer than this fraction of the mean distance: the wall between would
have no direction."""

JITTER: Final = 1e-6
"""Fraction of the mean distance by which sites set by hand are moved off their position: sites in exactly regular rows
have no definite cells. At most a few nanometres."""


_STATED = "a position is given as fractions of the strip's length and width"
StripFraction: TypeAlias = Annotated[float, Within(0.0, 1.0, "", _STATED)]


@dataclass(frozen=True)
class SitePosition:
    """A position on the strip.

    u, v  fractions of its length and width; along, 0 and 1 are the same.
    """

    u: StripFraction
    v: StripFraction

    def __post_init__(self) -> None:
        require_limits(self, "")


@dataclass(frozen=True)
class MovedSite:
    """A site and where it is moved to.

    u, v        its position, as fractions of the strip's length and width.
    to_u, to_v  the position that it is moved to.
    """

    u: StripFraction
    v: StripFraction
    to_u: StripFraction
    to_v: StripFraction

    def __post_init__(self) -> None:
        require_limits(self, "")


@dataclass(frozen=True)
class SiteEdits:
    """What was done to single sites, for patterns that grow from sites; for others it rests.

    Sites are named by position: the nearest one of those that the pattern has without any edits. Where two edits name
    the same site, removing goes before moving, moving before pinning, and the later before the earlier.

    pinned   sites held at these positions, whatever the scatter or seed.
    added    new sites, held at these positions.
    removed  sites taken away.
    moved    sites moved, and held where they were moved to.
    """

    pinned: tuple[SitePosition, ...] = ()
    added: tuple[SitePosition, ...] = ()
    removed: tuple[SitePosition, ...] = ()
    moved: tuple[MovedSite, ...] = ()

    def __post_init__(self) -> None:
        for kind in fields(self):
            if len(getattr(self, kind.name)) > MAX_SITE_EDITS:
                message = f"{len(getattr(self, kind.name))} sites are more than can be {kind.name} by hand"
                raise InputError(message, f"Give at most {MAX_SITE_EDITS}", kind.name)

    def __bool__(self) -> bool:
        return bool(self.pinned or self.added or self.removed or self.moved)


def edited_sites(part: PatternedPart, sites: Floats, edits: SiteEdits, width_mm: float) -> GrownSites:
    """The sites after all edits; free sites keep their positions.

    Parameters:
        part: the rectangle between the rails.
        sites: (n, 2) in the part, mm.
        edits: the changes.
        width_mm: the whole strip's.
    Returns: the sites, where they came from, and which are held.
    Raises: InputError where two sites set by hand fall together, or fewer than three would be left.
    """
    if not edits:
        return GrownSites(sites, sites, np.arange(len(sites)), np.zeros(len(sites), np.bool_))
    size = np.array([part.length, width_mm])
    held = _Held(part, sites, size)
    held.place(edits.pinned, edits.pinned)
    held.place(
        [SitePosition(move.u, move.v) for move in edits.moved], [SitePosition(m.to_u, m.to_v) for m in edits.moved]
    )
    staying = np.ones(len(sites), np.bool_)
    staying[held.nearest(edits.removed)] = False
    added = _positions(edits.added) * size
    places = np.concatenate([held.sites[staying], added])
    origin = np.concatenate([np.flatnonzero(staying), -1 - np.arange(len(added))])
    fixed = np.concatenate([held.fixed[staying], np.ones(len(added), np.bool_)])
    if len(places) < 3:
        message = f"only {len(places)} sites are left, and a ring needs at least three cells"
        raise InputError(message, "Bring some of the removed sites back", "edits.sites.removed")
    spacing = math.sqrt(part.area / len(places))
    # A held site keeps off the borders as it keeps off its own mirrored copy there.
    clear = min(0.5 * CLOSEST * spacing, 0.1 * part.width)
    places[fixed] += JITTER * spacing * _small_moves(int(np.sum(fixed)))
    places[fixed, 1] = np.clip(places[fixed, 1], part.lower + clear, part.upper - clear)
    places = wrap_sites(part, places)
    return _push_apart(part, GrownSites(places, sites, origin, fixed), CLOSEST * spacing)


class _Held:
    """The grown sites while pins and moves take hold of them."""

    def __init__(self, part: PatternedPart, sites: Floats, size: Floats) -> None:
        self.part, self.grown, self.size = part, sites, size
        self.sites = sites.copy()
        self.fixed = np.zeros(len(sites), np.bool_)

    def nearest(self, named: Sequence[SitePosition]) -> Longs:
        """The grown site nearest to each place, round the ring."""
        return nearest_sites(self.part, self.grown, _positions(named) * self.size)

    def place(self, named: Sequence[SitePosition], to: Sequence[SitePosition]) -> None:
        """Hold the sites named at other places; of several for one site the last counts."""
        site = self.nearest(named)
        self.fixed[site] = True
        for number, place in zip(site, _positions(to) * self.size, strict=True):
            self.sites[number] = place


def nearest_sites(part: PatternedPart, sites: Floats, points: Floats) -> Longs:
    """The site nearest to each point, round the ring; equally near ones by number.

    Parameters:
        part: the rectangle between the rails.
        sites: (n, 2) positions on the strip, mm.
        points: (k, 2) points on the strip, mm.
    Returns: (k,) indices.
    """
    found = np.zeros(len(points), np.int64)
    for at, point in enumerate(points):
        found[at] = np.argmin(np.sum(apart(part, sites - point) ** 2, axis=1))
    return found


def _push_apart(part: PatternedPart, sites: GrownSites, least_mm: float) -> GrownSites:
    """Push free sites away from held ones. Raises: InputError where two held ones fall together."""
    places = sites.places.copy()
    for held in np.flatnonzero(sites.fixed):
        away = apart(part, places - places[held])
        distance = np.hypot(*away.T)
        distance[held] = np.inf
        near = np.flatnonzero(distance < least_mm)
        if np.any(sites.fixed[near]):
            message = "two sites set by hand lie at the same place"
            raise InputError(message, "Move one of them away, or remove it", "edits.sites")
        # Which way hardly matters; towards the middle of the part there is always room.
        up = 1.0 if places[held, 1] < 0.5 * (part.lower + part.upper) else -1.0
        places[near] = places[held] + np.column_stack([away[near, 0], np.full(len(near), up * least_mm)])
    return GrownSites(wrap_sites(part, places), sites.grown, sites.origin, sites.fixed)


def apart(part: PatternedPart, difference: Floats) -> Floats:
    """Differences of places, the short way round the ring."""
    u = difference[:, 0] - part.length * np.round(difference[:, 0] / part.length)
    return np.column_stack([u, difference[:, 1]])


def _small_moves(count: int) -> Floats:
    return np.asarray(np.random.Generator(np.random.PCG64(1)).uniform(-1.0, 1.0, (count, 2)), dtype=np.float64)


def _positions(positions: Sequence[SitePosition]) -> Floats:
    return np.array([(position.u, position.v) for position in positions], dtype=np.float64).reshape(-1, 2)
