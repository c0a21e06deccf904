import numpy as np
import pytest
import trimesh
from plain_rings import PlainBand, PlainStrip, level, plain_ring

from ringtex.band.bore import BoreOptions
from ringtex.checks.finding import Kind, Level
from ringtex.checks.making.bore_size import check_size, measure_bore
from ringtex.solid.mesh.ring_mesh import RingMesh


def test_chords_make_the_hole_smaller_by_the_cosine() -> None:
    # The largest circle in a regular n-gon has the radius R cos(pi / n).
    ring = plain_ring(PlainStrip(), level, columns=36)
    for bore in (ring.face_ranges["bore"], slice(None)):
        assert measure_bore(ring.mesh, bore).circumference_mm == pytest.approx(54.0 * np.cos(np.pi / 36), abs=1e-9)


def test_fine_mesh_has_the_asked_size() -> None:
    ring = plain_ring(PlainStrip(), level, columns=600)
    size = measure_bore(ring.mesh, ring.face_ranges["bore"])
    assert size.circumference_mm == pytest.approx(54.0, abs=0.001)
    assert check_size(size, 54.0) == []


def test_comfort_bore_is_read_at_mid_width() -> None:
    # EN ISO 8653:2014: a ring rounded inside touches the stick at mid-width.
    ring = plain_ring(PlainStrip(PlainBand(bore=BoreOptions("comfort", 0.5))), level, columns=600)
    assert measure_bore(ring.mesh).circumference_mm == pytest.approx(54.0, abs=0.001)


@pytest.mark.parametrize(
    ("asked", "found"), [(54.1, None), (54.3, Level.WARNING), (53.7, Level.WARNING), (54.6, Level.ERROR)]
)
def test_wrong_size(asked: float, found: Level | None) -> None:
    ring = plain_ring(PlainStrip(), level, columns=600)
    findings = check_size(measure_bore(ring.mesh), asked)
    assert [(f.kind, f.level) for f in findings] == ([] if found is None else [(Kind.WRONG_SIZE, found)])
    for finding in findings:
        assert ("wider" if asked < 54.0 else "tighter") in finding.message


def test_off_axis_ring_fits_less() -> None:
    ring = plain_ring(PlainStrip(), level, columns=600).mesh
    moved = RingMesh(ring.vertices + np.array([0.5, 0.0, 0.0]), ring.faces)
    assert measure_bore(moved).radius_mm == pytest.approx(54.0 / (2.0 * np.pi) - 0.5, abs=1e-3)


def test_no_hole_along_the_axis() -> None:
    block = trimesh.creation.box((10.0, 10.0, 10.0))
    mesh = RingMesh(np.asarray(block.vertices) + np.array([0.1, 0.2, 0.0]), np.asarray(block.faces, dtype=np.int32))
    size = measure_bore(mesh)
    assert size.radius_mm == 0.0
    (finding,) = check_size(size, 54.0)
    assert (finding.kind, finding.level) == (Kind.WRONG_SIZE, Level.ERROR)
