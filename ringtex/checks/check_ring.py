"""All checks of a built ring, and the figures they measured."""

from __future__ import annotations

from dataclasses import dataclass

from ringtex.checks.alloys import weight_g
from ringtex.checks.balance import Balance, check_balance, measure_balance
from ringtex.checks.bore_size import BoreSize, check_size, measure_bore
from ringtex.checks.cautions import Caution, cautions_for
from ringtex.checks.detail import RIDGE_AT_WALL, AskedPattern, FinestDetail, check_detail, measure_detail
from ringtex.checks.finding import Finding, Level, worst_first
from ringtex.checks.folding import FoldMargin, check_folding, measure_folding
from ringtex.checks.hollow_wall import HollowWall, check_hollow_wall, measure_hollow_wall
from ringtex.checks.make_options import MakeOptions
from ringtex.checks.making import AskedMaking, check_making
from ringtex.checks.mesh_checks import check_mesh
from ringtex.checks.ring_place import Place, as_place
from ringtex.checks.seam import SeamReading, check_seam, measure_seam
from ringtex.checks.stone_findings import check_stones, spoils_genus
from ringtex.checks.stone_seating import measure_stones
from ringtex.checks.strip_view import StripView
from ringtex.checks.thickness import ThinnestMetal, check_thickness, measure_thinnest_metal
from ringtex.solid.finish import FinishedRing, unfinished
from ringtex.solid.ring_mesh import RingSolid


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

    @property
    def has_errors(self) -> bool:
        """Something is wrong with the ring: `ringtex check` ends with 1."""
        return any(finding.level is Level.ERROR for finding in self.findings)


def check_ring(
    solid: RingSolid,
    strip: StripView,
    relief_form: str,
    expected_circumference_mm: float,
    make: MakeOptions,
    asked: AskedPattern | None = None,
    finished: FinishedRing | None = None,
    making: AskedMaking | None = None,
) -> Report:
    """Check a ring that ringtex built.

    Parameters:
        solid: the ring with where each part came from.
        strip: the strip it was built on.
        relief_form: "raised", "sunk", "pillow", "dish", "peak", "step".
        expected_circumference_mm: the finger size that was asked for, before any shrinkage allowance.
        make: alloy, process and shrinkage.
        asked: cells around and ridge width, so that advice can name numbers.
        finished: the ring as it is made, hollowed and set; the solid itself where none is given.
        making: what was asked that the process may not be able to do.

    Guarantee: without an error the finished mesh is closed, oriented, in one body with as many holes as its design
    makes, its volume is positive, its relief does not fold, its seam is joined, and metal and detail are within the
    process's limits.
    """
    finished = finished or unfinished(solid)
    limits = make.making_limits
    metal = measure_thinnest_metal(solid, strip.band)
    fold = measure_folding(solid, strip)
    seam = measure_seam(solid)
    detail = measure_detail(solid, relief_form)
    size = measure_bore(solid.mesh, solid.parts["bore"])
    balance = measure_balance(finished.mesh, make.material, strip.band.bore_radius_mm, finished.stones)
    wall = measure_hollow_wall(finished, solid)
    stones = check_stones(measure_stones(finished, solid), finished, limits)
    findings = [
        *_structure(finished, stones),
        *check_folding(fold),
        *check_seam(seam),
        *check_size(size, expected_circumference_mm),
        *check_thickness(metal, limits),
        *check_hollow_wall(wall, limits),
        *stones,
        *check_detail(detail, limits, asked, relief_form in RIDGE_AT_WALL),
        *(check_making(making, limits) if making else ()),
        *check_balance(balance, limits),
    ]
    readings = _readings(finished, make, metal, wall, fold, seam, detail, size, balance)
    return Report(worst_first(findings), readings, cautions_for(make, finished.hollow_closed))


def _structure(finished: FinishedRing, stones: list[Finding]) -> list[Finding]:
    """Where a seat breaks out, which is found itself, the number of holes is not judged."""
    mesh = finished.mesh
    judged = finished.genus if not (spoils_genus(stones) and mesh.closed) else mesh.genus
    return check_mesh(mesh, judged)


def _readings(
    finished: FinishedRing,
    make: MakeOptions,
    metal: ThinnestMetal,
    wall: HollowWall | None,
    fold: FoldMargin,
    seam: SeamReading,
    detail: FinestDetail,
    size: BoreSize,
    balance: Balance,
) -> RingReadings:
    mesh = finished.mesh
    return RingReadings(
        closed=mesh.closed,
        bodies=mesh.bodies,
        genus=mesh.genus if mesh.closed else None,
        genus_expected=finished.genus,
        volume_mm3=mesh.volume,
        area_mm2=mesh.area,
        weight_g=balance.weight_g,
        centre_of_mass=balance.centre_of_mass,
        off_axis_mm=balance.off_axis_mm,
        height_mm=balance.height_mm,
        thinnest_metal_mm=metal.metal_mm,
        thinnest_metal_place=as_place(metal.place),
        thinnest_edge_mm=metal.edge_mm,
        thinnest_edge_place=as_place(metal.edge_place),
        thinnest_ridge_mm=detail.ridge_mm,
        thinnest_groove_mm=detail.groove_mm,
        squeezed_cells=detail.squeezed,
        fold_margin=fold.margin,
        seam_gap_mm=seam.gap_mm,
        seam_normal_deg=seam.normal_deg,
        seam_elsewhere_deg=seam.elsewhere_deg,
        size_circumference_mm=size.circumference_mm,
        stones_weight_g=balance.stones_g,
        moment_g_mm=balance.moment_g_mm,
        holding_friction=balance.holding_friction,
        hollow_saved_mm3=finished.saved_mm3,
        hollow_saved_g=weight_g(finished.saved_mm3, make.material),
        hollow_wall_mm=wall.wall_mm if wall else None,
        hollow_floor_mm=wall.floor_mm if wall else None,
    )
