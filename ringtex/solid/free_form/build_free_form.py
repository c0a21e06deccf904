"""From strip, own motif, picture or growth rings and relief to the closed mesh of the ring."""

from __future__ import annotations

import numpy as np

from ringtex.basics.arrays import Bools, Floats
from ringtex.basics.progress import Progress
from ringtex.pattern.grown.ring_layout import GrowthRings
from ringtex.pattern.motif.motif_layout import MotifLayout
from ringtex.pattern.picture.picture_layout import PictureLayout
from ringtex.relief.make_relief import Relief
from ringtex.solid.finishing.cell_outlines import MIN_DEPTH_FRACTION, CellOutlines, floor_outlines
from ringtex.solid.free_form.motif_mesh import FreeFormSurface, motif_surface
from ringtex.solid.free_form.picture_surface import picture_surface
from ringtex.solid.mesh.ring_mesh import RingSolid
from ringtex.solid.mesh.strip_triangulation import StripMesh
from ringtex.solid.plain_faces import close_ring, point_row
from ringtex.strip.strip_map import StripMap


def build_free_form(
    strip: StripMap,
    layout: MotifLayout | PictureLayout | GrowthRings,
    relief: Relief,
    chord_mm: float,
    progress: Progress,
) -> RingSolid:
    """The ring as one closed, oriented mesh, welded by index.

    Parameters:
        strip: the strip map.
        layout: the repeats of the motif or picture, or the growth rings.
        relief: profile and depths.
        chord_mm: largest distance between mesh and true surface, mm.
        progress: where cancelling is looked for.
    Returns: the mesh with its regions and the outlines that widths of ridges and grooves are measured on; of pictures
        these are not known.
    Raises: Cancelled.
    """
    if isinstance(layout, PictureLayout):
        surface = picture_surface(strip, layout, relief, chord_mm)
    else:
        surface = motif_surface(strip, layout, relief, chord_mm, progress)
    progress.check()
    borders = ((layout.part.lower, surface.lower), (layout.part.upper, surface.upper))
    rows = [point_row(v, surface.positions[ids, 0], ids, strip.length) for v, ids in borders]
    closed = close_ring(strip, (surface.positions, surface.faces), rows, chord_mm)
    return RingSolid(
        mesh=closed.mesh,
        strip_positions=closed.strip_positions,
        face_ranges=closed.face_ranges,
        face_cell=surface.cell,
        shrunk=_without_relief(layout, surface, relief),
        cell_depths=relief.options.depth_mm * relief.depth_share,
        contours=surface.contours,
        outlines=_pierced_outlines(layout, surface, relief),
    )


def _pierced_outlines(
    layout: MotifLayout | PictureLayout | GrowthRings, surface: FreeFormSurface, relief: Relief
) -> CellOutlines | None:
    """Where the shapes are to be cut through; None for other forms."""
    if relief.options.form != "pierced" or isinstance(layout, PictureLayout) or surface.floor is None:
        return None
    mesh = StripMesh(surface.positions, surface.faces, surface.cell)

    def is_shallow(places: Floats) -> Bools:
        return np.asarray(relief.depth_share[layout.cells_at(places)] < MIN_DEPTH_FRACTION)

    return floor_outlines(mesh, surface.floor, is_shallow, layout.part.length)


def _without_relief(
    layout: MotifLayout | PictureLayout | GrowthRings, surface: FreeFormSurface, relief: Relief
) -> Bools:
    """(cells,) where the grooves between growth rings leave nothing of them; nowhere for motifs."""
    if not isinstance(layout, GrowthRings):
        return np.zeros(len(relief.depth_share), dtype=bool)
    bare: Bools = np.asarray(relief.depth_share != 0.0)
    bare[surface.cell[np.any(surface.positions[surface.faces, 2] != 0.0, axis=1)]] = False
    return bare
