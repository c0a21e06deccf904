"""All checks of a built ring, and the figures they measured."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Protocol

import numpy as np

from ringtex.band.finger_size import FingerSize
from ringtex.basics.arrays import Ints, sorted_unique
from ringtex.checks.finding import Finding, Kind, Level, worst_first
from ringtex.checks.geometry.cell_widths import NO_WIDTHS, cell_widths
from ringtex.checks.geometry.folding import check_folding, measure_folding
from ringtex.checks.geometry.mesh_checks import check_mesh, demote_minor
from ringtex.checks.geometry.seam import check_seam, measure_seam
from ringtex.checks.making.alloys import weight_g
from ringtex.checks.making.balance import check_balance, measure_balance
from ringtex.checks.making.bore_size import BoreSize, check_letters, check_size, measure_bore
from ringtex.checks.making.cautions import Caution, cautions_for
from ringtex.checks.making.detail import FinestDetail, PatternView, check_detail, detail_of_outlines, measure_detail
from ringtex.checks.making.make_options import MakeOptions
from ringtex.checks.making.pierced_webs import check_webs, check_whole_cells, measure_webs
from ringtex.checks.making.process_checks import check_process
from ringtex.checks.making.thickness import (
    check_hollow_wall,
    check_inscription,
    check_thickness,
    measure_hollow_wall,
    measure_letters,
    measure_thinnest_metal,
    outer_triangles,
)
from ringtex.checks.measures import Measures, annotate_finishing
from ringtex.checks.ring_position import Place, as_place
from ringtex.checks.stones.stone_findings import check_stones, spoils_genus
from ringtex.checks.stones.stone_seating import measure_stones
from ringtex.checks.strip_geometry import StripView
from ringtex.relief.relief_options import ReliefOptions
from ringtex.solid.finishing.finish import FinishedRing, unfinished
from ringtex.solid.finishing.hollow_options import HollowOptions
from ringtex.solid.mesh.booleans import original_number
from ringtex.solid.mesh.ring_mesh import RingSolid
from ringtex.solid.mesh.triangle_distance import SampledTriangles

if TYPE_CHECKING:
    from ringtex.checks.geometry.outline_widths import OutlineWidths


@dataclass(frozen=True)
class RingReadings:
    """What was measured on the mesh. Lengths mm; places (x, y, z); None where the ring has no such thing.

    weight_g is the metal's alone; the centre of mass and the moment count the stones too.
    """

    closed: bool
    bodies: int
    genus: int | None
    genus_expected: int
    volume_mm3: float
    area_mm2: float
    weight_g: float
    centre_of_mass: Place
    off_axis_mm: float
    height_mm: float
    thinnest_metal_mm: float
    thinnest_metal_place: Place
    thinnest_edge_mm: float
    thinnest_edge_place: Place
    thinnest_ridge_mm: float | None
    thinnest_groove_mm: float | None
    squeezed_cells: int
    fold_margin: float
    seam_gap_mm: float
    seam_normal_deg: float | None
    seam_elsewhere_deg: float
    size_circumference_mm: float
    stones_weight_g: float
    moment_g_mm: float
    holding_friction: float | None
    hollow_saved_mm3: float
    hollow_saved_g: float
    hollow_wall_mm: float | None
    hollow_floor_mm: float | None


@dataclass(frozen=True)
class Report:
    """Findings, worst first; what was measured; the cautions that apply."""

    findings: list[Finding]
    readings: RingReadings
    cautions: list[Caution]


class DesignView(Protocol):
    """What the checks ask of a design: its options, which decide what was wanted and what the process allows."""

    @property
    def relief(self) -> ReliefOptions:
        """Form, depth and widths."""

    @property
    def make(self) -> MakeOptions:
        """Alloy, process and allowances."""

    @property
    def size(self) -> FingerSize:
        """The finger size, before any shrinkage allowance."""

    @property
    def hollow(self) -> HollowOptions | None:
        """What is taken out from inside."""


SECONDS_A_TRIANGLE: Final = 3e-6
"""Processor time of all checks, measured: 2e-6 to 4e-6 in rings of some millions."""


def check_ring(
    design: DesignView,
    strip: StripView,
    pattern: PatternView | None,
    solid: RingSolid,
    finished: FinishedRing | None = None,
) -> Report:
    """Check a ring that ringtex built.

    Parameters:
        design: its options.
        strip: the strip it was built on.
        pattern: the pattern, so that advice can name numbers.
        solid: the ring with where each part came from.
        finished: the ring as it is made, hollowed and set; the solid itself where none is given.
    Returns: findings, readings and cautions. Without an error the finished mesh is closed, oriented, in one body with
        as many holes as its design makes, its volume is positive, its relief does not fold, its seam is joined, and
        metal and detail are within the process's limits.
    """
    finished, make, relief = finished or unfinished(solid), design.make, design.relief
    limits = make.making_limits
    widths = cell_widths(strip, pattern.tiling, solid) if pattern else NO_WIDTHS
    detail = measure_detail(solid, widths, relief.form)
    if pattern is not None and pattern.motif is not None:
        detail = detail_of_outlines(detail, _outline_widths(strip, solid), relief.form)
    outside = outer_triangles(finished, solid) if finished.stones or finished.hollow is not None else None
    measures = _measured(solid, strip, detail, make, finished, outside).after_polishing(make.polish_mm)
    cuts = [
        *check_stones(measure_stones(finished, solid, outside), finished, limits),
        *check_webs(measure_webs(finished.pierced, strip.band), limits),
    ]
    findings = [
        *_structure(finished, cuts),
        *check_folding(measures.fold),
        *check_seam(measures.seam),
        *check_size(measures.size, design.size.circumference_mm),
        *check_letters(measures.size, measures.letters_size),
        *check_thickness(measures.metal, limits),
        *check_hollow_wall(measures.wall, limits),
        *check_inscription(measures.letters, limits),
        *cuts,
        *check_detail(measures.detail, limits, relief, pattern),
        *check_whole_cells(finished.pierced, solid, relief, pattern),
        *check_process(relief, make, _holes(design, finished), _bends_from_flat(design, strip)),
        *check_balance(measures.balance, limits),
    ]
    findings = [annotate_finishing(finding, make.polish_mm) for finding in findings]
    cautions = cautions_for(make, finished.hollow_closed)
    return Report(worst_first(findings), _readings(finished, make, measures), cautions)


def _outline_widths(strip: StripView, solid: RingSolid) -> OutlineWidths | None:
    """Of an own motif or of growth rings; None for pictures."""
    if solid.contours is None:
        return None
    from ringtex.checks.geometry.outline_widths import outline_widths

    return outline_widths(strip, solid.contours)


def _holes(design: DesignView, finished: FinishedRing) -> list[tuple[str, float]]:
    """Name and diameter, mm, of each hole under a stone and of each drain."""
    holes = [(f"stone {i}", each.stone.hole * each.stone.diameter_mm) for i, each in enumerate(finished.stones, 1)]
    drains = design.hollow.drains if design.hollow else ()
    return [*holes, *((f"drain {i}", drain.diameter_mm) for i, drain in enumerate(drains, 1))]


def _bends_from_flat(design: DesignView, strip: StripView) -> bool:
    return strip.band.is_flat and design.hollow is None and strip.band.bore.rise_mm == 0.0


def _measured(
    solid: RingSolid,
    strip: StripView,
    detail: FinestDetail,
    make: MakeOptions,
    finished: FinishedRing,
    outside: SampledTriangles | None,
) -> Measures:
    """Everything as drawn."""
    return Measures(
        metal=measure_thinnest_metal(solid, strip.band, _unpierced_outer(finished, solid)),
        wall=measure_hollow_wall(finished, solid, outside),
        fold=measure_folding(solid, strip),
        seam=measure_seam(solid),
        detail=detail,
        size=measure_bore(solid.mesh, solid.face_ranges["bore"]),
        balance=measure_balance(finished.mesh, make.material, strip.band.bore_radius_mm, finished.stones),
        letters=measure_letters(finished, solid, outside),
        letters_size=_size_with_letters(finished),
    )


def _size_with_letters(finished: FinishedRing) -> BoreSize | None:
    """The widest finger that passes the letters; None without an inscription."""
    own = finished.original_id == original_number("inscription")
    return measure_bore(finished.mesh, own) if np.any(own) else None


def _structure(finished: FinishedRing, cuts: list[Finding]) -> list[Finding]:
    """Where a cut breaks out, which is an error itself, a wrong number of holes is only a warning."""
    mesh = finished.mesh
    spoilt = spoils_genus(cuts) and mesh.closed
    found = check_mesh(mesh, mesh.genus if spoilt else finished.genus)
    if spoilt and mesh.genus != finished.genus:
        message = f"{mesh.genus} holes go through the ring instead of {finished.genus}: cuts have run into each other"
        advice = "Clear the findings about stones and pierced cells that are too near to each other or to an edge"
        measured, wanted = float(mesh.genus), float(finished.genus)
        found.append(Finding(Kind.WRONG_GENUS, Level.WARNING, message, advice, measured, wanted, "holes"))
    return [demote_minor(finding, len(mesh.faces)) for finding in found]


def _unpierced_outer(finished: FinishedRing, solid: RingSolid) -> Ints | None:
    """Numbers of the outer face's vertices that pierced cells have left; None for all."""
    if finished.pierced is None:
        return None
    kept = finished.face_id[finished.original_id == original_number("ring")]
    used = sorted_unique(solid.mesh.faces[kept[kept < solid.face_ranges["sides"].start]])
    return np.asarray(used[used < len(solid.strip_positions)])


