"""Writing and reading meshes; the file's ending picks the format.

A mesh is written beside its target, read back, compared with what was meant, and only then put in its place.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from ringtex.basics.errors import InputError, OutputError
from ringtex.basics.guarded_files import read_ordinary_file
from ringtex.basics.progress import Progress
from ringtex.basics.safe_files import written_beside
from ringtex.export.mesh_files.glb import GLB
from ringtex.export.mesh_files.mesh_format import MeshFormat
from ringtex.export.mesh_files.obj import OBJ
from ringtex.export.mesh_files.ply import PLY
from ringtex.export.mesh_files.read_back import compare_with_file
from ringtex.export.mesh_files.stl import STL
from ringtex.export.mesh_files.three_mf import THREE_MF
from ringtex.solid.mesh.ring_mesh import RingMesh

MAX_FILE: Final = 300_000_000
"""Bytes of a file that others made: four million triangles as STL have 200 million, five times the largest ring."""

MAX_WRITTEN: Final = 2**40
"""Bytes of a file that this program has just written: no limit in practice."""


MESH_FORMATS: Final = {kind.ending: kind for kind in (STL, THREE_MF, OBJ, PLY, GLB)}
"""Every format by its ending."""


@dataclass(frozen=True)
class WrittenMesh:
    """What was written: the file, its format's name, its size, its triangles, and how many of them rounding flattened.

    A flattened triangle was thinner than the format's rounding (a millionth of a mm); the mesh is still closed.
    """

    path: Path
    format: str
    bytes: int
    triangles: int
    flattened: int


def write_mesh(
    mesh: RingMesh, path: str | os.PathLike[str], progress: Progress | None = None, until: float = 1.0
) -> WrittenMesh:
    """Write a closed mesh, read it back, compare, then replace the target; the old file stays whatever goes wrong.

    Parameters:
        mesh: the ring's mesh.
        path: the ending picks the format.
        progress: told of the work and asked whether to stop.
        until: progress when the file is in place.
    Returns: what was written.
    Raises: InputError: the ending is unknown, the mesh is not closed. OutputError: the file could not be written, or
        does not hold the same mesh (two vertices fell together by rounding, say). Guarantees: the file on disk was
        read back with the same triangles, joined in the same way, every place within the format's rounding. The same
        mesh gives the same bytes.
    """
    shown = os.fspath(path)
    kind = format_of(shown)
    progress = progress or Progress()
    if not mesh.closed:
        raise InputError("The mesh is not closed, so it cannot be made", "The findings say where it is open", shown)
    with written_beside(path) as beside:
        with progress.stage("write", (progress.fraction + until) / 2.0), beside.open("wb") as file:
            kind.write(mesh, file)
        with progress.stage("read back", until):
            flattened = compare_with_file(mesh, _read_back(mesh, beside, kind, shown), kind.rounding, shown)
        size = beside.stat().st_size
    return WrittenMesh(Path(path), kind.name, size, len(mesh.faces), flattened)


def _read_back(mesh: RingMesh, beside: Path, kind: MeshFormat, shown: str) -> RingMesh:
    """Read what was just written; what cannot be read is a fault of the writing."""
    try:
        return read_as(beside, kind, mesh)
    except InputError as error:
        message = f"The file was written but does not read back ({error.message})"
        raise OutputError(message, "Write it again; check the disk", shown) from error


def read_mesh(path: str | os.PathLike[str]) -> RingMesh:
    """Read a mesh in mm; vertices of an STL or GLB at exactly the same place become one.

    Raises InputError: no such file, unknown ending, damaged, empty, absurdly large, or with numbers not finite.
    """
    shown = os.fspath(path)
    kind = format_of(shown)
    try:
        return read_as(Path(path), kind)
    except InputError as error:
        raise InputError(error.message, error.advice, shown) from error
    except MemoryError as error:
        raise InputError("The mesh does not fit in the memory", "Export it coarser", shown) from error


def format_of(path: str) -> MeshFormat:
    """The format that a file name's ending picks; InputError for an unknown one."""
    ending = os.path.splitext(path)[1].lower()
    if ending not in MESH_FORMATS:
        known = ", ".join(MESH_FORMATS)
        message = f"The ending {ending!r} is not one of a mesh file" if ending else "The file name has no ending"
        raise InputError(message, f"Use one of {known}", path)
    return MESH_FORMATS[ending]


def read_as(path: Path, kind: MeshFormat, written: RingMesh | None = None) -> RingMesh:
    """Read a file in a known format, whatever its name.

    Parameters:
        path: the file.
        kind: the format.
        written: the mesh that this program has just written there, of any size; None for a file of others.
    Returns: the mesh in the file.
    Raises: InputError as `read_mesh`.
    """
    data = read_ordinary_file(path, MAX_FILE if written is None else MAX_WRITTEN, "mesh", "")
    if not data:
        raise InputError("The file is empty", "Export the mesh again")
    found = None
    if written is not None and kind.recognise is not None:
        found = kind.recognise(written, data)
    return kind.read(data, written is not None) if found is None else found
