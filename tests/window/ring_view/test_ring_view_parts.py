"""The ring view's arithmetic: triangles under a ray, the cut under a ray. No OpenGL needed."""

from __future__ import annotations

import numpy as np
import pytest
from sphere_mesh import sphere

from ringtex.checks.finding import Finding, Kind, Level
from ringtex.export.picture.camera import named_view
from ringtex.solid.mesh.ring_mesh import RingMesh
from ringtex.window.ring_view.ring_cut import MIN_FACING, SectionPlane, facing_camera, turned_to
from ringtex.window.ring_view.ring_positions import same_finding
from ringtex.window.ring_view.triangle_finder import TriangleFinder

RANDOM = np.random.default_rng(4)


def test_triangles_under_rays_are_those_that_embree_finds() -> None:
    from ringtex.export.picture.ray_scene import RayScene

    vertices, faces = sphere(70, 80)
    vertices = vertices * [1.0, 1.4, 0.7]
    cells = np.repeat(np.arange(len(faces) // 40 + 1), 40)[: len(faces)].astype(np.int32)
    finder = TriangleFinder(vertices.astype(np.float32), faces.astype(np.uint32), cells)
    scene = RayScene(RingMesh(vertices, faces))
    origins = RANDOM.normal(size=(300, 3))
    origins *= 30.0 / np.linalg.norm(origins, axis=1)[:, None]
    directions = RANDOM.normal(size=(300, 3)) * 2.0 - origins
    directions /= np.linalg.norm(directions, axis=1)[:, None]
    theirs = scene.hits(origins.astype(np.float32), directions.astype(np.float32))
    ours = [finder.first_on(o, d) for o, d in zip(origins, directions, strict=True)]
    same = sum(
        (hit.triangle if hit else -1) == number for hit, number in zip(ours, theirs.triangle.tolist(), strict=True)
    )
    # Rays that meet an edge may be given to either side.
    assert same >= 297
    for hit, distance, o, d in zip(ours, theirs.distance.tolist(), origins, directions, strict=True):
        if hit is not None and distance < 100.0:
            assert hit.place == pytest.approx(o + distance * d, abs=1e-3)
            assert hit.place == pytest.approx(np.array(hit.weights) @ vertices[faces[hit.triangle]], abs=1e-4)


def test_what_is_cut_away_is_not_found() -> None:
    vertices, faces = sphere(40, 40)
    finder = TriangleFinder(vertices.astype(np.float32), faces.astype(np.uint32), np.zeros(len(faces), dtype=np.int32))
    origin, direction = np.array([20.0, 0.1, 0.2]), np.array([-1.0, 0.0, 0.0])
    near, far = finder.first_on(origin, direction), finder.first_on(origin, direction, np.array([-1.0, 0.0, 0.0]))
    assert near is not None
    assert far is not None
    assert near.place[0] > 4.9
    assert far.place[0] < -4.9


def test_the_cut_goes_through_the_place_and_faces_the_eye() -> None:
    for angle in (-170.0, -90.0, 0.0, 37.0, 120.0):
        eye = RANDOM.normal(size=3) * 30.0
        plane = SectionPlane(angle).facing(eye)
        assert abs(float(plane.radial @ plane.kept_side)) < 1e-12
        assert float(eye @ plane.kept_side) <= 0.0
    # The head is at +y, and angles run counter-clockwise seen from +z: a quarter turn on is -x.
    assert SectionPlane(90.0).radial == pytest.approx([-1.0, 0.0, 0.0])
    assert turned_to(np.array([-7.0, 0.0, 40.0]), np.array([0.0, 0.0, -1.0])) == pytest.approx(90.0)


@pytest.mark.parametrize("angle", [-180.0, -90.0, 0.0, 35.0, 90.0])
@pytest.mark.parametrize("view", ["three_quarter", "head", "palm", "side", "bore"])
def test_a_camera_turned_to_a_cut_sees_its_face(view: str, angle: float) -> None:
    ring = RANDOM.normal(size=(50, 3)) * 8.0
    camera = named_view(view, ring, 640.0, 480.0)
    plane = SectionPlane(angle).facing(camera.eye)
    seen = facing_camera(camera, plane)
    assert float(seen.axes[2] @ -plane.kept_side) >= MIN_FACING - 1e-9
    assert seen.axes @ seen.axes.T == pytest.approx(np.eye(3), abs=1e-12)
    assert plane.facing(seen.eye) == plane
    assert (seen is camera) == (float(camera.axes[2] @ -plane.kept_side) >= MIN_FACING)


def test_a_finding_is_known_again_by_kind_and_position() -> None:
    def finding(kind: Kind, place: tuple[float, float, float] | None) -> Finding:
        return Finding(kind, Level.WARNING, "thin", "thicken", place=place)

    old = finding(Kind.THIN_WEB, (0.0, 10.0, 0.0))
    near, far = finding(Kind.THIN_WEB, (0.5, 10.0, 0.0)), finding(Kind.THIN_WEB, (0.0, -10.0, 0.0))
    other = finding(Kind.STONES_CLOSE, (0.0, 10.0, 0.0))
    assert same_finding(old, [far, other, near]) is near
    assert same_finding(old, [far, other]) is None
    assert same_finding(finding(Kind.THIN_WEB, None), [near]) is None
