"""The band without its relief, as a body to look at: exact normals on the outer face, sides and bore to close it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ringtex.band.band import Band
from ringtex.basics.arrays import Floats
from ringtex.checks.geometry.fairness import measure_fairness

AROUND: Final = 720
ACROSS: Final = 96
BORE: Final = 12
"""Steps round the ring, over its outer face and over its bore: finer than a stripe of light by ten and more."""


@dataclass(frozen=True, eq=False)
class BareSurface:
    """What the card needs: positions, normals (n, 3) float32, triangles (m, 3) uint32, striped (n,) float32, 1 on the
    outer face and 0 elsewhere; and a sentence on how fair the face is.
    """

    positions: NDArray[np.float32]
    normals: NDArray[np.float32]
    triangles: NDArray[np.uint32]
    striped: NDArray[np.float32]
    words: str


def bare_surface(band: Band) -> BareSurface:
    """Lay the outer face, both sides and the bore out in even steps. Takes about a tenth of a second."""
    theta = 2.0 * np.pi * np.arange(AROUND) / AROUND - np.pi
    angles, across = np.meshgrid(theta, np.linspace(-1.0, 1.0, ACROSS + 1), indexing="ij")
    outer = band.outer(angles.ravel(), across.ravel())
    face = outer.point.reshape(AROUND, ACROSS + 1, 3)
    parts = [(face, outer.normal.reshape(face.shape), 1.0)]
    bore = _bore(band, theta, face)
    radial = -np.stack([-np.sin(theta), np.cos(theta), np.zeros_like(theta)], axis=-1)
    parts.append((bore, np.repeat(radial[:, None], BORE + 1, axis=1), 0.0))
    for side, way in (((bore[:, -1], face[:, 0]), -1.0), ((face[:, -1], bore[:, 0]), 1.0)):
        places = np.stack(side, axis=1)
        parts.append((places, np.broadcast_to(np.array([0.0, 0.0, way]), places.shape), 0.0))
    positions = np.concatenate([part.reshape(-1, 3) for part, _, _ in parts])
    starts = np.cumsum([0, *(part.shape[0] * part.shape[1] for part, _, _ in parts)])
    triangles = [_faces(part.shape[1], int(start)) for (part, _, _), start in zip(parts, starts, strict=False)]
    return BareSurface(
        positions.astype(np.float32),
        np.concatenate([normal.reshape(-1, 3) for _, normal, _ in parts]).astype(np.float32),
        np.concatenate(triangles).astype(np.uint32),
        np.concatenate([np.full(part.shape[0] * part.shape[1], value) for part, _, value in parts]).astype(np.float32),
        fairness_words(band),
    )


def _bore(band: Band, theta: Floats, face: Floats) -> Floats:
    """(AROUND, BORE + 1, 3) from the upper edge down to the lower one, so that it looks inwards."""
    share = np.linspace(0.0, 1.0, BORE + 1)
    z = face[:, -1, 2][:, None] * (1.0 - share) + face[:, 0, 2][:, None] * share
    around = np.repeat(theta[:, None], BORE + 1, axis=1)
    radius = np.asarray(band.bore_radius_at(around.ravel(), z.ravel())).reshape(z.shape)
    return np.stack([-radius * np.sin(around), radius * np.cos(around), z], axis=-1)


def _faces(columns: int, start: int) -> NDArray[np.int64]:
    """Triangles of a closed grid with so many places across, numbered from `start`."""
    number = start + np.arange(AROUND * columns).reshape(AROUND, columns)
    ahead = np.roll(number, -1, axis=0)
    here, right, up, both = number[:, :-1], ahead[:, :-1], number[:, 1:], ahead[:, 1:]
    return np.concatenate([np.stack([here, right, both], -1), np.stack([here, both, up], -1)]).reshape(-1, 3)


def fairness_words(band: Band) -> str:
    """Whether the face is fair, in a sentence or two."""
    fairness = measure_fairness(band)
    if not fairness.fair:
        worst = fairness.worst
        return (
            f"Not fair: the curvature jumps by {worst.jump:.3f}/mm at the {worst.line}, {worst.jump_deg:.0f}° from the "
            "head; stripes have a corner there."
        )
    crown = next(line for line in fairness.lines if line.line == "crown")
    said = "Fair: the curvature runs on without a jump along crown and edges."
    if band.is_revolution:
        return said
    return f"{said} On the crown it changes fastest {abs(crown.change_deg):.0f}° from the head."