def _readings(finished: FinishedRing, make: MakeOptions, measures: Measures) -> RingReadings:
    mesh = finished.mesh
    return RingReadings(
        closed=mesh.closed,
        bodies=mesh.bodies,
        genus=mesh.genus if mesh.closed else None,
        genus_expected=finished.genus,
        volume_mm3=mesh.volume,
        area_mm2=mesh.area,
        weight_g=measures.balance.weight_g,
        centre_of_mass=measures.balance.centre_of_mass,
        off_axis_mm=measures.balance.off_axis_mm,
        height_mm=measures.balance.height_mm,
        thinnest_metal_mm=measures.thinnest.metal_mm,
        thinnest_metal_place=as_place(measures.thinnest.place),
        thinnest_edge_mm=measures.metal.edge_mm,
        thinnest_edge_place=as_place(measures.metal.edge_place),
        thinnest_ridge_mm=measures.detail.ridge_mm,
        thinnest_groove_mm=measures.detail.groove_mm,
        squeezed_cells=measures.detail.shrunk,
        fold_margin=measures.fold.margin,
        seam_gap_mm=measures.seam.gap_mm,
        seam_normal_deg=measures.seam.normal_deg,
        seam_elsewhere_deg=measures.seam.elsewhere_deg,
        size_circumference_mm=(measures.letters_size or measures.size).circumference_mm,
        stones_weight_g=measures.balance.stones_g,
        moment_g_mm=measures.balance.moment_g_mm,
        holding_friction=measures.balance.holding_friction,
        hollow_saved_mm3=finished.saved_mm3,
        hollow_saved_g=weight_g(finished.saved_mm3, make.material),
        hollow_wall_mm=measures.wall.wall_mm if measures.wall else None,
        hollow_floor_mm=measures.wall.floor_mm if measures.wall else None,
    )
