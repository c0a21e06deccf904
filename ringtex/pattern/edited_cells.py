"""Cells that grow again from sites changed by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import cast

import numpy as np

from ringtex.basics.errors import InputError
from ringtex.basics.progress import Progress
from ringtex.pattern.area_density import MeasuredStrip
from ringtex.pattern.cellular import EVEN_SHORT_WALL_SHARE
from ringtex.pattern.even_cells import area_density
from ringtex.pattern.lattice import Lattice
from ringtex.pattern.pattern_options import PatternOptions
from ringtex.pattern.patterned_part import GrownSites, Pattern, PatternedPart, Strip
from ringtex.pattern.place_rounding import rounded
from ringtex.pattern.power_cells import equal_weights
from ringtex.pattern.scattered_hexagons import RegularPlane
from ringtex.pattern.short_walls import SHORT_WALL_SHARE, close_short_walls
from ringtex.pattern.site_edits import SiteEdits, edited_sites
from ringtex.pattern.site_settling import settled
from ringtex.pattern.tiling import Tiling
from ringtex.pattern.voronoi_cells import voronoi_tiling


def edited_cellular(
    strip: Strip,
    part: PatternedPart,
    pattern: Pattern,
    options: PatternOptions,
    edits: SiteEdits,
    progress: Progress,
    *,
    draft: bool = False,
) -> Pattern:
    """A cellular pattern with its sites changed by hand: only what lies near a change differs from `pattern`.

    Even cells (evenness over 0) are made even again, except in a draft. Raises: InputError where the sites left give
    no pattern; Cancelled.
    """
    assert pattern.sites is not None
    sites = settled(part, edited_sites(part, pattern.sites, edits, strip.width), options.scatter, progress)
    weights = None
    short = SHORT_WALL_SHARE
    if options.evenness > 0.0:
        short = EVEN_SHORT_WALL_SHARE
        if not draft:
            density = area_density(cast(MeasuredStrip, strip), part, options.evenness)
            weights, _ = equal_weights(part, sites.places, density, progress)
    tiling = voronoi_tiling(part, sites.places, weights)
    _refuse_self_meeting(tiling)
    tiling = rounded(close_short_walls(tiling, short))
    return replace(pattern, tiling=tiling, sites=sites.places, grown=sites)


def edited_hexagons(
    strip: Strip, part: PatternedPart, lattice: Lattice, options: PatternOptions, edits: SiteEdits
) -> tuple[Tiling, GrownSites]:
    """The tiling and sites of hexagons, scattered or not, some of whose sites were changed by hand; others stay.

    Raises: InputError as `edited_cellular`.
    """
    plane = RegularPlane(part, lattice)
    grown = plane.on_strip(plane.scattered_sites(options.scatter, options.seed))
    sites = edited_sites(part, grown, edits, strip.width)
    tiling = plane.cells(plane.from_strip(sites.places))
    _refuse_self_meeting(tiling)
    return tiling, sites


def _refuse_self_meeting(tiling: Tiling) -> None:
    """Raises: InputError where so few sites are left that a cell meets itself round the ring."""
    inner = np.flatnonzero(tiling.twin >= 0)
    if np.any(tiling.corner_cell[inner] == tiling.corner_cell[tiling.twin[inner]]):
        message = "with these sites a cell would reach all round the ring and meet itself"
        raise InputError(message, "Bring some of the removed sites back, or move sites apart", "edits.sites")
