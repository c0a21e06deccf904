"""PLY: vertices and faces (Turk, The PLY Polygon File Format, 1994, from memory).

Written as binary, little endian, coordinates as float64: the file holds the mesh exactly, nothing is rounded.
"""

from __future__ import annotations

from typing import BinaryIO

import numpy as np

from ringtex.solid.mesh.ring_mesh import RingMesh


def write_ply(mesh: RingMesh, file: BinaryIO) -> None:
    """Write a binary PLY with float64 coordinates."""
    header = (
        "ply\nformat binary_little_endian 1.0\ncomment ringtex mesh, millimetres\n"
        f"element vertex {len(mesh.vertices)}\nproperty double x\nproperty double y\nproperty double z\n"
        f"element face {len(mesh.faces)}\nproperty list uchar int vertex_indices\nend_header\n"
    )
    file.write(header.encode("ascii"))
    file.write(np.ascontiguousarray(mesh.vertices, dtype="<f8").data)
    records = np.empty(len(mesh.faces), dtype=[("corners", "u1"), ("vertex", "<i4", 3)])
    records["corners"] = 3
    records["vertex"] = mesh.faces
    file.write(records.data)
