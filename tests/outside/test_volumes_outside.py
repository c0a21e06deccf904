"""Volumes and lengths against theorems and worked examples from outside."""

import math

import numpy as np
import pytest
from sample_rings import BANDS, BORE_MM, SampleRing, sample_ring

from ringtex.band.band import Band
from ringtex.band.band_options import BandOptions, Station
from ringtex.band.bore import BoreOptions
from ringtex.strip.unwrap import unwrap

FINE_MM = 0.0002


def smooth_volume(band: Band) -> float:
    """Volume of a plain band without relief by Pappus and Guldinus: section area times the way of its centroid, the
    section integrated by the shoelace formula over 40,000 points of its outline."""
    across = np.linspace(-1.0, 1.0, 20_001)
    outer, z = band.profile(np.zeros_like(across), across)
    half = float(z[-1])
    z_bore = np.linspace(half, -half, 20_001)
    r = np.concatenate((outer, band.bore_radius_at(np.zeros_like(z_bore), z_bore)))
    z = np.concatenate((z, z_bore))
    r1, z1 = np.roll(r, -1), np.roll(z, -1)
    cross = r1 * z - r * z1
    # Area times centroid radius is the first moment of the section about the axis.
    moment = float(np.sum((r + r1) * cross)) / 6.0
    return 2.0 * math.pi * abs(moment)


def prismatoid(ring: SampleRing) -> float:
    """The integral of h + h^2 / 2r over all cells of a flat band with sharp corners: what the relief adds.

    Each cell is a wall-to-flank ground of height 0, a flank between two similar polygons, and a level top. The flank's
    part is integrated by Simpson's rule over its parallel sections (the prismatoid formula, exact for h; h^2 needs
    Gauss points in height): sections at height share s lie s flanks inside the ridge. Cells' offset areas come from
    their own perimeters: A(d) = A - P d + d^2 sum(tan(turn / 2)), Steiner's formula for a mitred inner parallel.
    """
    tiling, profile, options = ring.tiling, ring.relief.profile, ring.relief.options
    assert options.corner_mm == 0.0
    assert not np.any(ring.solid.shrunk)
    run = tiling.corners[tiling.next_corner] - tiling.corners
    length = np.hypot(*run.T)
    before = run[tiling.previous_corner]
    turn = np.arctan2(before[:, 0] * run[:, 1] - before[:, 1] * run[:, 0], np.sum(before * run, axis=1))
    first = tiling.cell_start[:-1]
    perimeter = np.add.reduceat(length, first)
    steiner = np.add.reduceat(np.tan(turn / 2.0), first)

    def area_inside(distance: float) -> np.ndarray:
        return tiling.areas - perimeter * distance + steiner * distance**2

    radius = ring.strip.length / (2.0 * math.pi)
    half_ridge, depth = options.wall_width_mm / 2.0, options.depth_mm  # type: ignore[operator]
    # Layer by layer: at height y the relief covers A(ridge / 2 + flank y / depth), weighted by 1 + y / r.
    nodes, weights = np.polynomial.legendre.leggauss(8)
    total = 0.0
    for node, weight in zip(nodes, weights, strict=True):
        y = 0.5 * depth * (1.0 + node)
        covered = area_inside(half_ridge + profile.flank_mm * y / depth)
        total += 0.5 * depth * weight * (1.0 + y / radius) * float(np.sum(covered))
    return total


@pytest.mark.parametrize("band", ["flat", "half_round", "court", "knife_edge", "comfort"])
def test_a_band_with_hardly_any_relief_has_the_volume_of_pappus(band: str) -> None:
    """Relief of 0.05 on 5 % of each cell (less than 0.02 % of the volume)."""
    ring = sample_ring(
        band, around=12, wall_width_mm=None, top_size=0.05, depth_mm=0.05, flank_deg=89.0, chord_mm=0.002
    )
    assert ring.mesh.volume == pytest.approx(smooth_volume(BANDS[band]), rel=1e-3)


def test_pappus_worked_example_of_a_flat_band() -> None:
    """Inner diameter 17.3, thickness 1, width 6: V = pi (17.3 + 1) 1 x 6 = 344.946874 (Pappus and Guldinus)."""
    band = Band(17.3 / 2.0, BoreOptions(), BandOptions("flat", (Station(0.0, 6.0, 1.0, 1.0),)))
    assert smooth_volume(band) == pytest.approx(344.946874, abs=1e-6)


def test_pappus_of_a_half_round_band_in_closed_form() -> None:
    """A rectangle and half an ellipse over it, whose centroid lies 4 b / 3 pi over its diameter (Pappus and
    Guldinus; centroid of a half ellipse, elementary)."""
    rectangle = 6.0 * 1.0 * (BORE_MM + 0.5)
    half_ellipse = 0.5 * math.pi * 3.0 * 1.0 * (BORE_MM + 1.0 + 4.0 / (3.0 * math.pi))
    wanted = 2.0 * math.pi * (rectangle + half_ellipse)
    assert smooth_volume(BANDS["half_round"]) == pytest.approx(wanted, rel=1e-7)


@pytest.mark.parametrize("depth_mm", [0.2, 0.3, 0.4])
@pytest.mark.parametrize("family", ["hexagon", "brick", "diamond"])
def test_relief_adds_the_integral_of_its_height_over_the_cylinder(family: str, depth_mm: float) -> None:
    """A relief of height h on a cylinder of radius r adds the integral of h + h^2 / 2r (elementary: the ring between r
    and r + h); here by parallel sections of every cell, within 0.05 %."""
    options = {"around": 20, "across": 4, "corner_mm": 0.0, "depth_mm": depth_mm, "wall_width_mm": 0.3}
    ring = sample_ring("flat", family, chord_mm=FINE_MM, **options)  # type: ignore[arg-type]
    gained = ring.mesh.volume - smooth_volume(BANDS["flat"])
    assert gained == pytest.approx(prismatoid(ring), rel=5e-4)


