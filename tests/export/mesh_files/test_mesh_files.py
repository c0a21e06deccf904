"""Every format: the same mesh for outside readers, the same bytes every time, and a sentence for everything bad."""

from __future__ import annotations

import os
import subprocess
import sys
import tracemalloc
from pathlib import Path

import manifold3d
import numpy as np
import pytest
import trimesh
from export_sample_rings import bumpy_ring, tetrahedron
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from ringtex.basics.errors import Cancelled, InputError, OutputError
from ringtex.basics.progress import Progress
from ringtex.export.mesh_files import mesh_files
from ringtex.export.mesh_files.mesh_files import MESH_FORMATS, MeshFormat, read_as, read_mesh, write_mesh
from ringtex.solid.mesh.ring_mesh import RingMesh

ENDINGS = sorted(MESH_FORMATS)


@pytest.mark.parametrize("ending", ENDINGS)
def test_trimesh_reads_the_same_ring(ending: str, tmp_path: Path) -> None:
    mesh = bumpy_ring()
    path = tmp_path / f"ring{ending}"
    written = write_mesh(mesh, path)
    assert (written.triangles, written.flattened, written.bytes) == (len(mesh.faces), 0, path.stat().st_size)
    theirs = trimesh.load(path, force="mesh")
    scale = 1000.0 if ending == ".glb" else 1.0
    assert theirs.is_watertight
    assert theirs.is_winding_consistent
    assert theirs.euler_number == 0
    assert theirs.volume * scale**3 == pytest.approx(mesh.volume, rel=1e-6)
    assert theirs.area * scale**2 == pytest.approx(mesh.area, rel=1e-6)


@pytest.mark.parametrize("ending", ENDINGS)
def test_manifold_accepts_what_is_read(ending: str, tmp_path: Path) -> None:
    path = tmp_path / f"ring{ending}"
    write_mesh(bumpy_ring(), path)
    mesh = read_mesh(path)
    assert mesh.problems() == []
    solid = manifold3d.Manifold(manifold3d.Mesh64(mesh.vertices, mesh.faces.astype(np.uint64)))
    assert solid.status() == manifold3d.Error.NoError
    assert solid.genus() == 1
    assert solid.volume() == pytest.approx(bumpy_ring().volume, rel=1e-6)


@pytest.mark.parametrize("ending", ENDINGS)
def test_positions_are_within_the_rounding(ending: str, tmp_path: Path) -> None:
    mesh = bumpy_ring()
    write_mesh(mesh, tmp_path / f"ring{ending}")
    back = read_mesh(tmp_path / f"ring{ending}")
    corners = back.vertices[back.faces], mesh.vertices[mesh.faces]
    assert np.abs(corners[0] - corners[1]).max() <= 10.6 * 2.0**-24


def test_same_bytes_again_and_in_a_fresh_process(tmp_path: Path) -> None:
    for ending in ENDINGS:
        write_mesh(bumpy_ring(), tmp_path / f"one{ending}")
        write_mesh(bumpy_ring(), tmp_path / f"two{ending}")
        assert (tmp_path / f"one{ending}").read_bytes() == (tmp_path / f"two{ending}").read_bytes()
    script = (
        "import sys; from pathlib import Path; from export_sample_rings import bumpy_ring; "
        "from ringtex.export.mesh_files.mesh_files import MESH_FORMATS, write_mesh; "
        "[write_mesh(bumpy_ring(), Path(sys.argv[1]) / f'fresh{e}') for e in MESH_FORMATS]"
    )
    here = Path(__file__).parent
    places = os.pathsep.join([str(here.parent), str(here.parents[2])])
    environment = {**os.environ, "PYTHONPATH": places, "PYTHONHASHSEED": "77", "TZ": "Asia/Tokyo"}
    subprocess.run([sys.executable, "-c", script, str(tmp_path)], check=True, env=environment)
    for ending in ENDINGS:
        assert (tmp_path / f"one{ending}").read_bytes() == (tmp_path / f"fresh{ending}").read_bytes()


def _close_vertices(distance: float) -> RingMesh:
    """A closed mesh with two vertices so near to each other, 10 mm from the origin."""
    vertices = np.array([[10.0, 0, 0], [10.0 + distance, 0, 0], [11, 1, 0], [11, -1, 0], [11, 0, 1]])
    faces = np.array([[0, 2, 1], [1, 3, 0], [0, 3, 4], [0, 4, 2], [1, 2, 4], [1, 4, 3]], dtype=np.int32)
    return RingMesh(vertices, faces)


