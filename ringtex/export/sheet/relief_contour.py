"""Contour lines of a relief on the strip, for drawings of what has no walls: own motifs, pictures, growth rings."""

from __future__ import annotations

from typing import Final

import numpy as np
import shapely

from ringtex.basics.arrays import Floats
from ringtex.solid.mesh.ring_mesh import RingSolid
from ringtex.solid.mesh.strip_triangulation import in_one_piece

SIMPLIFIED_MM: Final = 0.01
"""What lines may lose: a tenth of the thinnest pen."""


def relief_contour(solid: RingSolid, length: float) -> list[Floats]:
    """The lines at half the relief's height.

    Parameters:
        solid: the ring before finishing.
        length: of the strip, mm.
    Returns: lines (n, 2), u in [0, length], cut at the seam; none where the relief is level.
    """
    faces, height = solid.mesh.faces[: solid.face_ranges["rails"].stop], solid.strip_positions[:, 2]
    level = 0.5 * (float(height.min()) + float(height.max()))
    corner = height[faces]
    above = corner > level
    crossed = np.any(above, axis=1) & ~np.all(above, axis=1)
    faces, corner, above = faces[crossed], corner[crossed], above[crossed]
    if not len(faces):
        return []
    places = np.stack((in_one_piece(solid.strip_positions[faces, 0], length), solid.strip_positions[faces, 1]), axis=2)
    other = np.roll(places, -1, axis=1)
    rise = np.roll(corner, -1, axis=1) - corner
    share = (level - corner) / np.where(rise == 0.0, 1.0, rise)
    # A triangle that is crossed has two sides that are.
    ends = (places + share[..., None] * (other - places))[above != np.roll(above, -1, axis=1)].reshape(-1, 2, 2)
    return _joined(cut_at_seam(ends, length))


def cut_at_seam(lines: Floats, length: float) -> Floats:
    """Lines (k, 2, 2), each shorter than half a turn, as lines with u in [0, length]: those over the seam in two."""
    low, high = lines[:, 0], lines[:, 1]
    forward = (low[:, 0] <= high[:, 0])[:, None]
    low, high = np.where(forward, low, high), np.where(forward, high, low)
    turns = np.column_stack((np.floor(low[:, 0] / length) * length, np.zeros(len(low))))
    low, high = low - turns, high - turns
    over = high[:, 0] > length + 1e-9
    share = (length - low[over, 0]) / (high[over, 0] - low[over, 0])
    cut = low[over] + share[:, None] * (high[over] - low[over])
    back = np.array([length, 0.0])
    rest = np.stack((cut - back, high[over] - back), axis=1)
    high[over] = cut
    return np.concatenate((np.stack((low, high), axis=1), rest))


def _joined(lines: Floats) -> list[Floats]:
    """Lines joined at their common ends, and simplified."""
    whole = shapely.line_merge(shapely.multilinestrings(shapely.linestrings(np.round(lines, 6))))
    parts = shapely.simplify(shapely.get_parts(whole), SIMPLIFIED_MM)
    return [shapely.get_coordinates(each) for each in parts if each.length > SIMPLIFIED_MM]
