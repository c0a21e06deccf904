"""What is worked out once for each mesh that the ring's view shows."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Singles
from ringtex.window.building.drawable_ring import View
from ringtex.window.overlays.overlay_values import OverlayValues, colours

GROUND_OPEN: Final = 0.5
"""Share of the room that the ground of the relief sees, against 1 for its highest places; chosen by eye."""
_STRENGTH: Final = 0.82
_OUTLINE: Final = 4000


def visibility(view: View) -> Singles:
    """(n,) how much of the room each position sees: less in the relief's depth. Sides and bore see all of it."""
    height = view.places[:, 2]
    share = np.ones(len(height), dtype=np.float32)
    known = np.isfinite(height)
    if np.any(known):
        depth = max(float(np.ptp(height[known])), 0.02)
        share[known] -= (1.0 - GROUND_OPEN) * (float(height[known].max()) - height[known]) / depth
    return share if view.mesh_vertex is None else share[view.mesh_vertex]


def outline(view: View) -> Singles:
    """(k, 3) some thousand of the positions, enough to know how large the ring is."""
    return view.positions[:: max(len(view.positions) // _OUTLINE, 1)]


def overlay_colours(view: View, values: OverlayValues) -> NDArray[np.uint8]:
    """(n, 4) an overlay's colours with their strength for every position; none where there is no value."""
    numbers = values.per_vertex if view.mesh_vertex is None else values.per_vertex[view.mesh_vertex]
    laid = np.zeros((len(view.positions), 4), dtype=np.uint8)
    laid[:, :3] = colours(values, numbers)
    laid[np.isfinite(numbers), 3] = round(255 * _STRENGTH)
    return laid


def bore_size(view: View) -> tuple[float, float]:
    """Radius and mean half width of the bore, mm."""
    band = view.built.strip.band
    return band.bore_radius_mm, float(np.mean(band.half_width(np.array([0.0, np.pi]))))