@pytest.mark.parametrize(("ending", "distance"), [(".stl", 1e-7), (".glb", 1e-7), (".3mf", 1e-8), (".obj", 1e-8)])
def test_vertices_that_rounding_would_merge(ending: str, distance: float, tmp_path: Path) -> None:
    """float32 near 10 has steps of 9.5e-7 (IEEE 754); seven decimals have steps of 1e-7."""
    target = tmp_path / f"ring{ending}"
    target.write_bytes(b"old")
    with pytest.raises(OutputError, match=r"falls? together") as caught:
        write_mesh(_close_vertices(distance), target)
    assert ".ply" in caught.value.advice
    assert target.read_bytes() == b"old"
    assert os.listdir(tmp_path) == [target.name]
    write_mesh(_close_vertices(distance), tmp_path / "ring.ply")
    write_mesh(_close_vertices(1e-5), target)


def test_a_triangle_that_rounding_flattens_is_counted(tmp_path: Path) -> None:
    """A vertex 1e-8 beside the middle of a side, 10 mm from the origin, falls on the side in float32."""
    vertices = np.array([[10.0, 0, 0], [10, 2, 0], [10 + 1e-8, 1, 0], [12, 1, 0], [11, 1, 1]])
    faces = np.array([[0, 1, 2], [0, 2, 3], [2, 1, 3], [0, 4, 1], [0, 3, 4], [1, 4, 3]], dtype=np.int32)
    mesh = RingMesh(vertices, faces[:, ::-1].copy())
    assert mesh.closed
    assert write_mesh(mesh, tmp_path / "a.stl").flattened == 1
    assert write_mesh(mesh, tmp_path / "a.ply").flattened == 0


@pytest.mark.parametrize("path", ["ring.step", "ring", "ring.stl.gz", ".stl"])
def test_unknown_endings(path: str, tmp_path: Path) -> None:
    for act in (lambda: write_mesh(bumpy_ring(), tmp_path / path), lambda: read_mesh(tmp_path / path)):
        with pytest.raises(InputError) as caught:
            act()
        assert all(ending in caught.value.advice for ending in ENDINGS)


def test_endings_in_capitals(tmp_path: Path) -> None:
    write_mesh(bumpy_ring(), tmp_path / "RING.STL")
    assert read_mesh(tmp_path / "RING.STL").closed


def test_an_open_mesh_is_not_written(tmp_path: Path) -> None:
    mesh = bumpy_ring()
    with pytest.raises(InputError, match="not closed"):
        write_mesh(RingMesh(mesh.vertices, mesh.faces[1:]), tmp_path / "ring.stl")
    assert os.listdir(tmp_path) == []


