import manifold3d
import numpy as np
import pytest
import trimesh
from plain_rings import PlainStrip, level, plain_ring, revolved

from ringtex.checks.finding import Kind, Level
from ringtex.checks.geometry.mesh_checks import check_mesh
from ringtex.solid.mesh.ring_mesh import RingMesh


def kinds(mesh: RingMesh, genus: int = 1) -> list[Kind]:
    return [finding.kind for finding in check_mesh(mesh, genus)]


@pytest.fixture
def ring() -> RingMesh:
    return plain_ring(PlainStrip(), level).mesh


def test_a_sound_ring_has_no_findings_and_outside_libraries_agree(ring: RingMesh) -> None:
    assert check_mesh(ring) == []
    solid = manifold3d.Manifold(manifold3d.Mesh64(ring.vertices, ring.faces.astype(np.uint64)))
    assert solid.status() == manifold3d.Error.NoError
    assert solid.genus() == ring.genus == 1
    other = trimesh.Trimesh(ring.vertices, ring.faces, process=False)
    assert other.is_watertight
    assert other.euler_number == ring.euler
    assert other.volume == pytest.approx(ring.volume, rel=1e-12)
    assert other.area == pytest.approx(ring.area, rel=1e-12)
    assert other.center_mass == pytest.approx(ring.centre_of_mass, abs=1e-9)


def test_missing_triangle_is_named_with_its_place(ring: RingMesh) -> None:
    broken = RingMesh(ring.vertices, np.delete(ring.faces, 5, axis=0))
    (finding,) = check_mesh(broken)
    assert finding.kind is Kind.NOT_CLOSED
    assert finding.level is Level.ERROR
    assert finding.measured == 3.0
    assert "palm side" in finding.where
    gone = ring.vertices[ring.faces[5]].mean(axis=0)
    assert np.linalg.norm(np.array(finding.place) - gone) < 1.0


def test_doubled_triangle_is_not_closed(ring: RingMesh) -> None:
    assert Kind.NOT_CLOSED in kinds(RingMesh(ring.vertices, np.concatenate((ring.faces, ring.faces[:1]))))


def test_turned_triangle(ring: RingMesh) -> None:
    faces = ring.faces.copy()
    faces[7] = faces[7, ::-1]
    (finding,) = check_mesh(RingMesh(ring.vertices, faces))
    assert finding.kind is Kind.NOT_ORIENTED
    assert finding.measured == 3.0


def test_inside_out(ring: RingMesh) -> None:
    assert kinds(RingMesh(ring.vertices, ring.faces[:, ::-1].copy())) == [Kind.INSIDE_OUT]


def test_two_parts(ring: RingMesh) -> None:
    bead = trimesh.creation.icosphere(1, radius=0.5)
    vertices = np.concatenate((ring.vertices, np.asarray(bead.vertices) + np.array([0.0, 20.0, 0.0])))
    faces = np.concatenate((ring.faces, np.asarray(bead.faces, dtype=np.int32) + len(ring.vertices)))
    (finding,) = check_mesh(RingMesh(vertices, faces.astype(np.int32)))
    assert finding.kind is Kind.NOT_ONE_BODY
    assert finding.measured == 2.0
    assert finding.place is not None
    assert finding.place[1] > 19.0


def test_parts_agree_with_trimesh_on_shuffled_meshes() -> None:
    rng = np.random.default_rng(3)
    beads = [trimesh.creation.icosphere(2).apply_translation([3.0 * i, 0.0, 0.0]) for i in range(7)]
    heap = trimesh.util.concatenate(beads)
    order = rng.permutation(len(heap.vertices))
    vertices = np.empty_like(heap.vertices)
    vertices[order] = heap.vertices
    faces = order[heap.faces][rng.permutation(len(heap.faces))].astype(np.int32)
    unused = np.concatenate((vertices, np.zeros((3, 3))))
    assert RingMesh(unused, faces).bodies == trimesh.Trimesh(vertices, faces, process=False).body_count == 7


