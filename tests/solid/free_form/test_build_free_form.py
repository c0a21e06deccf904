"""Rings with own motifs: closed, within tolerance, of the volume that the drawing has."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import shapely
from zoo import plain_design

from ringtex.basics.arrays import Floats
from ringtex.basics.progress import Progress
from ringtex.basics.resources import demo_folder
from ringtex.design.design import Design
from ringtex.design.design_file import design_from_json, design_to_json
from ringtex.edits.motif_edits import with_motif
from ringtex.make_ring import ShapedRing, make_ring, shape_ring
from ringtex.pattern.motif.import_motif import read_motif
from ringtex.pattern.motif.motif_layout import MotifLayout
from ringtex.pattern.motif.motif_options import MotifOptions
from ringtex.pattern.motif.motif_outline import outline_text
from ringtex.relief.cell_profile import cell_profile
from ringtex.solid.free_form.distance_field import DistanceField
from ringtex.solid.free_form.true_offsets import local_scale

LEAF = read_motif(demo_folder() / "drawings" / "laurel_leaf.svg").motif
BAR = MotifOptions(
    outline_text(shapely.MultiPolygon([shapely.box(-2000, 15_000, 52_000, 30_000)])), "bar", 50.0, 50.0, fit="page"
)
DOME = {"section": None, "stations": [
    {"angle": 0, "width": 9, "height": 3, "edge_height": 1.2, "fullness": 2.5},
    {"angle": 180, "width": 6, "height": 2.0, "edge_height": 1.2, "fullness": 2.5}], "mirror": True}  # fmt: skip


def design(motif: MotifOptions, form: str = "raised", around: int = 6, **given: object) -> Design:
    made = with_motif(design_from_json(plain_design(rails={"lower": 0.5, "upper": 0.5}, **given)), motif)
    pattern = replace(made.pattern, around=around, across=1)
    return replace(made, pattern=pattern, relief=replace(made.relief, form=form, depth_mm=0.3))


def crossings(ring: ShapedRing) -> int:
    """How many pairs of triangles cross, by exact arithmetic. Source: libigl's binding of CGAL, for tests only."""
    from igl.copyleft import cgal

    mesh = ring.solid.mesh
    return len(cgal.remesh_self_intersections(mesh.vertices, mesh.faces.astype(np.int64), detect_only=True)[2])


CASES = {
    "leaf raised": design(LEAF),
    "leaf sunk, turned": design(replace(LEAF, alternate="turned"), "sunk"),
    "leaf in steps, bricks over the seam": design(replace(LEAF, arrangement="brick", size=1.4), "step", 4),
    "leaf half-dropped and mirrored, on a dome": design(
        replace(LEAF, arrangement="half_drop", alternate="mirrored", size=0.7), "sunk", band=DOME
    ),
    "bar round the ring": design(BAR),
    "leaf as a pillow": design(LEAF, "pillow"),
    "leaf as a peak, bricks over the seam": design(replace(LEAF, arrangement="brick", size=1.4), "peak", 4),
    "leaf as a dish, on a tapered dome": design(LEAF, "dish", around=5, band=DOME),
    "leaf on a tapered dome": design(LEAF, around=5, band=DOME),
}


@pytest.mark.parametrize("name", CASES)
def test_ring_is_closed_and_does_not_fold(name: str) -> None:
    ring = make_ring(CASES[name], 0.02)
    assert ring.solid.mesh.problems() == []
    assert ring.report.readings.fold_margin > 0.5
    errors = {finding.kind.value for finding in ring.report.findings if finding.level.value == "error"}
    # So small, the leaf's veins and their gaps are narrower than can be made.
    assert errors <= {"thin_ridge", "thin_groove"}
    assert len(ring.solid.face_cell) == ring.solid.face_ranges["cells"].stop
    assert int(ring.solid.face_cell.max()) < ring.pattern.tiling.cells


@pytest.mark.parametrize("name", CASES)
def test_no_triangles_cross(name: str) -> None:
    assert crossings(shape_ring(CASES[name], 0.02, Progress())) == 0


def places_inside(ring: ShapedRing) -> Floats:
    """(n, 3) points inside the triangles between the rails."""
    faces = ring.solid.mesh.faces[ring.solid.face_ranges["cells"]]
    corners = ring.solid.strip_positions[faces]
    corners[:, :, 0] -= ring.strip.length * np.rint((corners[:, :, 0] - corners[:, :1, 0]) / ring.strip.length)
    return (np.array([[1, 1, 1], [4, 1, 1], [0, 1, 1]]) / [[3], [6], [2]] @ corners).reshape(-1, 3)


def distances_inwards(ring: ShapedRing, points: Floats) -> Floats:
    """(n,) from the outline by shapely, mm on the ring; negative outside."""
    layout = ring.pattern.motif
    assert isinstance(layout, MotifLayout)
    shapes = layout.shapes(range(-1, layout.around + 1))
    away = shapely.distance(shapely.boundary(shapes), shapely.points(points[:, :2]))
    inside = np.where(shapely.contains_xy(shapes, points[:, :2]), away, -away)
    return np.asarray(inside * local_scale(ring.strip, points[:, :2]))


@pytest.mark.parametrize("tolerance", [0.005, 0.02])
def test_heights_are_those_of_the_distance_to_the_outline(tolerance: float) -> None:
    """Points inside triangles against the profile of their true distance; a flank of 70 degrees is nearer than the
    difference of heights by its cosine."""
    ring = shape_ring(CASES["leaf raised"], tolerance, Progress())
    points = places_inside(ring)
    inside = distances_inwards(ring, points)
    profile = cell_profile(replace(ring.relief.options, wall_width_mm=0.0), 1e-4)
    off = np.abs(np.interp(inside, profile.inward_mm, profile.height_mm) - points[:, 2]) * np.cos(np.radians(70.0))
    assert float(np.quantile(off, 0.999)) < tolerance
    assert float(off.max()) < 2.5 * tolerance


