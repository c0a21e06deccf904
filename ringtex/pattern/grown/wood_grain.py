"""Wood grain: long fibres round the ring that flow in slow waves."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.pattern.tiling import Tiling

WAVES: Final = (2, 3, 5)
"""Waves round the ring of each part of the flow."""

SAG: Final = 0.3
"""A fibre bends by this fraction of its thickness along its length."""

MIN_CLEARANCE: Final = 0.02
"""Every cell keeps a point that is this fraction of its size clear of every wall's line."""

MAX_HALVINGS: Final = 8


def with_flow(tiling: Tiling, fibre_mm: tuple[float, float], seed: int) -> Tiling:
    """The tiling bent across the band by a smooth flow that closes round the ring and dies away at the borders.

    Parameters:
        tiling: straight fibres.
        fibre_mm: length and thickness of a fibre, mm.
        seed: of the flow's phases.
    Returns: star-shaped cells with the same neighbours.
    """
    random = np.random.Generator(np.random.PCG64([seed, 3]))
    phase = random.random((len(WAVES), 2))
    flow = _flow(tiling, phase)
    long, thick = fibre_mm
    # A wave of length w and height a bends by a (2 pi / w)^2; over a fibre that is a sag of an eighth of its square.
    height = 8.0 * SAG * thick / long**2 * (tiling.length / (2.0 * math.pi * WAVES[0])) ** 2
    height = min(height, 0.12 * (tiling.upper - tiling.lower))
    for _ in range(MAX_HALVINGS):
        made = _bent(tiling, height * flow)
        if np.all(made.kernel[1] > MIN_CLEARANCE * np.sqrt(np.maximum(made.areas, 0.0))) and np.all(made.areas > 0.0):
            return made
        height *= 0.5
    return tiling


def _flow(tiling: Tiling, phase: Floats) -> Floats:
    """At every vertex, -1 to 1; a longer wave counts by the square of its length."""
    u, v = tiling.vertices.T
    up = (v - tiling.lower) / (tiling.upper - tiling.lower)
    total = np.zeros(len(u))
    for waves, (round_phase, up_phase) in zip(WAVES, phase, strict=True):
        angle = 2.0 * math.pi * (waves * u / tiling.length + round_phase + 0.5 * (up_phase - 0.5) * up)
        total += np.sin(angle) * (WAVES[0] / waves) ** 2
    return np.asarray(total * np.sin(math.pi * up) / sum((WAVES[0] / waves) ** 2 for waves in WAVES), dtype=np.float64)


def _bent(tiling: Tiling, move: Floats) -> Tiling:
    v = tiling.vertices[:, 1]
    border = (v == tiling.lower) | (v == tiling.upper)
    return replace(tiling, vertices=np.column_stack([tiling.vertices[:, 0], np.where(border, v, v + move)]))
