"""Cells that grow again from sites changed by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import Final, cast

from ringtex.basics.progress import Progress
from ringtex.pattern.cellular.area_density import MeasuredStrip, area_density
from ringtex.pattern.cellular.cellular import short_wall_share
from ringtex.pattern.cellular.local_relaxation import settled
from ringtex.pattern.cellular.power_diagram import equal_weights
from ringtex.pattern.cellular.short_walls import close_short_walls
from ringtex.pattern.cellular.site_edits import SiteEdits, edited_sites
from ringtex.pattern.cellular.voronoi_cells import refuse_self_meeting, voronoi_tiling
from ringtex.pattern.lattice.lattice import Lattice
from ringtex.pattern.lattice.scattered_hexagons import RegularPlane
from ringtex.pattern.pattern_options import PatternOptions
from ringtex.pattern.patterned_part import GrownSites, Pattern, PatternedPart, Strip
from ringtex.pattern.quantisation import rounded
from ringtex.pattern.tiling import Tiling

MIN_SCATTER: Final = 1e-5
"""Scatter of hexagons with edits, at least: the six neighbours of a regular site that was taken away lie on one circle,
and then it is not defined which of them meet. Moves sites by some ten nanometres."""


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
    if options.uses_target_density and not draft:
        density = area_density(cast(MeasuredStrip, strip), part, options.evenness, options.density)
        weights, _ = equal_weights(part, sites.places, density, progress, options.density_weight)
    tiling = voronoi_tiling(part, sites.places, weights)
    refuse_self_meeting(tiling)
    tiling = rounded(close_short_walls(tiling, short_wall_share(options.density_weight)))
    return replace(pattern, tiling=tiling, sites=sites.places, grown=sites)


def edited_hexagons(
    strip: Strip, part: PatternedPart, lattice: Lattice, options: PatternOptions, edits: SiteEdits
) -> tuple[Tiling, GrownSites]:
    """The tiling and sites of hexagons, scattered or not, some of whose sites were changed by hand; others stay.

    Raises: InputError as `edited_cellular`.
    """
    plane = RegularPlane(part, lattice)
    grown = plane.on_strip(plane.scattered_sites(max(options.scatter, MIN_SCATTER), options.seed))
    sites = edited_sites(part, grown, edits, strip.width)
    tiling = plane.cells(plane.from_strip(sites.places))
    refuse_self_meeting(tiling)
    return tiling, sites
