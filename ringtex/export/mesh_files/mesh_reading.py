"""Reading meshes with trimesh, behind the guards of `read_guards`; binary STL is read here.

Every reader takes the file's bytes; `trusted` ones, which this program has just written, pass the guards by.

Binary STL is the one format that needs no trimesh (a record a triangle), since `ringtex make` of a plain band reads one
back: importing trimesh takes 0.6 s, three times as long as the whole of such a run, and brings scipy.
"""

from __future__ import annotations

import io
import warnings
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats
from ringtex.basics.errors import InputError
from ringtex.export.mesh_files.glb import from_gltf
from ringtex.export.mesh_files.read_guards import (
    Guarded,
    guard_glb,
    guard_obj,
    guard_ply,
    guard_text_stl,
    guard_three_mf,
    refuse_many,
)
from ringtex.export.mesh_files.stl import RECORD
from ringtex.export.mesh_files.welding import weld
from ringtex.solid.mesh.ring_mesh import RingMesh

if TYPE_CHECKING:
    from trimesh import Scene

MAX_MM: Final = 1e5
"""Coordinates beyond 100 m are no ring in any unit; they would only drown the arithmetic."""

_AGAIN: Final = "Export the mesh again from the program that made it"

_UNITS_MM: Final = {
    "micron": 0.001,
    "millimeter": 1.0,
    "millimeters": 1.0,  # trimesh's word where the file names none
    "centimeter": 10.0,
    "inch": 25.4,
    "foot": 304.8,
    "meter": 1000.0,
}


def read_stl(data: bytes, trusted: bool = False) -> RingMesh:
    """Read a binary or text STL; corners at exactly the same place become one vertex. trusted: no limit of triangles.

    Raises InputError: cut off, not an STL, a coordinate is not finite.
    """
    declared = int.from_bytes(data[80:84], "little") if len(data) >= 84 else -1
    if len(data) != 84 + RECORD.itemsize * declared and data[:5].lower() == b"solid" and b"vertex" in data[:2000]:
        vertices, faces = _read(guard_text_stl(data), "stl_ascii")
        return _welded(vertices[faces].reshape(-1, 3))
    corners = _binary_corners(data, declared)
    if not trusted:
        refuse_many(declared)
    return _welded(corners)


def _binary_corners(data: bytes, declared: int) -> Floats:
    """(3 m, 3) corners. The count is believed only where the file is as long as it says."""
    if declared < 0:
        raise InputError("This is not an STL file (shorter than its header)", "Export the mesh again")
    room = (len(data) - 84) // RECORD.itemsize
    if declared > room:
        message = f"The file is cut off or no STL: it announces {declared} triangles and has room for {room}"
        raise InputError(message, "Export or copy the file again")
    if len(data) != 84 + RECORD.itemsize * declared:
        message = f"The file is no STL, or damaged: it goes on after the {declared} triangles that it announces"
        raise InputError(message, "Export the mesh again")
    corners = np.frombuffer(data, dtype=RECORD, count=declared, offset=84)["corners"]
    with np.errstate(invalid="ignore"):  # a signalling NaN is refused by the caller, with a sentence
        return corners.astype(np.float64).reshape(-1, 3)


def _welded(corners: Floats) -> RingMesh:
    """The mesh of (3 m, 3) corners."""
    if not np.all(np.isfinite(corners)):
        bad = int(np.flatnonzero(~np.all(np.isfinite(corners), axis=1))[0]) // 3 + 1
        raise InputError(f"A coordinate is not a finite number (triangle {bad})", "Export the mesh again")
    vertices, index = weld(corners)
    return checked_mesh(vertices, index.reshape(-1, 3))


def read_three_mf(data: bytes, trusted: bool = False) -> RingMesh:
    """Read all objects that the package builds, in mm, as one mesh.

    Raises InputError: not a package, damaged, larger inside than it can honestly be, an unknown unit.
    """
    return checked_mesh(*_read(_trusted(data) if trusted else guard_three_mf(data), "3mf"))


def read_obj(data: bytes, trusted: bool = False) -> RingMesh:
    """Read the vertices and faces; polygons are cut into triangles, everything else is passed over.

    Raises InputError: no triangles, a line that is not understood, a coordinate is not finite.
    """
    return checked_mesh(*_read(_trusted(data) if trusted else guard_obj(data), "obj"))


def read_ply(data: bytes, trusted: bool = False) -> RingMesh:
    """Read a PLY of triangles or quadrilaterals, text or binary; further properties are passed over.

    Raises InputError: not a PLY, cut off, other polygons, a coordinate is not finite.
    """
    return checked_mesh(*_read(_trusted(data) if trusted else guard_ply(data), "ply"))


