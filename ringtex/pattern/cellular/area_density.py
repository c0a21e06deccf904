"""How much area of the ring lies under each place of the strip, as a table that is quick to look up."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Protocol

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.basics.caches import cached
from ringtex.pattern.density_factor import PlacedStrip, StripPlaces, factor_at
from ringtex.pattern.density_options import DensityOptions
from ringtex.pattern.patterned_part import PatternedPart

AROUND: Final = 512
ACROSS: Final = 96
"""Table places round and across: linear between them, the area of a cell of a 1000-cell dome is within 0.05 %."""


class MeasuredStrip(PlacedStrip, Protocol):
    """What even cells need of the strip; its places on the ring only where the designer asks for a density."""

    def __hash__(self) -> int:
        """Strips are told apart in tables of kept results."""

    def metric(self, u: Floats, v: Floats) -> tuple[Floats, Floats, Floats]:
        """First fundamental form (E, F, G) of the outer face at strip places (n,), (n,)."""


@cached(4)
def area_density(
    strip: MeasuredStrip, part: PatternedPart, evenness: float, asked: DensityOptions | None = None
) -> AreaDensity:
    """sqrt(EG - F^2)^evenness over the patterned part, times the factor asked for: at evenness 1 ring area per strip
    area, at 0 without a factor constant 1. Kept for the last few strips, since it depends on neither seed nor count.
    """
    ring_scale, places = _grid(strip, part)
    scale = ring_scale**evenness
    if asked is not None:
        scale = scale * factor_at(places, asked)
    table = scale.reshape(AROUND, ACROSS + 1)
    return AreaDensity(part, np.concatenate([table, table[:1]]))


@cached(4)
def _grid(strip: MeasuredStrip, part: PatternedPart) -> tuple[Floats, StripPlaces]:
    """The table's places, flat, and the ring's area per area of strip there: the same for every evenness and density,
    and so most of what a moving hand would wait for."""
    u, v = np.meshgrid(
        np.arange(AROUND) * part.length / AROUND, np.linspace(part.lower, part.upper, ACROSS + 1), indexing="ij"
    )
    e, f, g = strip.metric(u.ravel(), v.ravel())
    return np.sqrt(np.maximum(e * g - f * f, 1e-12)), StripPlaces(strip, u.ravel(), v.ravel())


@dataclass(frozen=True, eq=False)
class AreaDensity:
    """A density over the patterned part, in a table.

    table (AROUND + 1, ACROSS + 1): values at even places, its first row again at the end.
    """

    part: PatternedPart
    table: Floats

    def on(self, part: PatternedPart) -> AreaDensity:
        """The same values on a part that is stretched as a whole."""
        return AreaDensity(part, self.table)

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