def test_a_closed_slab_is_no_ring() -> None:
    # A flat slab warped round and shut passes for watertight elsewhere, yet has no hole.
    block = trimesh.creation.box((4.0, 5.0, 6.0))
    mesh = RingMesh(np.asarray(block.vertices), np.asarray(block.faces, dtype=np.int32))
    (finding,) = check_mesh(mesh)
    assert finding.kind is Kind.WRONG_GENUS
    assert finding.measured == 0.0
    assert "finger hole is closed" in finding.message
    assert check_mesh(mesh, genus=0) == []


def test_surface_that_touches_itself_in_a_point() -> None:
    corners = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1], [-1, 0, 0], [0, -1, 0], [0, 0, -1]], dtype=float)
    one = np.array([[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]])
    other = np.where(one > 0, one + 3, 0)[:, ::-1]
    (finding,) = check_mesh(RingMesh(corners, np.concatenate((one, other)).astype(np.int32)))
    assert finding.kind is Kind.WRONG_GENUS
    assert "in a point" in finding.message


def test_triangle_without_area(ring: RingMesh) -> None:
    a, b, c = ring.faces[0]
    middle = 0.5 * (ring.vertices[a] + ring.vertices[b])
    new = len(ring.vertices)
    split = [[a, new, c], [new, b, c], [a, b, new]]
    # The neighbour across (a, b) keeps its edge; the third triangle fills the slit and has no area.
    vertices = np.concatenate((ring.vertices, middle[None]))
    mesh = RingMesh(vertices, np.concatenate((ring.faces[1:], split)).astype(np.int32))
    (finding,) = check_mesh(mesh)
    assert finding.kind is Kind.DEGENERATE_TRIANGLES
    assert finding.level is Level.WARNING
    assert finding.measured == 1.0


def test_empty_and_not_finite(ring: RingMesh) -> None:
    assert kinds(RingMesh(ring.vertices, ring.faces[:0])) == [Kind.NOT_CLOSED]
    spoiled = ring.vertices.copy()
    spoiled[3, 1] = np.nan
    assert kinds(RingMesh(spoiled, ring.faces)) == [Kind.NOT_CLOSED]


def richardson(coarse: float, fine: float) -> float:
    """The limit of a polygon's second-order error from n and 2 n."""
    return (4.0 * fine - coarse) / 3.0


def test_torus_volume_and_area_by_pappus() -> None:
    # Pappus-Guldinus; the worked torus R 7, r 3: V 1243.570155, S 829.046770 (exact pi).
    values = []
    for n in (128, 256):
        angle = np.arange(n) * 2.0 * np.pi / n
        mesh = revolved(np.column_stack((7.0 + 3.0 * np.cos(angle), 3.0 * np.sin(angle))), n)
        assert mesh.problems() == []
        values.append((mesh.volume, mesh.area))
    assert richardson(values[0][0], values[1][0]) == pytest.approx(1243.570155, rel=1e-6)
    assert richardson(values[0][1], values[1][1]) == pytest.approx(829.046770, rel=1e-6)


def test_flat_band_volume_by_pappus() -> None:
    # V = pi (ID + t) t w: ID 17.3, t 1, w 6 gives 344.946874 mm3 (Pappus-Guldinus, computed).
    profile = np.array([[8.65, -3.0], [9.65, -3.0], [9.65, 3.0], [8.65, 3.0]])
    coarse, fine = (revolved(profile, n).volume for n in (500, 1000))
    assert richardson(coarse, fine) == pytest.approx(344.946874, abs=1e-5)


def test_half_round_volume_by_pappus() -> None:
    # Half disc of radius a on the bore: area pi a^2 / 2, centroid 4 a / (3 pi) above it.
    bore, a = 8.6, 2.0
    exact = 2.0 * np.pi * (bore + 4.0 * a / (3.0 * np.pi)) * np.pi * a * a / 2.0
    values = []
    for n in (200, 400):
        angle = np.linspace(-np.pi / 2.0, np.pi / 2.0, n + 1)
        values.append(revolved(np.column_stack((bore + a * np.cos(angle), a * np.sin(angle))), n).volume)
    assert richardson(*values) == pytest.approx(exact, rel=1e-6)
