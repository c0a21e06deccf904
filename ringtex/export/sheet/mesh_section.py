"""The outline that a flat cut through a mesh leaves, as closed curves."""

from __future__ import annotations

from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.solid.mesh.ring_mesh import RingMesh

_OFFSET_MM: Final = 1.37e-6
"""The cut is moved by this, so that it goes through no vertex: an odd number far under anything made or drawn."""


def section_curves(mesh: RingMesh, right: Floats, up: Floats, offset_mm: float = 0.0) -> list[Floats]:
    """Closed curves where a plane cuts a closed mesh, in the plane's own coordinates.

    Parameters:
        mesh: closed.
        right: (3,) unit, the plane's x.
        up: (3,) unit, square to right, the plane's y.
        offset_mm: of the plane from the origin along right x up.
    Returns: (n, 2) mm for each curve, in order round it, the first point not repeated; holes run the other way round.
    Raises: SelfCheckError if the mesh is no closed body.
    """
    from ringtex.solid.mesh.booleans import as_manifold

    frame = np.stack((right, up, np.cross(right, up)))
    turned = as_manifold(mesh).transform(np.column_stack((frame, np.zeros(3))))
    return [np.array(curve) for curve in turned.slice(offset_mm + _OFFSET_MM).to_polygons()]