def read_glb(data: bytes, trusted: bool = False) -> RingMesh:
    """Read the scene's triangles, in mm; vertices at exactly the same place (split for shading) become one.

    Raises InputError: not a GLB, cut off, compressed or sparse arrays, a coordinate is not finite.
    """
    vertices, faces = _read(_trusted(data) if trusted else guard_glb(data), "glb")
    checked = checked_mesh(from_gltf(vertices), faces)
    places, index = weld(checked.vertices)
    return RingMesh(places, index[checked.faces])


_LOADER_OPTIONS: Final[dict[str, dict[str, Any]]] = {
    "3mf": {"postprocess": False},
    "obj": {"skip_materials": True, "maintain_order": True},
    "ply": {"skip_materials": True, "fix_texture": False},
    "glb": {"skip_materials": True},
}


def _trusted(data: bytes) -> Guarded:
    """A file that this program has just written: as large as its mesh, and compared with it afterwards."""
    return Guarded(data, 0)


def _read(guarded: Guarded, kind: str) -> tuple[Floats, NDArray[np.int64]]:
    """Vertices (n, 3) and faces (m, 3) of everything in a file, each object in its place.

    Raises: InputError with trimesh's reason where it cannot read the file or drops triangles.
    """
    import trimesh

    try:
        with warnings.catch_warnings(), np.errstate(all="ignore"):  # what overflows is refused with the coordinates
            # numpy warns, and reads no further, where text is no number.
            warnings.filterwarnings("error", module=r"trimesh\.")
            options = _LOADER_OPTIONS.get(kind, {})
            scene = trimesh.load_scene(io.BytesIO(guarded.data), kind, process=False, **options)
            vertices, faces = _gathered(scene)
    except InputError:
        raise
    except IndexError as error:
        raise InputError("A triangle names a vertex that is not in the file", _AGAIN) from error
    except MemoryError:
        raise
    except Exception as error:  # readers of foreign formats raise anything
        reason = " ".join(str(error).split())[:120] or type(error).__name__
        raise InputError(f"The file is damaged or not understood ({reason})", _AGAIN) from error
    if len(faces) < guarded.triangles:
        message = f"Only {len(faces)} of the file's {guarded.triangles} triangles are understood"
        raise InputError(message, _AGAIN)
    return vertices, faces


def _gathered(scene: Scene) -> tuple[Floats, NDArray[np.int64]]:
    """Vertices and faces of every object of a scene where it is placed, in the file's unit or mm."""
    import trimesh

    unit = scene.metadata.get("units", "millimeter")
    if unit not in _UNITS_MM:
        raise InputError(f"The unit {str(unit)[:20]!r} is not one of the format's", "Export it in millimetres")
    vertices: list[Floats] = [np.zeros((0, 3))]
    faces: list[NDArray[np.int64]] = [np.zeros((0, 3), dtype=np.int64)]
    count = 0
    for node in scene.graph.nodes_geometry:
        transform, name = scene.graph[node]
        body = scene.geometry[name]
        if not isinstance(body, trimesh.Trimesh):
            continue
        points = np.asarray(body.vertices, dtype=np.float64)
        if not np.array_equal(transform, np.eye(4)):
            points = points @ transform[:3, :3].T + transform[:3, 3]
        vertices.append(points * _UNITS_MM[unit])
        own = np.asarray(body.faces, dtype=np.int64)
        if len(own) and (int(own.min()) < 0 or int(own.max()) >= len(points)):
            raise IndexError
        faces.append(own + count)
        count += len(points)
    return np.concatenate(vertices), np.concatenate(faces)


def checked_mesh(vertices: NDArray[np.floating], faces: NDArray[np.integer]) -> RingMesh:
    """The mesh of vertices (n, 3) in mm and faces (m, 3), counted from 0.

    Raises InputError: no triangles, a coordinate is not finite or absurd, a triangle names a vertex that is not there.
    """
    if len(faces) == 0 or len(vertices) == 0:
        raise InputError("The file holds no triangles", _AGAIN)
    if not np.all(np.isfinite(vertices)):
        bad = int(np.flatnonzero(~np.all(np.isfinite(vertices), axis=1))[0]) + 1
        raise InputError(f"A coordinate is not a finite number (vertex {bad})", _AGAIN)
    if float(np.abs(vertices).max()) > MAX_MM:
        raise InputError("The mesh is larger than 100 m", "Check the file's unit; a ring is some 25 mm across")
    if int(faces.min()) < 0 or int(faces.max()) >= len(vertices):
        bad = int(np.flatnonzero(np.any((faces < 0) | (faces >= len(vertices)), axis=1))[0]) + 1
        raise InputError(f"Triangle {bad} names a vertex that is not in the file", _AGAIN)
    return RingMesh(
        np.ascontiguousarray(vertices, dtype=np.float64),
        np.ascontiguousarray(faces, dtype=np.int32),
    )
