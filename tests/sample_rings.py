"""Rings of every kind built up to the mesh, without checks, and measures that the program does not make."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ringtex.band.band import Band
from ringtex.band.band_options import BandOptions, Station
from ringtex.band.bore import BoreOptions
from ringtex.basics.arrays import Floats
from ringtex.basics.progress import Progress
from ringtex.basics.tolerances import FINAL_CHORD_MM
from ringtex.pattern.make_pattern import make_pattern
from ringtex.pattern.pattern_options import CELL_FAMILIES, PatternOptions, RailOptions
from ringtex.pattern.patterned_part import Pattern
from ringtex.pattern.tiling import Tiling
from ringtex.relief.make_relief import Relief, make_relief
from ringtex.relief.relief_options import FORMS, ReliefOptions
from ringtex.solid.build_solid import build_solid
from ringtex.solid.free_form.build_free_form import build_free_form
from ringtex.solid.mesh.ring_mesh import RingMesh, RingSolid
from ringtex.strip.strip_map import Keep, StripMap
from ringtex.strip.unwrap import unwrap

BORE_MM = 54.0 / (2.0 * np.pi)
"""Bore radius of size 54: the size is the inner circumference in mm (ISO 8653:1986)."""

DOME_STATIONS = (Station(0.0, 18.0, 9.0, 1.2), Station(180.0, 5.0, 1.5, 1.2))
"""Wide and high at the head, 1.5 mm at the palm (common practice, no source)."""

BANDS: dict[str, Band] = {
    "flat": Band(BORE_MM, BoreOptions(), BandOptions("flat", (Station(0.0, 8.0, 1.6, 1.6),))),
    "half_round": Band(BORE_MM, BoreOptions(), BandOptions("half_round", (Station(0.0, 6.0, 2.0, 1.0),))),
    "court": Band(BORE_MM, BoreOptions(), BandOptions("court", (Station(0.0, 6.0, 2.0, 1.2),))),
    "comfort": Band(BORE_MM, BoreOptions("comfort", 0.4), BandOptions("court", (Station(0.0, 6.0, 2.0, 1.2),))),
    "knife_edge": Band(BORE_MM, BoreOptions(), BandOptions("knife_edge", (Station(0.0, 6.0, 2.5, 1.2),))),
    "full": Band(BORE_MM, BoreOptions(), BandOptions(None, (Station(0.0, 6.0, 2.2, 1.2, 5.0),))),
    "dome": Band(BORE_MM, BoreOptions(), BandOptions("half_round", DOME_STATIONS)),
}

SUNK = ("sunk", "dish", "pierced")
RAISED = [form for form in FORMS if form not in SUNK]
EACH = 2
"""Each family is judged on so many of the sections, in so many forms; each section has 14 families.

`tests/campaigns/family_crossings.py` goes through the sections that its `--bands` names, at the final tolerance.
"""
JUDGED_OUTSIDE = [
    (band, family, RAISED[(i + j) % len(RAISED)] if band == "knife_edge" else FORMS[(i + j) % len(FORMS)])
    for i, band in enumerate(BANDS)
    for j, family in enumerate(CELL_FAMILIES)
    if (i - EACH * j) % len(BANDS) < EACH
]
JUDGED_OUTSIDE += [
    ("flat", "growth_rings", "raised"),
    ("half_round", "growth_rings", "step"),
    ("dome", "growth_rings", "sunk"),
]
"""Every section, every family and every form, for the judges of tests/outside/test_meshes_outside.py; nothing sunk
deeper than a knife-edge's crown is round."""


@dataclass(frozen=True)
class SampleRing:
    """A ring and the stages on the way to it; its mesh is built when it is asked for."""

    strip: StripMap
    pattern: Pattern
    relief: Relief
    chord_mm: float

    @cached_property
    def solid(self) -> RingSolid:
        if self.pattern.motif is not None:
            return build_free_form(self.strip, self.pattern.motif, self.relief, self.chord_mm, Progress())
        return build_solid(self.strip, self.pattern.tiling, self.relief, self.chord_mm)

    @property
    def mesh(self) -> RingMesh:
        return self.solid.mesh

    @property
    def tiling(self) -> Tiling:
        return self.pattern.tiling


@lru_cache(maxsize=64)
def sample_ring(
    band: str = "flat",
    family: str = "hexagon",
    around: int = 24,
    across: int | str = "auto",
    keep: Keep = "shape",
    rail_mm: float = 0.5,
    chord_mm: float = FINAL_CHORD_MM,
    scatter: float = 0.0,
    seed: int = 1,
    twist: int = 0,
    **relief: Any,
) -> SampleRing:
    """Build one; the same request gives the same ring without building it again."""
    strip = unwrap(BANDS[band], keep)
    options = PatternOptions(family, around, across, seed, scatter, twist=twist)  # type: ignore[arg-type]
    pattern = make_pattern(strip, options, RailOptions(rail_mm, rail_mm), Progress())
    made = make_relief(pattern.tiling.cells, ReliefOptions(**relief), chord_mm, level=pattern.level)
    return SampleRing(strip, pattern, made, chord_mm)


def chord_errors(ring: SampleRing, most: int = 6_000) -> Floats:
    """(faces of cells and rails,) largest distance along the band's normal between a triangle and the true surface of
    its own heights, looked for at its centroid and at the middles of its sides, mm.

    Of a large mesh only those `most` faces are measured whose longest side reaches furthest round a bend.
    """
    solid, strip = ring.solid, ring.strip
    faces = solid.mesh.faces[: solid.face_ranges["rails"].stop]
    if len(faces) > most:
        faces = faces[_most_bent(ring, faces, most)]
    places = solid.strip_positions[faces]
    u = places[..., 0] - strip.length * np.rint((places[..., 0] - places[:, :1, 0]) / strip.length)
    worst = np.zeros(len(faces))
    for weights in ([1 / 3, 1 / 3, 1 / 3], [0.5, 0.5, 0.0], [0.0, 0.5, 0.5], [0.5, 0.0, 0.5]):
        weight = np.array(weights)
        at_u, at_v, at_h = u @ weight, places[..., 1] @ weight, places[..., 2] @ weight
        on_mesh = np.einsum("fci,c->fi", solid.mesh.vertices[faces], weight)
        frame = strip.jacobian(at_u, at_v)
        true = frame.point + at_h[:, None] * frame.normal
        worst = np.maximum(worst, np.abs(np.einsum("fi,fi->f", on_mesh - true, frame.normal)))
    return worst


def _most_bent(ring: SampleRing, faces: NDArray[np.int32], most: int) -> NDArray[np.int64]:
    corners = ring.solid.mesh.vertices[faces]
    longest = np.max(np.sum((corners - np.roll(corners, 1, axis=1)) ** 2, axis=2), axis=1)
    bends = ring.strip.max_curvature(*ring.solid.strip_positions[:, :2].T)
    return np.argpartition(longest * bends[faces].max(axis=1), -most)[-most:]


def least_angles(mesh: RingMesh) -> Floats:
    """(faces,) smallest angle of each triangle, degrees."""
    corners = mesh.vertices[mesh.faces]
    angles = []
    for corner in range(3):
        first = corners[:, (corner + 1) % 3] - corners[:, corner]
        second = corners[:, (corner + 2) % 3] - corners[:, corner]
        turned = np.linalg.norm(np.cross(first, second), axis=1)
        angles.append(np.degrees(np.arctan2(turned, np.einsum("fi,fi->f", first, second))))
    least: Floats = np.min(angles, axis=0)
    return least
