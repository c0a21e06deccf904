"""Comparing the mesh that a file holds with the mesh that was meant."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringtex.basics.arrays import Floats, Ints
from ringtex.basics.errors import OutputError
from ringtex.export.mesh_files.welding import weld
from ringtex.solid.mesh.ring_mesh import RingMesh

_TRIANGLES_AT_ONCE = 1 << 15


@dataclass(frozen=True)
class Rounding:
    """How far a format may move a coordinate: a share of its size plus an absolute length in mm. Zero is exact."""

    share: float = 0.0
    absolute_mm: float = 0.0

    def allowed(self, vertices: Floats) -> Floats:
        """(n, 3) largest allowed change of each coordinate, mm, with room for float64 arithmetic on the way."""
        if self == Rounding():
            return np.zeros_like(vertices)
        return np.abs(vertices) * (self.share * 1.0001 + 1e-15) + self.absolute_mm + 1e-30


def compare_with_file(wanted: RingMesh, found: RingMesh, rounding: Rounding, where: str) -> int:
    """Check that a file's mesh is the one that was written.

    Returns: the number of triangles that rounding flattened or turned over (thinner than the rounding).

    Parameters:
        wanted: the mesh that was written.
        found: the mesh that the file holds.
        rounding: of the format.
        where: the file, for messages.
    Raises: OutputError (with `where`): other triangles, joined in another way, a place moved too far, vertices that
        fell together. Guarantees: the file's triangles are the wanted ones under a one-to-one renaming of vertices,
        so the file's mesh is closed, oriented and of the same genus exactly if the wanted one is.
    """
    if len(found.faces) != len(wanted.faces):
        message = f"The file was read back with {len(found.faces)} triangles instead of {len(wanted.faces)}"
        raise OutputError(message, "Write it again; check the disk", where)
    used, partner = _partners(wanted, found, where)
    before, after = wanted.vertices.take(used, axis=0), found.vertices.take(partner, axis=0)
    moved = np.abs(after - before)
    if not np.all(moved <= rounding.allowed(before)):
        raise OutputError(f"A vertex was read back {moved.max():.2g} mm away", "Write it again; check the disk", where)
    different = _places(after)
    if different < len(used) and different < _places(before):
        raise _fell_together(len(used) - different, where)
    return 0 if rounding == Rounding() else _flattened(wanted, found, float(np.max(moved, initial=0.0)))


def _partners(wanted: RingMesh, found: RingMesh, where: str) -> tuple[Ints, Ints]:
    """The wanted mesh's used vertices, and the vertex in the file that each became, one to one."""
    if found.faces is wanted.faces:
        used = np.flatnonzero(wanted.is_used).astype(np.int32)
        return used, used
    partner = np.full(len(wanted.vertices), -1, dtype=np.int32)
    partner[wanted.faces] = found.faces
    used = np.flatnonzero(partner >= 0).astype(np.int32)
    partner = partner[used]
    taken = np.zeros(len(found.vertices), dtype=bool)
    taken[partner] = True
    joined = len(used) - int(np.sum(taken))
    if joined > 0:
        raise _fell_together(joined, where)
    lookup = np.empty(len(wanted.vertices), dtype=np.int32)
    lookup[used] = partner
    if not np.array_equal(lookup[wanted.faces], found.faces):
        raise OutputError("The file's triangles are joined in another way", "Write it again; check the disk", where)
    return used, partner


def _places(vertices: Floats) -> int:
    """Number of different places."""
    return len(weld(vertices)[0])


def _fell_together(count: int, where: str) -> OutputError:
    vertices = "One vertex falls" if count == 1 else f"{count} vertices fall"
    message = f"{vertices} together with another in this format, which keeps about seven digits"
    return OutputError(message, "Write a .ply file, which rounds nothing, or build with a coarser tolerance", where)


def _flattened(wanted: RingMesh, found: RingMesh, moved_mm: float) -> int:
    """Triangles that had an area and lost it, or look the other way, through rounding by at most moved_mm along each
    axis."""
    # Both sides of a triangle are shorter than the mesh, and change by less than four times moved_mm.
    extent = sum(float(np.ptp(wanted.vertices[:, axis])) for axis in range(3))
    change = 8.0 * moved_mm * (extent + 4.0 * moved_mm)
    near = np.flatnonzero(wanted.triangle_areas <= change)
    count = 0
    for start in range(0, len(near), _TRIANGLES_AT_ONCE):
        part = near[start : start + _TRIANGLES_AT_ONCE]
        before = _doubled_areas(wanted.vertices, wanted.faces[part])
        after = _doubled_areas(found.vertices, found.faces[part])
        had_area = before[0] ** 2 + before[1] ** 2 + before[2] ** 2 > 0.0
        alike = before[0] * after[0] + before[1] * after[1] + before[2] * after[2]
        count += int(np.sum(had_area & (alike <= 0.0)))
    return count


def _doubled_areas(vertices: Floats, faces: Ints) -> tuple[Floats, Floats, Floats]:
    """Components of each triangle's normal, twice its area long."""
    a, b, c = vertices[faces[:, 0]], vertices[faces[:, 1]], vertices[faces[:, 2]]
    u, v = (b - a).T, (c - a).T
    return u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]
