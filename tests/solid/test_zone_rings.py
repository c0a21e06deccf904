"""Rings with zones: closed, clean and one body in every form, and each zone as it was asked for."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest
from ring_promises import built_problems, strip_areas
from zoo import DOME, plain_design

from ringtex.basics.progress import Progress
from ringtex.design.design import Design
from ringtex.design.design_file import design_from_json, design_to_json
from ringtex.make_ring import ShapedRing, make_ring, shape_ring
from ringtex.pattern.pattern_options import PatternOptions, RailOptions
from ringtex.pattern.zone_options import ZoneOptions
from ringtex.relief.relief_options import FORMS, ReliefOptions

DRAFT_MM = 0.06


def zone_design(rail_mm: float, dome: bool = False, **relief: object) -> Design:
    """A narrow band of diamonds between two zones of one cellular pattern."""
    base = design_from_json({**plain_design(), "band": DOME} if dome else plain_design())
    middle = ZoneOptions(PatternOptions("diamond", 29, across=2), 1.6, rail_mm)
    return replace(
        base,
        pattern=PatternOptions("cellular", 26),
        rails=RailOptions(0.4, 0.4),
        relief=ReliefOptions(**{"wall_width_mm": 0.2, "corner_mm": 0.03, **relief}),  # type: ignore[arg-type]
        zones=(ZoneOptions(), middle, ZoneOptions(None, None, rail_mm, mirrored=True)),
    )


def crossings(ring: ShapedRing) -> int:
    """Pairs of triangles that cross, in exact arithmetic (libigl's binding of CGAL, for tests only)."""
    cgal = pytest.importorskip("igl.copyleft.cgal")
    mesh = ring.solid.mesh
    return len(cgal.remesh_self_intersections(mesh.vertices, mesh.faces.astype(np.int64), detect_only=True)[2])


@pytest.mark.parametrize("form", FORMS)
def test_zones_are_sound_in_every_form(form: str) -> None:
    """On a shared line on the flat band, with rails between them on the dome; rounded in every other form."""
    rounding = 0.7 * (FORMS.index(form) % 2)
    for rail_mm, dome in ((0.0, False), (0.35, True)):
        ring = make_ring(zone_design(rail_mm, dome, form=form, rounding=rounding), DRAFT_MM)
        assert built_problems(ring) == []
        assert np.all(strip_areas(ring.solid, ring.strip.length) > 0.0)
        assert crossings(ring) == 0


def test_rails_between_zones_are_level_and_as_wide_as_asked() -> None:
    ring = shape_ring(zone_design(0.35, dome=True), 0.005, Progress())
    places = ring.solid.strip_positions[ring.solid.mesh.faces[ring.solid.face_ranges["rails"]]]
    assert np.all(places[..., 2] == 0.0)
    areas = strip_areas(ring.solid, ring.strip.length)[ring.solid.face_ranges["rails"]]
    assert areas.sum() == pytest.approx(ring.strip.length * (0.4 + 0.35 + 0.35 + 0.4))
    # Triangles of the rail lie within the tolerance of the dome, looked at in their middles.
    middle = places.copy()
    middle[..., 0] -= ring.strip.length * np.rint((places[..., 0] - places[:, :1, 0]) / ring.strip.length)
    u, v, _ = middle.mean(axis=1).T
    chord = ring.solid.mesh.vertices[ring.solid.mesh.faces[ring.solid.face_ranges["rails"]]].mean(axis=1)
    assert np.linalg.norm(ring.strip.point(u, v) - chord, axis=1).max() < 0.01


def test_depth_and_rounding_are_the_zones_own() -> None:
    plain = zone_design(0.3)
    zones = (replace(plain.zones[0], rounding=0.8), replace(plain.zones[1], depth=-0.5), plain.zones[2])
    ring = shape_ring(replace(plain, zones=zones), DRAFT_MM, Progress())
    first = [zone.first_cell for zone in ring.pattern.zones]
    depth = ring.design.relief.depth_mm
    assert np.all(ring.solid.cell_depths[: first[1]] == depth)
    assert np.all(ring.solid.cell_depths[first[1] : first[2]] == -0.5 * depth)
    rounded = ring.solid.rounded
    assert rounded is not None
    assert np.all(rounded.radius_mm[: first[1]] > 0.0)
    assert np.all(rounded.radius_mm[first[1] :] == 0.0)
    assert ring.solid.mesh.problems(genus=1) == []


def test_a_design_keeps_its_zones_and_without_them_has_no_such_key() -> None:
    design = zone_design(0.3)
    assert design_from_json(json.loads(json.dumps(design_to_json(design)))) == design
    assert "zones" not in design_to_json(replace(design, zones=()))


def test_relief_fades_towards_borders_that_blend_and_nowhere_else() -> None:
    """Smoothstep from 0 at the border to 1 where the blend ends, both ways; by hand at each cell's centre."""
    plain = zone_design(0.35)
    blended = replace(plain, zones=(*plain.zones[:2], replace(plain.zones[2], blend_mm=0.9)))
    ring = shape_ring(blended, DRAFT_MM, Progress())
    lower, upper = (ring.pattern.zones[number].pattern.tiling for number in (1, 2))
    v = ring.pattern.tiling.kernel[0][:, 1]
    away = np.where(v < lower.upper, lower.upper - v, v - upper.lower)
    near = np.clip(away / 0.9, 0.0, 1.0)
    share = ring.solid.cell_depths / ring.design.relief.depth_mm
    np.testing.assert_allclose(share, near**2 * (3.0 - 2.0 * near), atol=1e-12)
    assert np.min(share) < 0.6
    for form in ("raised", "pillow", "peak"):
        faded = make_ring(replace(blended, relief=replace(plain.relief, form=form)), DRAFT_MM)
        assert built_problems(faded) == []
        assert crossings(shape_ring(faded.design, DRAFT_MM, Progress())) == 0
    assert "blend" not in design_to_json(plain)["zones"][2]
    assert design_from_json(json.loads(json.dumps(design_to_json(blended)))) == blended
