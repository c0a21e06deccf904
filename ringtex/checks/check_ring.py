"""All checks of a built ring, and the figures they measured."""

from __future__ import annotations

from dataclasses import dataclass

from ringtex.checks.balance import Balance, check_balance, measure_balance
from ringtex.checks.bore_size import BoreSize, check_size, measure_bore
from ringtex.checks.cautions import Caution, cautions_for
from ringtex.checks.detail import RIDGE_AT_WALL, AskedPattern, FinestDetail, check_detail, measure_detail
from ringtex.checks.finding import Finding, Level, worst_first
from ringtex.checks.folding import FoldMargin, check_folding, measure_folding
from ringtex.checks.make_options import MakeOptions
from ringtex.checks.mesh_checks import check_mesh
from ringtex.checks.ring_place import Place, as_place
from ringtex.checks.seam import SeamReading, check_seam, measure_seam
from ringtex.checks.strip_view import StripView
from ringtex.checks.thickness import ThinnestMetal, check_thickness, measure_thinnest_metal
from ringtex.solid.ring_mesh import RingMesh, RingSolid


@dataclass(frozen=True)
class RingReadings:
    """What was measured on the mesh. Lengths mm; places (x, y, z); None where the ring has no such thing."""

    closed: bool
    bodies: int
    genus: int | None
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
) -> Report:
    """Check a ring that ringtex built.

    Parameters:
        solid: the ring with where each part came from.
        strip: the strip it was built on.
        relief_form: "raised", "sunk", "pillow", "dish", "peak", "step".
        expected_circumference_mm: the finger size that was asked for, before any shrinkage allowance.
        make: alloy, process and shrinkage.
        asked: cells around and ridge width, so that advice can name numbers.

    Guarantee: without an error the mesh is closed, oriented, in one body with one hole, its volume is positive, its
    relief does not fold, its seam is joined, and metal and detail are within the process's limits.
    """
    mesh, limits = solid.mesh, make.limits
    structure = check_mesh(mesh)
    metal = measure_thinnest_metal(solid, strip.band)
    fold = measure_folding(solid, strip)
    seam = measure_seam(solid)
    detail = measure_detail(solid, relief_form)
    size = measure_bore(mesh, solid.parts["bore"])
    balance = measure_balance(mesh, make.material, strip.band.bore_radius_mm)
    findings = [
        *structure,
        *check_folding(fold),
        *check_seam(seam),
        *check_size(size, expected_circumference_mm),
        *check_thickness(metal, limits),
        *check_detail(detail, limits, asked, relief_form in RIDGE_AT_WALL),
        *check_balance(balance, limits),
    ]
    readings = _readings(mesh, metal, fold, seam, detail, size, balance)
    return Report(worst_first(findings), readings, cautions_for(make))


def _readings(
    mesh: RingMesh,
    metal: ThinnestMetal,
    fold: FoldMargin,
    seam: SeamReading,
    detail: FinestDetail,
    size: BoreSize,
    balance: Balance,
) -> RingReadings:
    return RingReadings(
        closed=mesh.closed,
        bodies=mesh.bodies,
        genus=mesh.genus if mesh.closed else None,
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
    )
