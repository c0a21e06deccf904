"""Single cells and sites changed by hand: designs in, designs out. Places are kept as shares of the strip."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np

from ringtex.design.design import Design
from ringtex.make_ring import ShapedRing
from ringtex.pattern.cellular.site_edits import MovedSite, SitePosition, nearest_sites
from ringtex.pattern.locate import cells_at
from ringtex.pattern.patterned_part import PatternedPart
from ringtex.relief.cell_edits import CellEdit

DEPTHS: Final = (0.0, 1.5, -1.0)
"""What a cell becomes in turn, as multiples of the relief's depth: flat, deeper, the other way; then as it was."""

DEPTH_WORDS: Final = {0.0: "flat", 1.5: "deeper", -1.0: "the other way"}


def cell_depth(built: ShapedRing, design: Design, cell: int) -> float | None:
    """The depth that a hand gave a cell, as a multiple; None for none.

    Parameters:
        built: the ring as it was built.
        design: its design.
        cell: index of the cell.
    Returns: the depth as a multiple, or None.
    """
    given = [edit.depth for edit in _edits_of(built, design, cell)]
    return given[-1] if given else None


def with_next_depth(built: ShapedRing, design: Design, cell: int) -> Design:
    """The cell's next state: flat, deeper, the other way, and as it was.

    Parameters:
        built: the ring as it was built.
        design: the design before the change.
        cell: index of the cell.
    Returns: the changed design.
    """
    now = cell_depth(built, design, cell)
    place = DEPTHS.index(now) + 1 if now in DEPTHS else 0
    mine = _edits_of(built, design, cell)
    others = tuple(edit for edit in design.edits.cells if edit not in mine)
    if place < len(DEPTHS):
        tiling = built.pattern.tiling
        u, v = tiling.kernel[0][cell]
        others = (*others, CellEdit(_share(u, tiling.length, True), _share(v, built.strip.width, False), DEPTHS[place]))
    return replace(design, edits=replace(design.edits, cells=others))


def _edits_of(built: ShapedRing, design: Design, cell: int) -> list[CellEdit]:
    edits = design.edits.cells
    if not edits:
        return []
    places = np.array([(edit.u * built.strip.length, edit.v * built.strip.width) for edit in edits])
    found = cells_at(built.pattern.tiling, places)
    return [edit for edit, at in zip(edits, found, strict=True) if at == cell]


def has_sites(built: ShapedRing) -> bool:
    """Whether cells grow from sites that a hand can move."""
    return built.pattern.family == "cellular" and built.pattern.sites is not None


def site_kind(built: ShapedRing, site: int) -> str:
    """ "free", "held" (pinned or moved) or "added"."""
    grown = built.pattern.grown
    if grown is None:
        return "free"
    if grown.origin[site] < 0:
        return "added"
    return "held" if grown.fixed[site] else "free"


def with_site_moved(built: ShapedRing, design: Design, site: int, place: tuple[float, float]) -> Design:
    """A site at another place (u, v), mm, u of any turn; it is held there from then on.

    Parameters:
        built: the ring as it was built.
        design: the design before the change.
        site: index of the site.
        place: (u, v), mm, u of any turn.
    Returns: the changed design.
    """
    to_u, to_v = _place(built, place)
    added = _added_number(built, site)
    edits = design.edits.sites
    if added is not None:
        places = list(edits.added)
        places[added] = SitePosition(to_u, to_v)
        return _with_sites(design, added=tuple(places))
    u, v = _place(built, _grown_place(built, site))
    pinned, moved = _others(built, design, site)
    return _with_sites(design, pinned=pinned, moved=(*moved, MovedSite(u, v, to_u, to_v)))


