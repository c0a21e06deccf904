"""The whole mesh: sound, symmetric, within its tolerance, well shaped; outside programs agree (see tests/outside)."""

import numpy as np
import pytest
from ring_promises import strip_areas
from sample_rings import BANDS, BORE_MM, SampleRing, chord_errors, sample_ring
from scipy.spatial import cKDTree

from ringtex.basics.errors import Cancelled
from ringtex.basics.progress import Progress
from ringtex.checks.geometry.cell_widths import cell_widths
from ringtex.relief.relief_options import FORMS
from ringtex.solid.build_solid import build_solid

FAMILIES = ["hexagon", "brick", "diamond", "cellular"]
"""The most used families; tests/solid/test_family_rings.py builds every one."""
DRAFT_MM = 0.02
COARSE_MM = 0.06
"""Where a long cell asks for a million triangles and only soundness is looked at."""
PAIRS = [
    *((band, family, FORMS[(i + j) % len(FORMS)]) for i, band in enumerate(BANDS) for j, family in enumerate(FAMILIES)),
    *(("flat", family, form) for family in FAMILIES for form in FORMS),
]
"""Every section with every family, every form with every family."""


def assert_sound(ring: SampleRing) -> None:
    assert ring.mesh.problems(genus=1) == []
    assert np.all(strip_areas(ring.solid, ring.strip.length) > 0.0)
    assert len(np.unique(ring.mesh.faces)) == len(ring.mesh.vertices)
    ends = [ring.solid.face_ranges[name] for name in ("cells", "rails", "sides", "bore")]
    assert [part.start for part in ends[1:]] == [part.stop for part in ends[:-1]]
    assert ends[-1].stop == len(ring.mesh.faces)
    assert len(ring.solid.face_cell) == ends[0].stop
    assert set(np.unique(ring.solid.face_cell)) == set(range(ring.tiling.cells))


@pytest.mark.parametrize(("band", "family", "form"), PAIRS)
def test_every_section_family_and_form_is_sound_and_within_its_tolerance(band: str, family: str, form: str) -> None:
    """Measured at centroids and middles of sides."""
    ring = sample_ring(band, family, chord_mm=DRAFT_MM, form=form)
    assert_sound(ring)
    assert_close_to_the_surface(ring, DRAFT_MM)


@pytest.mark.parametrize("keep", ["length", "area"])
@pytest.mark.parametrize("family", FAMILIES)
def test_sheared_strips_give_sound_rings_too(family: str, keep: str) -> None:
    assert_sound(sample_ring("dome", family, keep=keep, chord_mm=DRAFT_MM))


@pytest.mark.parametrize(
    "changes",
    [
        {"around": 60, "across": 15, "wall_width_mm": 0.6},
        {"around": 3, "across": 1, "wall_width_mm": None, "top_size": 0.05},
        {"around": 3, "across": 12, "form": "pillow", "depth_mm": 1.0},
        {"wall_width_mm": 0.0},
        {"wall_width_mm": 0.0, "form": "step", "flank_deg": 30.0},
        {"wall_width_mm": 5.0},
        {"depth_mm": 1.0, "flank_deg": 30.0},
        {"depth_mm": 1.0, "form": "peak", "corner_mm": 0.5},
        {"depth_scatter": 1.0, "form": "sunk"},
        {"rail_mm": 0.0},
        {"rail_mm": 3.9},
    ],
)
@pytest.mark.parametrize("family", FAMILIES)
def test_odd_wishes_still_give_sound_rings(family: str, changes: dict[str, object]) -> None:
    assert_sound(sample_ring("flat", family, chord_mm=COARSE_MM, **changes))  # type: ignore[arg-type]


@pytest.mark.parametrize("family", ["hexagon", "brick", "diamond"])
def test_twisted_rows_close_round_the_ring(family: str) -> None:
    assert_sound(sample_ring("flat", family, chord_mm=DRAFT_MM, twist=5))


@pytest.mark.parametrize("family", ["hexagon", "brick", "diamond"])
@pytest.mark.parametrize("band", ["flat", "half_round", "comfort"])
def test_turning_a_plain_band_by_one_repeat_gives_the_same_ring(band: str, family: str) -> None:
    """The set of places is the same within 1e-9, and so are the volume's parts."""
    ring = sample_ring(band, family, 20)
    vertices = ring.mesh.vertices[: len(ring.solid.strip_positions)]
    turn = 2.0 * np.pi / 20
    matrix = np.array([[np.cos(turn), -np.sin(turn), 0.0], [np.sin(turn), np.cos(turn), 0.0], [0.0, 0.0, 1.0]])
    away, nearest = cKDTree(vertices).query(vertices @ matrix.T)
    assert away.max() < 1e-9
    assert len(np.unique(nearest)) == len(vertices)