@cache
def leaf_reach() -> float:
    """How far inside of the leaf's outline a peak becomes level, mm: where its mesh has the first level vertices."""
    ring = shape_ring(design(LEAF, "peak"), 0.005, Progress())
    vertices = np.unique(ring.solid.mesh.faces[ring.solid.face_ranges["cells"]])
    places = ring.solid.strip_positions[vertices]
    return float(np.min(distances_inwards(ring, places[places[:, 2] > 0.3 - 1e-9])))


@pytest.mark.parametrize("tolerance", [0.005, 0.02])
@pytest.mark.parametrize("form", ["pillow", "dish", "peak"])
def test_domed_forms_rise_with_the_distance_up_to_the_usual_middle(form: str, tolerance: float) -> None:
    """Points inside triangles against a parabola or a slope written out here, along the normal; the full depth is met
    somewhat before the broadest middle."""
    ring = shape_ring(design(LEAF, form), tolerance, Progress())
    points = places_inside(ring)
    inside = distances_inwards(ring, points)
    way = np.clip(inside / leaf_reach(), 0.0, 1.0)
    rise = way if form == "peak" else 1.0 - (1.0 - way) ** 2
    slope = 0.3 / leaf_reach() * (1.0 if form == "peak" else 2.0 * (1.0 - way))
    off = np.abs(0.3 * rise - np.abs(points[:, 2])) / np.hypot(1.0, slope)
    assert float(np.quantile(off, 0.999)) < tolerance
    assert float(off.max()) < 2.5 * tolerance
    assert 0.7 * inside.max() < leaf_reach() < inside.max()


def test_a_ridge_of_a_peak_is_an_edge_of_the_mesh() -> None:
    """Over a bar the two slopes meet at a line: no point near it is lower than its distance asks for by more than the
    weaving of its samples, where without edges along it the refined mesh would be off by half the tolerance."""
    ring = shape_ring(design(BAR, "peak"), 0.02, Progress())
    top = ring.solid.strip_positions[:, 2].max()
    assert top == pytest.approx(0.3, abs=1e-9)
    points = places_inside(ring)
    inside = distances_inwards(ring, points)
    near = inside > 0.98 * inside.max()
    assert np.max(np.abs(0.3 * inside / inside.max() - points[:, 2])[near]) < 0.003


def test_volume_is_that_of_the_drawing() -> None:
    """On a cylinder of radius r a relief of height h adds h + h^2 / 2r on every area; areas by shapely."""
    bare = CASES["leaf raised"]
    ring = shape_ring(bare, 0.005, Progress())
    profile = cell_profile(replace(bare.relief, wall_width_mm=0.0), 1e-4)
    layout, radius = ring.pattern.motif, ring.strip.length / (2.0 * np.pi)
    assert layout is not None
    shape = layout.shapes(range(layout.around))
    depths = np.linspace(0.0, profile.inward_mm[-1], 200)
    areas = np.array([shape.buffer(-depth, quad_segs=32).area for depth in depths])
    heights = np.interp(depths, profile.inward_mm, profile.height_mm)
    density = heights + heights**2 / (2.0 * radius)
    added = float(np.sum(0.5 * (areas[1:] + areas[:-1]) * np.diff(density)))
    bore, width = bare.size.diameter_mm / 2.0, ring.strip.width
    band = np.pi * (radius**2 - bore**2) * width
    assert ring.solid.mesh.volume == pytest.approx(band + added, rel=2e-4)
    assert ring.solid.mesh.volume - band == pytest.approx(added, rel=0.03)


def test_distances_are_those_of_shapely() -> None:
    rng = np.random.default_rng(2)
    shapes = shapely.union_all(shapely.buffer(shapely.points(rng.uniform(0, 6, (40, 2))), rng.uniform(0.05, 0.8, 40)))
    points = rng.uniform(-1, 7, (3000, 2))
    found = DistanceField(shapes).signed(points)
    away = shapely.distance(shapely.boundary(shapes), shapely.points(points))
    assert np.allclose(np.abs(found), away, atol=3e-4)
    assert np.array_equal(found > 0.0, shapely.contains_xy(shapes, points))


def test_one_period_is_repeated_exactly() -> None:
    """Turned by one repeat the ring is itself."""
    ring = shape_ring(CASES["leaf raised"], 0.02, Progress())
    positions = ring.solid.strip_positions[np.unique(ring.solid.mesh.faces[ring.solid.face_ranges["cells"]])]
    tile = ring.strip.length / 6
    ordered = [positions[np.abs(positions[:, 0] // tile - k) < 0.5] % [tile, 1e9, 1e9] for k in range(6)]
    first = ordered[0][np.lexsort(np.rint(ordered[0] * 1e6).T)]
    for other in ordered[1:]:
        if len(other) == len(first):
            assert np.allclose(other[np.lexsort(np.rint(other * 1e6).T)], first, atol=1e-9)
    assert sum(len(other) == len(first) for other in ordered) >= 4


def test_the_file_keeps_the_motif_and_gives_the_same_ring() -> None:
    before = CASES["leaf sunk, turned"]
    after = design_from_json(design_to_json(before))
    assert after == before
    first, second = (shape_ring(each, 0.02, Progress()).solid.mesh for each in (before, after))
    assert np.array_equal(first.vertices, second.vertices)
