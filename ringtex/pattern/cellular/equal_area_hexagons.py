"""Even hexagons: rows as a lattice has them, their counts changed by pairs of five- and seven-sided cells alone.

At evenness 0 they are the lattice itself. With more, columns of the lattice take cells up and give them off one by one,
as the band's width on the ring asks, so that cells keep their shape and direction; each such place is one pair. Cells
are then relaxed and equalised as other even cells are. All sets in without a jump, stretched lattices too: cells are
grown in a plane where they are regular, which goes over to the strip itself.
"""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import replace
from typing import Final, cast

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.basics.caches import BoundedCache
from ringtex.basics.errors import InputError
from ringtex.basics.progress import Progress
from ringtex.pattern.cellular.area_density import MeasuredStrip, area_density
from ringtex.pattern.cellular.cellular import EVEN_STEPS, refuse_slide, short_wall_fraction
from ringtex.pattern.cellular.equal_area_cells import EvenRequest, equal_area_diagram, kept_measures, power_tiling
from ringtex.pattern.cellular.lloyd_relaxation import relax_near_edits
from ringtex.pattern.cellular.moving_diagram import MovingDiagram
from ringtex.pattern.cellular.power_diagram import fitted_weights
from ringtex.pattern.cellular.site_edits import SiteEdits, edited_sites
from ringtex.pattern.cellular.sites import wrap_sites
from ringtex.pattern.cellular.voronoi_cells import refuse_self_meeting
from ringtex.pattern.lattice.lattice import Lattice
from ringtex.pattern.lattice.scattered_hexagons import MAX_MOVE, RegularPlane, Shear
from ringtex.pattern.pattern_options import PatternOptions
from ringtex.pattern.patterned_part import CACHED_PATTERNS, GrownSites, Pattern, PatternedPart, Strip
from ringtex.pattern.quantisation import rounded
from ringtex.pattern.tiling import Tiling

PITCH: Final = (2.0 / 3.0**0.5) ** 0.5
"""Pitch of a regular hexagon over the root of its area."""

MIN_MOVE: Final = 0.01
"""Random move of sites, in cell sizes, where cells are wholly ordered: enough to tell seeds apart."""


class EvenPlane:
    """The plane that even hexagons grow in, and what is asked for there."""

    def __init__(self, strip: Strip, part: PatternedPart, lattice: Lattice, options: PatternOptions) -> None:
        regular = 1.0 + lattice.stretch_percent / 100.0
        self.strip_part, self.options = part, options
        self._way = Shear(1.0, 0.0, regular ** (options.density_weight - 1.0))
        self.part = PatternedPart(part.length, self._way.c * part.lower, self._way.c * part.upper)
        self.strip_density = area_density(cast(MeasuredStrip, strip), part, options.evenness, options.density)
        self.density = self.strip_density.on(self.part)

    @property
    def spread(self) -> float:
        """Coefficient of variation that the cells' measures: 1 - evenness of the scattered lattice's."""
        return (1.0 - self.options.evenness) * float(np.interp(self.options.scatter, *SPREAD))

    def grown(self, count: int, progress: Progress) -> MovingDiagram:
        """So many weighted cells in this plane. Raises Cancelled."""
        order, scatter = self.options.density_weight, self.options.scatter
        steps = order * EVEN_STEPS * (1.0 - scatter) ** 2
        move = order * MIN_MOVE + scatter * MAX_MOVE * PITCH
        request = EvenRequest(count, steps, move, self.options.seed, self.spread, order, True, scatter == 0.0)
        return equal_area_diagram(self.part, self.density, request, progress)

    def cells(self, diagram: MovingDiagram) -> Tiling:
        """The strip's tiling by the cells of this plane. Raises InputError where a cell meets itself."""
        short_wall = short_wall_fraction(self.options.density_weight)
        tiling = power_tiling(diagram, self.density, short_wall)
        refuse_self_meeting(tiling)
        return rounded(self._way.undo(tiling, self.strip_part))

    def on_strip(self, sites: Floats) -> Floats:
        """Places of this plane on the strip."""
        return wrap_sites(self.strip_part, self._way.undo_places(sites))

    def from_strip(self, sites: Floats) -> Floats:
        """Places of the strip in this plane."""
        return wrap_sites(self.part, self._way.apply(sites))


