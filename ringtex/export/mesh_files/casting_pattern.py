"""The ring as it must be printed, milled or moulded, so that the finished one comes out as drawn.

Two allowances act on what is exported, and on nothing else:

1. Finishing takes `polish_mm` off every face that is worn. In the bore it would widen the ring, so the pattern's bore
   is made that much smaller all round; after finishing the ring has the size asked for. Outside nothing is added: the
   relief is made as drawn, and finishing takes the loss off its tops.
2. Cooling metal shrinks by p per cent in every direction, so everything is then made 1 / (1 - p) as large.

Worked example (p = 1.25 per cent): scale 1.012658, an inner diameter of 17.30 mm is made 17.519, the volume is 1.03846
times as large. Published shrinkages differ tenfold, so both figures are the maker's to measure and 0 unless given.
"""

from __future__ import annotations

from pathlib import PurePath
from typing import Final, Protocol

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.checks.making.make_options import MakeOptions
from ringtex.solid.mesh.ring_mesh import RingMesh

AT_BORE_MM: Final = 0.03
"""Vertices this near to the bore's true surface lie on it: cuts leave some on its chords, up to a draft's 0.02 off."""


class BoreView(Protocol):
    """The band's finger hole."""

    def bore_radius_at(self, theta: Floats, z: Floats) -> Floats:
        """Radius (mm) at angle and height."""

    def half_width(self, theta: Floats) -> Floats:
        """Half the width at an angle."""


def casting_mesh(mesh: RingMesh, band: BoreView, make: MakeOptions) -> RingMesh:
    """The mesh to export: bore narrowed for finishing, then everything enlarged for shrinkage.

    Without allowances it is the same mesh.
    Guarantees: the same triangles; a closed, oriented mesh stays so.

    Parameters:
        mesh: the ring's mesh.
        band: the ring's band.
        make: alloy and allowances.
    Returns: the mesh to export; the same one without allowances.
    """
    if not make.changes_export:
        return mesh
    vertices = _narrowed(mesh.vertices, band, make.polish_mm) if make.polish_mm > 0.0 else mesh.vertices
    return RingMesh(vertices * make.pattern_scale, mesh.faces)


def _narrowed(vertices: Floats, band: BoreView, loss_mm: float) -> Floats:
    """Vertices on the bore, and on what stands out into it, nearer to the axis by loss_mm.

    They are drawn together in proportion, so that flat facets of the bore stay flat.
    """
    theta = np.arctan2(-vertices[:, 0], vertices[:, 1])
    half = band.half_width(theta)
    bore = band.bore_radius_at(theta, np.clip(vertices[:, 2], -half, half))
    on_bore = np.hypot(vertices[:, 0], vertices[:, 1]) <= bore + AT_BORE_MM
    moved = vertices.copy()
    moved[on_bore, :2] *= ((bore[on_bore] - loss_mm) / bore[on_bore])[:, None]
    return moved


def casting_name(name: str, make: MakeOptions) -> str:
    """The file name with what was changed before its ending: "ring_scaled_1.25pct.stl", "ring_polish_0.1mm.stl".

    Unchanged where nothing is changed, or where the name ends in just that already.
    """
    path = PurePath(name)
    if not make.changes_export:
        return name
    parts = []
    if make.shrinkage_percent > 0.0:
        parts.append(f"_scaled_{make.shrinkage_percent:g}pct")
    if make.polish_mm > 0.0:
        parts.append(f"_polish_{make.polish_mm:g}mm")
    suffix = "".join(parts)
    if path.stem.endswith(suffix):
        return name
    return name[: len(name) - len(path.name)] + path.stem + suffix + path.suffix


def casting_sentence(make: MakeOptions) -> str:
    """What was changed, in one sentence; empty where nothing was."""
    said = []
    if make.shrinkage_percent > 0.0:
        said.append(f"{make.pattern_scale:.4f} times as large, for {make.shrinkage_percent:g} per cent of shrinkage")
    if make.polish_mm > 0.0:
        said.append(f"with its bore {make.polish_mm:g} mm smaller all round, for the finishing of the bore")
    return f"The mesh is written {', and '.join(said)}." if said else ""
