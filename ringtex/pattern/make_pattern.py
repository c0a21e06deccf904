"""Pattern options in, a tiling of the strip out."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import replace
from typing import Final

from ringtex.basics.arrays import Floats
from ringtex.basics.caches import BoundedCache, cached
from ringtex.basics.errors import InputError
from ringtex.basics.progress import Progress
from ringtex.pattern.cellular.site_edits import SiteEdits
from ringtex.pattern.grown.grown_families import GROWN_FAMILIES
from ringtex.pattern.lattice.families import LATTICE_FAMILIES, family_label, lattice_complex
from ringtex.pattern.lattice.lattice import Lattice, fit_lattice, lattice_tiling
from ringtex.pattern.panels.panel_options import Panel
from ringtex.pattern.pattern_options import PatternOptions, RailOptions
from ringtex.pattern.patterned_part import CACHED_PATTERNS, Pattern, PatternedPart, Strip, kept_rail
from ringtex.pattern.tiling import Tiling
from ringtex.pattern.zone_options import ZoneOptions
from ringtex.pattern.zones import zoned_pattern

MIN_WIDTH_MM: Final = 0.1
"""A patterned part narrower than this holds nothing that could be cast (a printer's pixel is about 0.04)."""

CACHED_LATTICES: Final = 2
"""They take milliseconds: enough for the steps of a drag that leave them as they are."""


def make_pattern(
    strip: Strip,
    options: PatternOptions,
    rails: RailOptions,
    progress: Progress,
    *,
    edits: SiteEdits | None = None,
    zones: tuple[ZoneOptions, ...] = (),
    panels: tuple[Panel, ...] = (),
) -> Pattern:
    """Cover the strip between its rails with cells.

    Parameters:
        strip: its length and width are used; for even cells and growth rings also its metric.
        options: as checked by themselves.
        rails: plain borders.
        progress: asked whether to stop.
        edits: single sites changed by hand, of cellular patterns and of hexagons; ignored for others, and with zones
            or panels.
        zones: bands with patterns of their own, from the lower edge up; none, or two or more.
        panels: framed rectangles with patterns of their own.
    Returns: a pattern whose tiling has no problems; the same options give the same bytes.
    Raises: InputError when rails or counts do not fit the strip; Cancelled.
    """
    part = patterned_part(strip, rails)
    progress.check()
    if panels:
        return _with_panels(strip, part, options, panels, progress)
    if not zones:
        return _pattern_of_part(strip, part, options, edits, progress)
    return zoned_pattern(
        part, options, zones, lambda place, own: _pattern_of_part(strip, place, own, None, progress), progress
    )


_panelled: Final[BoundedCache[Hashable, Pattern]] = BoundedCache(CACHED_PATTERNS)


def _with_panels(
    strip: Strip, part: PatternedPart, options: PatternOptions, panels: tuple[Panel, ...], progress: Progress
) -> Pattern:
    """A pattern with panels, which take some hundredths of a second each: kept while only the relief changes."""
    from ringtex.pattern.panels.panel_pattern import with_panels

    key = (strip, part, options, panels)
    pattern = _panelled.get(key)
    if pattern is None:
        whole = _pattern_of_part(strip, part, options, None, progress)
        pattern = with_panels(
            strip, part, whole, panels,
            lambda own, place, given: _pattern_of_part(own, place, given, None, progress), progress,
        )  # fmt: skip
        _panelled.put(key, pattern)
    return pattern


def _pattern_of_part(
    strip: Strip, part: PatternedPart, options: PatternOptions, edits: SiteEdits | None, progress: Progress
) -> Pattern:
    if options.family == "cellular":
        from ringtex.pattern.cellular.cellular import cellular_pattern

        pattern = cellular_pattern(strip, part, options, progress)
        if not edits:
            return pattern
        from ringtex.pattern.cellular.cellular import edited_cellular

        return edited_cellular(strip, part, pattern, options, edits, progress)
    if options.family == "motif":
        from ringtex.pattern.motif.motif_pattern import motif_pattern

        return motif_pattern(part, options)
    if options.uses_target_density:
        return _even_lattice(strip, part, options, edits, progress)
    if options.family in GROWN_FAMILIES:
        from ringtex.pattern.grown.grown_pattern import grown_pattern

        if options.family == "growth_rings":
            from ringtex.pattern.grown.growth_rings import varied_density

            return grown_pattern(part, options, varied_density(strip, part))
        return grown_pattern(part, options)
    if edits and options.family == "hexagon":
        return _edited_hexagons(strip, part, options, edits)
    return _lattice_pattern(part, options)


def patterned_part(strip: Strip, rails: RailOptions) -> PatternedPart:
    """What the rails leave of the strip. Raises InputError (where "rails") when it is nothing."""
    left = strip.width - rails.lower_mm - rails.upper_mm
    if left < MIN_WIDTH_MM:
        total = rails.lower_mm + rails.upper_mm
        message = (
            f"the rails take {total:.3g} mm of the {strip.width:.3g} mm wide strip and leave no room for a pattern"
        )
        advice = f"Give rails that are together at most {max(0.0, strip.width - MIN_WIDTH_MM):.3g} mm wide"
        raise InputError(message, advice, "rails")
    lower, upper = (kept_rail(rail) for rail in (rails.lower_mm, rails.upper_mm))
    return PatternedPart(strip.length, lower, strip.width - upper)


@cached(CACHED_LATTICES)
def _lattice_pattern(part: PatternedPart, options: PatternOptions) -> Pattern:
    """The same one for a repeated request, so that what was measured on its tiling need not be measured again."""
    lattice = _fitted(part, options)
    tiling, sites = _scattered(part, lattice, options) if options.scatter else (lattice_tiling(part, lattice), None)
    return Pattern(tiling, options.family, options.around, lattice.across, lattice.stretch_percent, sites)


def _edited_hexagons(strip: Strip, part: PatternedPart, options: PatternOptions, edits: SiteEdits) -> Pattern:
    from ringtex.pattern.cellular.equal_area_hexagons import edited_hexagons

    lattice = _fitted(part, options)
    tiling, sites = edited_hexagons(strip, part, lattice, options, edits)
    return Pattern(tiling, options.family, options.around, lattice.across, lattice.stretch_percent, sites.places, sites)


def _even_lattice(
    strip: Strip,
    part: PatternedPart,
    options: PatternOptions,
    edits: SiteEdits | None,
    progress: Progress,
) -> Pattern:
    """Hexagons that are no longer one lattice. Raises InputError for families whose rows cannot change their count."""
    if options.family != "hexagon":
        key = "evenness" if options.evenness > 0.0 else "density"
        why = (
            "whose cells stand in whole rows" if options.family in LATTICE_FAMILIES else "which follows the strip alone"
        )
        message = f"{key} does not apply to the family {family_label(options.family)}, {why}"
        raise InputError(message, "Leave it out, or choose the hexagon or cellular family", f"pattern.{key}")
    from ringtex.pattern.cellular.equal_area_hexagons import edited_equal_area_hexagons, equal_area_hexagons

    lattice = _fitted(part, options)
    if edits:
        return edited_equal_area_hexagons(strip, part, lattice, options, edits, progress)
    return equal_area_hexagons(strip, part, lattice, options, progress)


def _fitted(part: PatternedPart, options: PatternOptions) -> Lattice:
    """The family's lattice, its curves drawn in as few steps as its cells on this strip allow."""
    form = lattice_complex(options.family)
    lattice = fit_lattice(part, form, options)
    stretched = 1.0 if form.regular is None else lattice.row_pitch / (form.regular * lattice.pitch)
    steps = LATTICE_FAMILIES[options.family].steps_at(max(1.0, stretched) * lattice.pitch)
    return replace(lattice, form=lattice_complex(options.family, steps)) if steps else lattice


def _scattered(part: PatternedPart, lattice: Lattice, options: PatternOptions) -> tuple[Tiling, Floats | None]:
    if options.family == "hexagon":
        from ringtex.pattern.lattice.scattered_hexagons import scattered_hexagons

        return scattered_hexagons(part, lattice, options.scatter, options.seed)
    from ringtex.pattern.lattice.displaced_vertices import move_corners

    return move_corners(lattice_tiling(part, lattice), options.scatter, options.seed), None
