"""Rings of growth rings: closed, within tolerance, with grooves as wide as asked for on every band."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from ring_promises import strip_areas
from sample_rings import BORE_MM, SampleRing, chord_errors, sample_ring
from zoo import plain_design

from ringtex.basics.caches import clear_all_caches
from ringtex.basics.progress import Progress
from ringtex.design.design import Design
from ringtex.design.design_file import design_from_json, design_to_json
from ringtex.make_ring import make_ring, shape_ring
from ringtex.pattern.grown.growth_rings import ring_walls
from ringtex.relief.relief_options import FORMS
from ringtex.solid.free_form.ring_outlines import RingWidths, ring_outlines
from ringtex.solid.free_form.true_offsets import local_scale

BANDS = ("flat", "half_round", "dome")


def ring(band: str, form: str = "raised", chord_mm: float = 0.02, **given: object) -> SampleRing:
    return sample_ring(band, "growth_rings", 18, chord_mm=chord_mm, form=form, wall_width_mm=0.3, **given)  # type: ignore[arg-type]


def crossings(made: SampleRing) -> int:
    """How many pairs of triangles cross, by exact arithmetic. Source: libigl's binding of CGAL, for tests only."""
    from igl.copyleft import cgal

    return len(
        cgal.remesh_self_intersections(made.mesh.vertices, made.mesh.faces.astype(np.int64), detect_only=True)[2]
    )


@pytest.mark.parametrize("band", BANDS)
@pytest.mark.parametrize("form", FORMS)
def test_rings_are_sound_on_every_band(band: str, form: str) -> None:
    made = ring(band, form)
    assert made.mesh.problems(1) == []
    assert np.all(strip_areas(made.solid, made.strip.length) > 0.0)
    assert crossings(made) == 0


@pytest.mark.parametrize("band", ["flat", "dome"])
def test_a_draft_follows_the_bend_along_the_rails(band: str) -> None:
    """Border triangles of a draft once reached so far round the band that they crossed others."""
    made = ring(band, chord_mm=0.03)
    assert crossings(made) == 0
    assert float(chord_errors(made).max()) < 0.06


@pytest.mark.parametrize("band", BANDS)
def test_grooves_are_as_wide_on_the_ring_as_asked_for(band: str) -> None:
    """From the walls to the nearest ring, at points of the rings' outlines, measured by the scale there; the groove is
    made by that at the wall, 4 per cent from it at most. Where rings end at a pinch outlines are further away."""
    made = ring(band)
    rings = made.pattern.motif
    parts = ring_outlines(made.strip, rings, RingWidths(0.3, 0.4), 0.005)
    points = shapely.get_coordinates(parts)
    inside = (points[:, 0] > 0.0) & (points[:, 0] < made.strip.length)
    points = points[
        inside & (np.abs(points[:, 1] - 0.5 * (rings.part.lower + rings.part.upper)) < 0.4 * rings.part.width)
    ]
    away = shapely.distance(shapely.multilinestrings([*ring_walls(rings)]), shapely.points(points)) * local_scale(
        made.strip, points
    )
    assert np.min(away) > 0.15 - 0.008
    assert np.mean(np.abs(away - 0.15) < 0.004) > 0.85


def test_volume_is_that_of_the_rings() -> None:
    """On a cylinder of radius r a relief of height h adds h + h^2 / 2r on every area; areas by shapely."""
    made = ring("flat", chord_mm=0.005, corner_mm=0.0, flank_deg=70.0, depth_mm=0.3)
    radius, width = made.strip.length / (2.0 * np.pi), made.strip.width
    parts = made.solid.contours.parts
    box = shapely.box(0.0, 0.0, made.strip.length, width)
    share = (np.arange(40) + 0.5) / 40
    steps = 0.3 / 40 * (1.0 + 0.3 * share / radius)
    flank = 0.3 / np.tan(np.radians(70.0))
    areas = [shapely.area(shapely.intersection(shapely.buffer(parts, -flank * each), box)).sum() for each in share]
    added = float(np.sum(steps * areas))
    band = np.pi * (radius**2 - BORE_MM**2) * width
    assert made.mesh.volume - band == pytest.approx(added, rel=0.01)
    assert added > 30.0


