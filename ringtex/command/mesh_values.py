"""What can be said of any mesh, as plain values for JSON."""

from __future__ import annotations

from typing import Any

from ringtex.solid.mesh.ring_mesh import RingMesh


def mesh_values(mesh: RingMesh) -> dict[str, Any]:
    """Counts and measures; genus and volume are null where the mesh has no inside."""
    sound = mesh.oriented
    return {
        "triangles": len(mesh.faces),
        "vertices": len(mesh.vertices),
        "closed": mesh.closed,
        "genus": mesh.genus if mesh.closed else None,
        "volume_mm3": mesh.volume if sound else None,
        "area_mm2": mesh.area,
    }