@pytest.mark.parametrize("ending", ENDINGS)
def test_a_disk_that_alters_a_byte_is_found_out(ending: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A bit of the coordinates is turned between writing and reading back: success is not reported."""

    def altered(path: Path, kind: MeshFormat, written: RingMesh) -> RingMesh:
        data = bytearray(path.read_bytes())
        data[len(data) // 3] ^= 0x40
        path.write_bytes(data)
        return read_as(path, kind, written)

    target = tmp_path / f"ring{ending}"
    target.write_bytes(b"old")
    monkeypatch.setattr(mesh_files, "read_as", altered)
    with pytest.raises(OutputError):
        write_mesh(bumpy_ring(), target)
    assert target.read_bytes() == b"old"
    assert os.listdir(tmp_path) == [target.name]


def test_cancel_leaves_nothing(tmp_path: Path) -> None:
    progress = Progress(lambda stage, fraction: progress.cancel() if fraction > 0.2 else None)
    with pytest.raises(Cancelled):
        write_mesh(bumpy_ring(), tmp_path / "ring.stl", progress)
    assert os.listdir(tmp_path) == []


def test_progress_stages(tmp_path: Path) -> None:
    progress = Progress()
    write_mesh(bumpy_ring(), tmp_path / "ring.stl", progress)
    assert list(progress.seconds) == ["write", "read back"]
    assert progress.fraction == 1.0


def _sound_files() -> dict[str, bytes]:
    import io

    found = {}
    for ending, kind in MESH_FORMATS.items():
        file = io.BytesIO()
        kind.write(tetrahedron(7.3), file)
        found[ending] = file.getvalue()
    return found


SOUND = _sound_files()


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=200, deadline=None)
@given(
    ending=st.sampled_from(ENDINGS),
    cut=st.none() | st.floats(0, 1),
    flips=st.lists(st.tuples(st.floats(0, 0.999999), st.integers(0, 7)), max_size=6),
    tail=st.binary(max_size=8),
)
@example(ending=".stl", cut=None, flips=[], tail=b"")
def test_damaged_files(
    ending: str, cut: float | None, flips: list[tuple[float, int]], tail: bytes, tmp_path: Path
) -> None:
    """Cut, flipped and lengthened files are read or refused with a sentence."""
    data = bytearray(SOUND[ending])
    for place, bit in flips:
        data[int(place * len(data))] ^= 1 << bit
    data = data[: int(cut * len(data))] if cut is not None else data
    path = tmp_path / f"ring{ending}"
    path.write_bytes(bytes(data) + tail)
    _reads_or_says_why(path)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=150, deadline=None)
@given(ending=st.sampled_from(ENDINGS), head=st.integers(0, 90), data=st.binary(max_size=300))
def test_random_files(ending: str, head: int, data: bytes, tmp_path: Path) -> None:
    path = tmp_path / f"ring{ending}"
    path.write_bytes(SOUND[ending][:head] + data)
    _reads_or_says_why(path)


def _reads_or_says_why(path: Path) -> None:
    refusal: InputError | None = None
    try:
        mesh = read_mesh(path)
    except InputError as error:
        refusal = error
    if refusal is not None:
        assert refusal.where == str(path)
        assert refusal.advice
        assert len(str(refusal)) < 400 + len(str(path))
    else:
        assert np.all(np.isfinite(mesh.vertices))
        assert 0 <= mesh.faces.min() <= mesh.faces.max() < len(mesh.vertices)


@pytest.mark.parametrize("ending", ENDINGS)
def test_fifty_megabytes_of_junk(ending: str, tmp_path: Path) -> None:
    """Read in a few times its own size, or refused at once."""
    path = tmp_path / f"junk{ending}"
    path.write_bytes(np.random.default_rng(4).bytes(50_000_000))
    tracemalloc.start()
    try:
        with pytest.raises(InputError):
            read_mesh(path)
        assert tracemalloc.get_traced_memory()[1] < 4 * 50_000_000
    finally:
        tracemalloc.stop()


@pytest.mark.parametrize("ending", ENDINGS)
def test_no_file_an_empty_one_and_a_folder(ending: str, tmp_path: Path) -> None:
    path = tmp_path / f"ring{ending}"
    with pytest.raises(InputError, match="no such file"):
        read_mesh(path)
    path.write_bytes(b"")
    with pytest.raises(InputError, match="empty"):
        read_mesh(path)
    path.unlink()
    path.mkdir()
    with pytest.raises(InputError, match="folder"):
        read_mesh(path)


def test_names_that_are_none(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="not a file name"):
        read_mesh("a\0.stl")
    os.mkfifo(tmp_path / "pipe.stl")
    with pytest.raises(InputError, match="this is a pipe"):
        read_mesh(tmp_path / "pipe.stl")


def test_a_file_beyond_the_limit(tmp_path: Path) -> None:
    with (tmp_path / "huge.stl").open("wb") as file:
        file.truncate(mesh_files.MAX_FILE + 1)  # takes no room on the disk
    with pytest.raises(InputError, match="far too big"):
        read_mesh(tmp_path / "huge.stl")


@pytest.mark.parametrize(
    ("ending", "junk"),
    [
        (".obj", b"ab\n" * 300_000),
        (".obj", b"f\n" * 300_000),
        (".stl", b"solid\nvertex\n" + b"ab\n" * 300_000 + b"endsolid"),
        (".ply", b"ply\nformat ascii 1.0\nelement vertex 9\nproperty float x\nend_header\n" + b"ab\n" * 300_000),
    ],
)
def test_junk_text_takes_no_memory(ending: str, junk: bytes, tmp_path: Path) -> None:
    """A Python object a line would take 20 times the file."""
    (tmp_path / f"junk{ending}").write_bytes(junk)
    tracemalloc.start()
    try:
        with pytest.raises(InputError):
            read_mesh(tmp_path / f"junk{ending}")
        assert tracemalloc.get_traced_memory()[1] < 5 * len(junk)
    finally:
        tracemalloc.stop()
