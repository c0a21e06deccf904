"""Reading meshes with trimesh, of bytes that the format has looked at before (see `read_limits`)."""

from __future__ import annotations

import io
import warnings
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats
from ringtex.basics.errors import InputError
from ringtex.export.mesh_files.read_limits import Guarded
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


def read_with_trimesh(guarded: Guarded, kind: str, **options: Any) -> tuple[Floats, NDArray[np.int64]]:
    """Vertices (n, 3) and faces (m, 3) of everything in a file, each object in its place.

    Parameters:
        guarded: the bytes, looked at before.
        kind: trimesh's name of the format.
        options: for trimesh's reader of it.
    Returns: (n, 3) float64, mm or the format's unit, and (m, 3) int64.
    Raises: InputError with trimesh's reason where it cannot read the file or drops triangles.
    """
    import trimesh

    try:
        with warnings.catch_warnings(), np.errstate(all="ignore"):  # what overflows is refused with the coordinates
            # numpy warns, and reads no further, where text is no number.
            warnings.filterwarnings("error", module=r"trimesh\.")
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