def test_the_seam_is_met_by_index_and_no_place_is_there_twice() -> None:
    ring = sample_ring("half_round", "cellular", scatter=0.5)
    assert len(cKDTree(ring.mesh.vertices).query_pairs(1e-6)) == 0
    # Triangles span the seam: some vertex just before it shares a triangle with one just after.
    faces = ring.mesh.faces[: ring.solid.face_ranges["rails"].stop]
    u = ring.solid.strip_positions[faces, 0] % ring.strip.length
    assert np.any(np.ptp(u, axis=1) > 0.5 * ring.strip.length)


def assert_close_to_the_surface(ring: SampleRing, chord_mm: float) -> None:
    errors = chord_errors(ring)
    # Where rows of points lean (a few dozen triangles of bricks on the dome) a fifth more is reached.
    assert errors.max() <= 1.21 * chord_mm
    assert np.sum(errors > chord_mm) < 2e-4 * ring.solid.face_ranges["rails"].stop


@pytest.mark.parametrize("family", FAMILIES)
@pytest.mark.parametrize("band", BANDS)
def test_a_finished_ring_is_within_its_tolerance_and_has_no_flat_triangle(band: str, family: str) -> None:
    """Measured at centroids and middles of sides (a comfort bore changes nothing outside). Height over the longest
    side, mm: slicers and text formats round to 1e-4 (common practice, no source)."""
    ring = sample_ring(band, family)
    if band != "comfort":
        assert_close_to_the_surface(ring, 0.005)
    mesh = ring.mesh
    corners = mesh.vertices[mesh.faces]
    longest = np.sqrt(np.max(np.sum((corners - np.roll(corners, 1, axis=1)) ** 2, axis=2), axis=1))
    assert np.min(2.0 * mesh.triangle_areas / longest) > 1e-4


@pytest.mark.parametrize(("around", "seed"), [(12, 3), (16, 1)])
def test_large_cells_of_a_dome_are_within_the_tolerance(around: int, seed: int) -> None:
    """A row of edges of a top of 4 x 4 mm, each further off than the one before, is split one after the other."""
    assert chord_errors(sample_ring("dome", "cellular", around, seed=seed)).max() < 0.005


def test_level_tops_are_within_the_tolerance_too() -> None:
    """Deep sharp cells over few facets: the top's own radius is larger than the band's by the depth."""
    assert_close_to_the_surface(
        sample_ring("flat", "hexagon", 11, 3, depth_mm=1.0, wall_width_mm=0.35, flank_deg=80.0, corner_mm=0.0), 0.005
    )


def test_triangles_are_spent_on_curvature() -> None:
    """A flat ring of 60 x 15 cells: some 95 triangles a cell, where equal angles took 250 to 870."""
    ring = sample_ring("flat", "hexagon", 60, 15)
    assert len(ring.mesh.faces) < 100 * ring.tiling.cells


def test_a_finer_tolerance_comes_nearer_to_the_true_volume() -> None:
    volumes = [
        sample_ring("flat", "hexagon", 8, 2, chord_mm=chord_mm, corner_mm=0.0).mesh.volume
        for chord_mm in (0.02, 0.005, 0.00125)
    ]
    assert abs(volumes[1] - volumes[2]) < 0.5 * abs(volumes[0] - volumes[2])


def test_the_same_ring_is_built_bit_for_bit() -> None:
    ring = sample_ring("dome", "cellular", chord_mm=DRAFT_MM)
    again = build_solid(ring.strip, ring.tiling, ring.relief, DRAFT_MM)
    assert np.array_equal(again.mesh.vertices, ring.mesh.vertices)
    assert np.array_equal(again.mesh.faces, ring.mesh.faces)


def test_a_cancel_is_obeyed() -> None:
    ring = sample_ring()
    progress = Progress()
    progress.cancel()
    with pytest.raises(Cancelled):
        build_solid(ring.strip, ring.tiling, ring.relief, DRAFT_MM, progress)


def test_places_on_the_strip_are_those_of_the_vertices() -> None:
    ring = sample_ring("dome")
    u, v, h = ring.solid.strip_positions.T
    assert np.abs(ring.mesh.vertices[: len(u)] - ring.strip.shell_map(u, v, h)).max() == 0.0


def test_widths_are_reported_per_wall_and_cell() -> None:
    ring = sample_ring()
    widths = cell_widths(ring.strip, ring.tiling, ring.solid)
    wall = widths.wall[ring.tiling.twin >= 0]
    # Straight through the metal: the chord of a wall that lies across the ring, and up to the arc of one that slants.
    radius = BORE_MM + 1.6
    assert np.min(wall) == pytest.approx(2.0 * radius * np.sin(0.2 / radius), rel=1e-6)
    assert np.max(wall) <= 0.4
    assert np.all(widths.inside > 0.0)
    assert ring.solid.cell_depths == pytest.approx(0.3)
    assert not np.any(ring.solid.shrunk)
