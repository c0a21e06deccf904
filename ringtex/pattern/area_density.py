"""How much area of the ring lies under each place of the strip, as a table that is quick to look up."""

from __future__ import annotations

from typing import Final, Protocol

import numpy as np

from ringtex.pattern.patterned_part import PatternedPart
from ringtex.pattern.tiling import Floats

AROUND: Final = 512
ACROSS: Final = 96
"""Table places round and across: linear between them, the area of a cell of a 1000-cell dome is within 0.05 %."""


class MeasuredStrip(Protocol):
    """What even cells need of the strip."""

    length: float
    width: float

    def __hash__(self) -> int:
        """Strips are told apart in tables of kept results."""

    def metric(self, u: Floats, v: Floats) -> tuple[Floats, Floats, Floats]:
        """First fundamental form (E, F, G) of the outer face at strip places (n,), (n,)."""


class AreaDensity:
    """sqrt(EG - F^2)^evenness over the patterned part: ring area per strip area at evenness 1, constant 1 at 0.

    nodes_u (a,), nodes_v (b,): places of the table, mm; table (a + 1, b): its first row again at the end.
    """

    def __init__(self, strip: MeasuredStrip, part: PatternedPart, evenness: float) -> None:
        self.part = part
        self.nodes_u = np.arange(AROUND) * part.length / AROUND
        self.nodes_v = np.linspace(part.lower, part.upper, ACROSS + 1)
        u, v = np.meshgrid(self.nodes_u, self.nodes_v, indexing="ij")
        e, f, g = strip.metric(u.ravel(), v.ravel())
        scale = np.sqrt(np.maximum(e * g - f * f, 1e-12)).reshape(u.shape) ** evenness
        self.table = np.concatenate([scale, scale[:1]])

    def __call__(self, places: Floats) -> Floats:
        """(n,) the density at places (n, 2); u is periodic and v is kept in the part."""
        x = np.mod(places[:, 0], self.part.length) * (AROUND / self.part.length)
        y = np.clip((places[:, 1] - self.part.lower) * (ACROSS / self.part.width), 0.0, ACROSS)
        i = np.minimum(x.astype(np.int64), AROUND - 1)
        j = np.minimum(y.astype(np.int64), ACROSS - 1)
        x, y = x - i, y - j
        flat, at = self.table.ravel(), i * (ACROSS + 1) + j
        low = flat[at] + y * (flat[at + 1] - flat[at])
        high = flat[at + ACROSS + 1] + y * (flat[at + ACROSS + 2] - flat[at + ACROSS + 1])
        return np.asarray(low + x * (high - low), dtype=np.float64)

    @property
    def total(self) -> float:
        """Integral over the patterned part: the ring's area there, mm2, at evenness 1."""
        return float(np.mean(self.across_sums(1.0)) * self.part.length)

    def across_sums(self, power: float) -> Floats:
        """(a,) integral of density^power across the part at each place round the ring."""
        values = self.table[:-1] ** power
        ends = 0.5 * (values[:, 0] + values[:, -1])
        return np.asarray((ends + np.sum(values[:, 1:-1], axis=1)) * self.part.width / ACROSS, dtype=np.float64)