def equal_area_hexagons(
    strip: Strip,
    part: PatternedPart,
    lattice: Lattice,
    options: PatternOptions,
    progress: Progress,
) -> Pattern:
    """Around x across cells of equal measure by evenness and density.

    Results are cached: a repeated request returns the same Pattern.

    Parameters:
        strip: the strip map, with what `MeasuredStrip` requires.
        part: the rectangle between the rails.
        lattice: the fitted lattice.
        options: the pattern's options.
        progress: asked whether to stop.
    Returns: the pattern.
    Raises: InputError for a twist or a slide, which even cells cannot follow; Cancelled.
    """
    if options.twist != 0:
        message = "even cells have no rows that could climb round the ring"
        raise InputError(message, "Set the twist to 0, or evenness to 0 and density to null", "pattern.twist")
    if options.slide_mm != (0.0, 0.0):
        refuse_slide()
    key = (part, strip, replace(options, across=lattice.across))
    cached = _cache.get(key)
    if cached is not None:
        return cached
    plane = EvenPlane(strip, part, lattice, options)
    diagram = plane.grown(options.around * lattice.across, progress)
    tiling = plane.cells(diagram)
    stretch = 100.0 * ((1.0 + lattice.stretch_percent / 100.0) ** (1.0 - options.density_weight) - 1.0)
    pattern = Pattern(tiling, options.family, options.around, lattice.across, stretch, plane.on_strip(diagram.sites))
    _cache.put(key, pattern)
    return pattern


def edited_equal_area_hexagons(
    strip: Strip,
    part: PatternedPart,
    lattice: Lattice,
    options: PatternOptions,
    edits: SiteEdits,
    progress: Progress,
) -> Pattern:
    """The same with sites changed by hand; their neighbours make room, and cells are made even again.

    Parameters:
        strip: the strip map, with what `MeasuredStrip` requires.
        part: the rectangle between the rails.
        lattice: the fitted lattice.
        options: the pattern's options.
        edits: the changes of single sites.
        progress: asked whether to stop.
    Returns: the pattern with the edits.
    Raises: InputError where the remaining sites give no pattern; Cancelled.
    """
    pattern = equal_area_hexagons(strip, part, lattice, options, progress)
    assert pattern.sites is not None
    grown: GrownSites = edited_sites(part, pattern.sites, edits, strip.width)
    sites = relax_near_edits(part, grown, options.scatter, progress)
    plane = EvenPlane(strip, part, lattice, options)
    diagram = MovingDiagram(plane.part, plane.from_strip(sites.places))
    targets = kept_measures(plane.strip_density, pattern.tiling, sites.origin)
    weighted, _ = fitted_weights(diagram, plane.density, progress, targets)
    return replace(pattern, tiling=plane.cells(weighted), sites=sites.places, grown=sites)


SPREAD: Final = ((0.0, 0.25, 0.5, 0.75, 1.0), (0.0, 0.052, 0.108, 0.169, 0.233))
"""Scatter, and the coefficient of variation of cell areas on the strip at evenness 0 (as `cellular_spread`)."""

MIN_SCATTER: Final = 1e-5
"""Scatter of hexagons with edits, at least: the six neighbours of a regular site that was taken away lie on one circle,
and then it is not defined which of them meet. Moves sites by some ten nanometres."""


def edited_hexagons(
    strip: Strip, part: PatternedPart, lattice: Lattice, options: PatternOptions, edits: SiteEdits
) -> tuple[Tiling, GrownSites]:
    """The tiling and sites of hexagons, scattered or not, some of whose sites were changed by hand; others stay.

    Parameters:
        strip: the strip map.
        part: the rectangle between the rails.
        lattice: the fitted lattice.
        options: the pattern's options.
        edits: the changes of single sites.
    Returns: the tiling and its sites.
    Raises: InputError where the remaining sites give no pattern.
    """
    plane = RegularPlane(part, lattice)
    grown = plane.on_strip(plane.scattered_sites(max(options.scatter, MIN_SCATTER), options.seed))
    sites = edited_sites(part, grown, edits, strip.width)
    tiling = plane.cells(plane.from_strip(sites.places))
    refuse_self_meeting(tiling)
    return tiling, sites


_cache: Final[BoundedCache[Hashable, Pattern]] = BoundedCache(CACHED_PATTERNS)
