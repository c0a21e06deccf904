"""One design under every way of laying its pattern on the band: what each does to the cells, numbers and pictures."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.errors import InputError
from ringtex.basics.progress import Progress
from ringtex.basics.tolerances import DRAFT_CHORD_MM
from ringtex.checks.geometry.cell_measures import CellDistortion, measure_cell_distortion
from ringtex.design.design import Design
from ringtex.export.picture.picture import render_picture
from ringtex.pattern.make_pattern import make_pattern
from ringtex.pattern.measure import Regularity, measure_regularity
from ringtex.pattern.pattern_options import FREE_FORM_FAMILIES
from ringtex.pattern.patterned_part import Pattern
from ringtex.pattern.quantisation import in_first_turn, with_vertices
from ringtex.pattern.tiling import Tiling
from ringtex.relief.make_relief import make_relief
from ringtex.solid.build_solid import build_solid
from ringtex.solid.mesh.ring_mesh import RingMesh
from ringtex.strip.naive_wrap import NaiveWrap
from ringtex.strip.strip_map import StripMap
from ringtex.strip.strip_options import Keep
from ringtex.strip.unwrap import unwrap

VIEWS: Final = ("three_quarter", "palm")
"""The head's side, where cells are largest, and the palm's, where they crowd."""

KEPT: Final[tuple[Keep, ...]] = ("length", "shape", "area")


@dataclass(frozen=True, eq=False)
class ComparedMapping:
    """One way: its name, strip and pattern, and what it does to the cells."""

    name: str
    strip: StripMap
    pattern: Pattern
    cells: CellDistortion
    regularity: Regularity


def compare_mappings(design: Design, progress: Progress) -> list[ComparedMapping]:
    """The design's pattern, with as many cells round and across, between its rails, laid on in five ways.

    Stones and edits are left out. In order: naive wrap (u by angle, v by width), keep length, keep shape, keep area,
    all as one pattern without evenness; then even cells (evenness 1 on the strip that keeps shape), for families that
    cannot be even as hexagons.
    Raises: InputError where the design cannot be built; Cancelled.
    """
    if design.pattern.family in FREE_FORM_FAMILIES:
        message = f"{FREE_FORM_FAMILIES[design.pattern.family]} have no cells that could be compared"
        raise InputError(message, "Choose a family of cells", "pattern.family")
    band = design.make_band()
    shape = unwrap(band, "shape")
    plain = replace(design.pattern, evenness=0.0, density=None)
    rows = make_pattern(shape, plain, design.rails, progress).across
    plain = replace(plain, across=rows)
    family = plain.family if plain.family in ("hexagon", "cellular") else "hexagon"
    even = replace(plain, family=family, evenness=1.0, twist=0, slide_mm=(0.0, 0.0))
    ways: list[tuple[str, StripMap, bool]] = [("naive wrap", NaiveWrap(band), False)]
    ways += [(f"keep {keep}", unwrap(band, keep), False) for keep in KEPT]
    ways += [("even cells", shape, True)]
    compared = []
    for done, (name, strip, is_even) in enumerate(ways):
        progress.within(done / len(ways))
        pattern = make_pattern(strip, even if is_even else plain, design.rails, progress)
        cells = measure_cell_distortion(pattern.tiling, strip, level=pattern.level)
        regular = measure_regularity(pattern.tiling, strip, pattern.level)
        compared.append(ComparedMapping(name, strip, pattern, cells, regular))
    return compared


def mapping_pictures(
    compared: list[ComparedMapping], design: Design, side: int, progress: Progress
) -> list[list[NDArray[np.uint8]]]:
    """One row a view, one (side, side, 3) picture a mapping, of the ring with its relief.

    Parameters:
        compared: the mappings.
        design: the design to picture.
        side: of each picture, pixels.
        progress: told of the work and asked whether to stop.
    Returns: one row a view, one (side, side, 3) picture a mapping.
    Raises: Cancelled.
    """
    meshes: list[RingMesh] = []
    steps = len(compared) * (1 + len(VIEWS))
    for way in compared:
        progress.within(len(meshes) / steps)
        strip, tiling = _drawable(way)
        relief = make_relief(tiling.cells, design.relief, DRAFT_CHORD_MM, level=way.pattern.level)
        meshes.append(build_solid(strip, tiling, relief, DRAFT_CHORD_MM, progress).mesh)
    rows: list[list[NDArray[np.uint8]]] = []
    for view in VIEWS:
        rows.append([])
        for mesh in meshes:
            progress.within((len(meshes) * len(rows) + len(rows[-1])) / steps)
            rows[-1].append(render_picture(mesh, None, side, side, view, progress=progress))
    return rows


def mapping_caption(way: ComparedMapping) -> list[str]:
    """What stands under a mapping's pictures."""
    areas = way.cells.areas
    return [
        way.name,
        f"area varies by {100.0 * areas.cv:.2f} %",
        f"largest / smallest {areas.largest / areas.smallest:.2f}",
        f"worst angle error {way.cells.worst_angle_error_deg:.1f} degrees",
    ]


def _drawable(way: ComparedMapping) -> tuple[StripMap, Tiling]:
    """A strip and tiling that can be meshed: cells of the naive wrap are moved to the strip that keeps shape, corner by
    corner, for no mesh is fine enough where the naive strip stretches beyond all bounds. Its rails become straight
    there: at every angle the cells between them are moved and scaled across.
    """
    tiling = way.pattern.tiling
    if not isinstance(way.strip, NaiveWrap):
        return way.strip, tiling
    shape = unwrap(way.strip.band, "shape")
    naive_u, naive_v = tiling.vertices.T
    low, high = tiling.lower, way.strip.width - tiling.upper
    u, v = shape.from_band(*way.strip.to_band(naive_u, naive_v))
    rails = [
        shape.from_band(*way.strip.to_band(naive_u, np.full_like(naive_v, at)))[1]
        for at in (tiling.lower, tiling.upper)
    ]
    v = low + (v - rails[0]) / (rails[1] - rails[0]) * (shape.width - high - low)
    v[naive_v == tiling.lower] = low
    v[naive_v == tiling.upper] = shape.width - high
    moved = replace(tiling, length=shape.length, lower=low, upper=shape.width - high)
    return shape, in_first_turn(with_vertices(moved, np.column_stack([u, v])))