def with_site_pinned(built: ShapedRing, design: Design, site: int) -> Design:
    """A free site held where it is now; a held one let go. An added site is always held.

    Parameters:
        built: the ring as it was built.
        design: the design before the change.
        site: index of the site.
    Returns: the changed design.
    """
    kind = site_kind(built, site)
    if kind == "added":
        return design
    pinned, moved = _others(built, design, site)
    if kind == "held":
        return _with_sites(design, pinned=pinned, moved=moved)
    assert built.pattern.sites is not None
    here = _place(built, (float(built.pattern.sites[site, 0]), float(built.pattern.sites[site, 1])))
    was = _place(built, _grown_place(built, site))
    if np.allclose(here, was, atol=1e-9):
        return _with_sites(design, pinned=(*pinned, SitePosition(*was)), moved=moved)
    return _with_sites(design, pinned=pinned, moved=(*moved, MovedSite(*was, *here)))


def with_site_added(built: ShapedRing, design: Design, place: tuple[float, float]) -> Design:
    """One more site at a place (u, v), mm.

    Parameters:
        built: the ring as it was built.
        design: the design before the change.
        place: (u, v), mm.
    Returns: the changed design.
    """
    return _with_sites(design, added=(*design.edits.sites.added, SitePosition(*_place(built, place))))


def with_site_removed(built: ShapedRing, design: Design, site: int) -> Design:
    """Without a site.

    Parameters:
        built: the ring as it was built.
        design: the design before the change.
        site: index of the site.
    Returns: the changed design.
    """
    added = _added_number(built, site)
    edits = design.edits.sites
    if added is not None:
        return _with_sites(design, added=edits.added[:added] + edits.added[added + 1 :])
    pinned, moved = _others(built, design, site)
    gone = SitePosition(*_place(built, _grown_place(built, site)))
    return _with_sites(design, pinned=pinned, moved=moved, removed=(*edits.removed, gone))


def _with_sites(design: Design, **kinds: tuple[SitePosition, ...] | tuple[MovedSite, ...]) -> Design:
    sites = replace(design.edits.sites, **kinds)  # type: ignore[arg-type]
    return replace(design, edits=replace(design.edits, sites=sites))


def _added_number(built: ShapedRing, site: int) -> int | None:
    grown = built.pattern.grown
    if grown is None or grown.origin[site] >= 0:
        return None
    return -1 - int(grown.origin[site])


def _grown_place(built: ShapedRing, site: int) -> tuple[float, float]:
    """Where the site was before any edits, mm."""
    pattern = built.pattern
    if pattern.grown is not None:
        u, v = pattern.grown.grown[int(pattern.grown.origin[site])]
    else:
        assert pattern.sites is not None
        u, v = pattern.sites[site]
    return float(u), float(v)


def _others(built: ShapedRing, design: Design, site: int) -> tuple[tuple[SitePosition, ...], tuple[MovedSite, ...]]:
    """Pins and moves of all sites but this one."""
    tiling, width = built.pattern.tiling, built.strip.width
    part = PatternedPart(tiling.length, tiling.lower, tiling.upper)
    grown = built.pattern.grown.grown if built.pattern.grown is not None else built.pattern.sites
    number = site if built.pattern.grown is None else int(built.pattern.grown.origin[site])
    assert grown is not None

    def mine(edit: SitePosition | MovedSite) -> bool:
        place = np.array([[edit.u * tiling.length, edit.v * width]])
        return int(nearest_sites(part, grown, place)[0]) == number

    edits = design.edits.sites
    return tuple(p for p in edits.pinned if not mine(p)), tuple(m for m in edits.moved if not mine(m))


def _place(built: ShapedRing, place: tuple[float, float]) -> tuple[float, float]:
    """Shares of the strip, held between the rails."""
    tiling = built.pattern.tiling
    v = min(max(place[1], tiling.lower), tiling.upper)
    return _share(place[0], built.strip.length, True), _share(v, built.strip.width, False)


def _share(value: float, whole: float, wraps: bool) -> float:
    share = float(value) / whole
    return share % 1.0 if wraps else min(max(share, 0.0), 1.0)