def design(**pattern: object) -> Design:
    given = {"family": "growth_rings", "around": 20, "seed": 4, **pattern}
    return design_from_json(plain_design(pattern=given, rails={"lower": 0.4, "upper": 0.4}))


def test_nothing_shows_at_the_seam() -> None:
    """The ring with its pattern turned by a third has the volume, area and, nearly, as many triangles as the first."""
    first, turned = (shape_ring(design(slide=[slide, 0.0]), 0.01, Progress()).solid.mesh for slide in (0.0, 19.3))
    assert turned.volume == pytest.approx(first.volume, rel=1e-4)
    assert turned.area == pytest.approx(first.area, rel=1e-4)
    assert len(turned.faces) == pytest.approx(len(first.faces), rel=0.01)


def test_the_same_design_gives_the_same_bytes_and_its_file_the_same_ring() -> None:
    before = design(scatter=0.3)
    first = shape_ring(before, 0.02, Progress()).solid.mesh
    clear_all_caches()
    after = design_from_json(design_to_json(before))
    assert after == before
    second = shape_ring(after, 0.02, Progress()).solid.mesh
    assert first.vertices.tobytes() == second.vertices.tobytes()
    assert first.faces.tobytes() == second.faces.tobytes()


def test_depths_vary_smoothly_along_a_ring_that_runs_round_the_finger() -> None:
    """Faded at the palm: the tops of the mesh are there as low as the curve says, and full at the head."""
    data = plain_design(pattern={"family": "growth_rings", "around": 20}, rails={"lower": 0.4, "upper": 0.4})
    data["relief"] = {"form": "raised", "depth": 0.3, "wall_width": 0.3, "fade": {"around": [[0, 1.0], [180, 0.2]]}}
    made = shape_ring(design_from_json(data), 0.02, Progress())
    u, _, h = made.solid.strip_positions.T
    at_palm = np.minimum(u, made.strip.length - u) < 3.0
    at_head = np.abs(u - 0.5 * made.strip.length) < 3.0
    assert float(h[at_head].max()) == pytest.approx(0.3, abs=0.01)
    assert float(h[at_palm].max()) == pytest.approx(0.06, abs=0.03)


def test_stones_plain_places_and_a_hollow_go_with_growth_rings() -> None:
    data = plain_design(pattern={"family": "growth_rings", "around": 20}, rails={"lower": 0.4, "upper": 0.4})
    data["plain"] = [{"u": 0.5, "v": 0.5, "width": 4.0, "height": 3.0}]
    made = make_ring(design_from_json(data), 0.02)
    assert made.finished.mesh.problems(1) == []
    # Where a ring ends it thins out until its flanks meet.
    assert {each.kind.value for each in made.report.findings if each.level.value == "error"} <= {"thin_ridge"}


def test_a_top_size_is_one_of_rings_of_mean_width() -> None:
    small, large = (
        sample_ring(
            "flat", "growth_rings", 18, chord_mm=0.03, form="raised", wall_width_mm=None, top_size=size
        ).mesh.volume
        for size in (0.3, 0.7)
    )
    assert large > small + 5.0


@pytest.mark.parametrize("key", ["zones", "panels"])
def test_zones_and_panels_of_growth_rings_are_refused_with_a_sentence(key: str) -> None:
    own = {"family": "growth_rings", "around": 20}
    data = plain_design()
    data[key] = [{"pattern": own}, {}] if key == "zones" else [{"u": 0.5, "pattern": own}]
    with pytest.raises(Exception, match="growth rings cannot be in a"):
        design_from_json(data)