def test_height_alone_would_be_wrong() -> None:
    """So the test above can tell h + h^2 / 2r from h."""
    ring = sample_ring("flat", around=20, across=4, corner_mm=0.0, depth_mm=0.4, wall_width_mm=0.3, chord_mm=FINE_MM)
    radius = ring.strip.length / (2.0 * math.pi)
    gained = ring.mesh.volume - smooth_volume(BANDS["flat"])
    assert abs(gained / (1.0 + 0.2 / radius) - prismatoid(ring)) > 10.0 * 5e-4 * gained


@pytest.mark.parametrize("form", ["raised", "pillow", "sunk"])
def test_relief_on_a_rounded_face_adds_height_with_mean_and_gaussian_curvature(form: str) -> None:
    """The integral of h + H h^2 + K h^3 / 3 over the face (Steiner's formula for parallel surfaces; H mean, K Gaussian
    curvature), by quadrature over the mesh's own heights: the tent over every triangle, on the half-round band."""
    ring = sample_ring("half_round", around=12, form=form, chord_mm=0.0008, rail_mm=1.0)
    faces = ring.mesh.faces[: ring.solid.face_ranges["rails"].stop]
    places = ring.solid.strip_positions[faces]
    u = places[..., 0] - ring.strip.length * np.rint((places[..., 0] - places[:, :1, 0]) / ring.strip.length)
    v, h = places[..., 1], places[..., 2]
    flat_area = 0.5 * ((u[:, 1] - u[:, 0]) * (v[:, 2] - v[:, 0]) - (u[:, 2] - u[:, 0]) * (v[:, 1] - v[:, 0]))
    # Three points, exact for quadratics (Strang and Fix 1973, as quoted in finite element books; from memory).
    gained = 0.0
    for weights in ([2 / 3, 1 / 6, 1 / 6], [1 / 6, 2 / 3, 1 / 6], [1 / 6, 1 / 6, 2 / 3]):
        weight = np.array(weights)
        at_u, at_v, at_h = u @ weight, v @ weight, h @ weight
        e, f, g = ring.strip.metric(at_u, at_v)
        k1, k2 = ring.strip.curvatures(at_u, at_v)
        column = at_h + 0.5 * (k1 + k2) * at_h**2 + k1 * k2 * at_h**3 / 3.0
        gained += float(np.sum(flat_area * np.sqrt(e * g - f * f) * column)) / 3.0
    measured = ring.mesh.volume - smooth_volume(BANDS["half_round"])
    assert measured == pytest.approx(gained, rel=2e-3)


@pytest.mark.parametrize(
    ("inner_mm", "thick_mm", "printed_mm", "within_mm"),
    [(17.3, 1.0, 57.49, 0.005), (18.4, 1.0, 61.0, 0.06), (15.48, 1.5, 53.34, 0.005), (18.2, 1.0, 60.3, 0.05)],
)
def test_blank_length_is_the_strip_of_the_middle_of_the_metal(
    inner_mm: float, thick_mm: float, printed_mm: float, within_mm: float
) -> None:
    """L = pi (inner diameter + thickness): worked examples of workshop guides (common practice, no named source; the
    second was printed with 3.145 for pi)."""
    length = blank_length(inner_mm, thick_mm)
    assert length == pytest.approx(math.pi * (inner_mm + thick_mm), abs=1e-9)
    assert length == pytest.approx(printed_mm, abs=within_mm)


def blank_length(inner_mm: float, thick_mm: float) -> float:
    """Length at the middle of the metal: half-way between the finger hole's and the strip's."""
    band = Band(inner_mm / 2.0, BoreOptions(), BandOptions("flat", (Station(0.0, 4.0, thick_mm, thick_mm),)))
    return 0.5 * (unwrap(band, "length").length + 2.0 * math.pi * band.bore_radius_mm)


def test_the_well_known_wrong_blank_length_is_not_ours() -> None:
    """pi x diameter + thickness, seen in a forum, forgets that pi multiplies the thickness too."""
    assert abs(blank_length(17.3, 1.2) - (math.pi * 17.3 + 1.2)) > 2.0


def test_a_worked_volume_of_a_flat_blank() -> None:
    """Inner diameter 15.48, thickness 1.5, width 4: 320.06 mm3 (a calculator page; no named source)."""
    band = Band(15.48 / 2.0, BoreOptions(), BandOptions("flat", (Station(0.0, 4.0, 1.5, 1.5),)))
    assert smooth_volume(band) == pytest.approx(320.06, abs=0.01)


@pytest.mark.parametrize("around", [20, 48])
def test_hexagons_are_near_to_regular_ones(around: int) -> None:
    """A regular hexagon p across flats: side p / sqrt 3, perimeter 6 sides, area p^2 sqrt 3 / 2 = 2 sqrt 3 (p / 2)^2
    (elementary). The pattern is stretched by the few per cent that it tells."""
    ring = sample_ring("flat", around=around)
    pitch = ring.strip.length / around
    full = np.flatnonzero(np.diff(ring.tiling.cell_start) == 6)
    stretch = abs(ring.pattern.stretch_percent) / 100.0
    area = np.median(ring.tiling.areas[full])
    assert area == pytest.approx(pitch**2 * math.sqrt(3.0) / 2.0, rel=stretch + 1e-3)
    run = ring.tiling.corners[ring.tiling.next_corner] - ring.tiling.corners
    inner = np.isin(ring.tiling.corner_cell, full)
    assert np.mean(np.hypot(*run[inner].T)) == pytest.approx(pitch / math.sqrt(3.0), rel=stretch + 1e-3)
