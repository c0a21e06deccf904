"""How much area of the ring lies under each point of the strip, as a table that is quick to look up."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Final, Protocol, runtime_checkable

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.basics.caches import cached
from ringtex.pattern.density_factor import StripGeometry, StripPoints, factor_at
from ringtex.pattern.density_options import DensityOptions
from ringtex.pattern.patterned_part import PatternedPart

AROUND: Final = 512
ACROSS: Final = 96
"""Table points round and across: linear between them, the area of a cell of a 1000-cell dome is within 0.05 %."""


@runtime_checkable
class MeasuredStrip(StripGeometry, Protocol):
    """What even cells need of the strip; its points on the ring only where the designer asks for a density."""

    def __hash__(self) -> int:
        """Strips are keys of caches."""

    def metric(self, u: Floats, v: Floats) -> tuple[Floats, Floats, Floats]:
        """First fundamental form (E, F, G) of the outer face at strip points (n,), (n,)."""


@cached(4)
def area_density(
    strip: MeasuredStrip, part: PatternedPart, evenness: float, options: DensityOptions | None = None
) -> AreaDensity:
    """A power of the area scale sqrt(EG - F^2) over the patterned part, times the requested factor: at evenness 1 ring
    area per strip area, at 0 without a factor constant 1. Cached for the last few strips, since it depends on neither
    seed nor count.

    Parameters:
        strip: the strip map.
        part: the rectangle between the rails.
        evenness: 0 to 1.
        options: the requested density, if any.
    Returns: the density as a table.
    """
    ring_scale, points = _grid(strip, part)
    scale = ring_scale ** _exponent(strip, part, evenness)
    if options is not None:
        scale = scale * factor_at(points, options)
    table = scale.reshape(AROUND, ACROSS + 1)
    return AreaDensity(part, np.concatenate([table, table[:1]]))


@cached(16)
def _exponent(strip: MeasuredStrip, part: PatternedPart, evenness: float) -> float:
    """The power of the area scale s at which cell areas on the ring vary by (1 - evenness) of what they do at power 0.

    Cells per strip area go with s^p, so areas with s^(1 - p), and over cells 1 + CV^2 = <s^(2 - p)> <s^p> / <s>^2 with
    means over the strip: falling from p = 0 to 1, so halving finds p.
    """
    if evenness in (0.0, 1.0):
        return evenness
    scale = _grid(strip, part)[0].reshape(AROUND, ACROSS + 1)[::4, ::4]
    logs = np.log(scale / np.mean(scale)).ravel()

    def variation(power: float) -> float:
        product = float(np.mean(np.exp((2.0 - power) * logs)) * np.mean(np.exp(power * logs)))
        return math.sqrt(max(0.0, product - 1.0))

    wanted = (1.0 - evenness) * variation(0.0)
    low, high = 0.0, 1.0
    for _ in range(30):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if variation(middle) > wanted else (low, middle)
    # A band whose scale does not vary has no such power; any is the same there.
    return low if wanted > 1e-9 else evenness


@cached(4)
def _grid(strip: MeasuredStrip, part: PatternedPart) -> tuple[Floats, StripPoints]:
    """The table's points, flat, and the ring's area per area of strip there: the same for every evenness and density,
    and so most of what a moving hand would wait for."""
    u, v = np.meshgrid(
        np.arange(AROUND) * part.length / AROUND, np.linspace(part.lower, part.upper, ACROSS + 1), indexing="ij"
    )
    e, f, g = strip.metric(u.ravel(), v.ravel())
    return np.sqrt(np.maximum(e * g - f * f, 1e-12)), StripPoints(strip, u.ravel(), v.ravel())


@dataclass(frozen=True, eq=False)
class AreaDensity:
    """A density over the patterned part, in a table.

    table (AROUND + 1, ACROSS + 1): values at even points, its first row again at the end.
    """

    part: PatternedPart
    table: Floats

    def on(self, part: PatternedPart) -> AreaDensity:
        """The same values on a part that is stretched as a whole."""
        return AreaDensity(part, self.table)

    def __call__(self, points: Floats) -> Floats:
        """(n,) the density at points (n, 2); u is periodic and v is clipped to the part."""
        x = np.mod(points[:, 0], self.part.length) * (AROUND / self.part.length)
        y = np.clip((points[:, 1] - self.part.lower) * (ACROSS / self.part.width), 0.0, ACROSS)
        i = np.minimum(x.astype(np.int64), AROUND - 1)
        j = np.minimum(y.astype(np.int64), ACROSS - 1)
        x, y = x - i, y - j
        flat, at = self.table.ravel(), i * (ACROSS + 1) + j
        low = flat[at] + y * (flat[at + 1] - flat[at])
        high = flat[at + ACROSS + 1] + y * (flat[at + ACROSS + 2] - flat[at + ACROSS + 1])
        return np.asarray(low + x * (high - low), dtype=np.float64)

    def spacing(self, sites: Floats) -> Floats:
        """(n,) side of a square of strip that holds one of the sites (n, 2) by this density, mm."""
        return np.asarray(np.sqrt(self.total / len(sites) / self(sites)), dtype=np.float64)

    @cached_property
    def total(self) -> float:
        """Integral over the patterned part: the ring's area there, mm2, at evenness 1."""
        return float(np.mean(self.across_sums(1.0)) * self.part.length)

    @cached_property
    def distance(self) -> Floats:
        """(AROUND + 1,) length on the ring before each table row, by the root of the density, mm."""
        step = self.part.length * np.mean(self.table[:-1] ** 0.5, axis=1) / AROUND
        # Half of each row's step lies before the row itself.
        return np.append(0.0, np.cumsum(0.5 * (step + np.roll(step, -1))))

    @cached_property
    def cumulated(self) -> Floats:
        """(AROUND + 1,) integral of the density before each table row, by the trapezoid rule."""
        sums = self.across_sums(1.0) * self.part.length / AROUND
        return np.append(0.0, np.cumsum(0.5 * (sums + np.roll(sums, -1))))

    def metric(self, u: Floats, v: Floats) -> tuple[Floats, Floats, Floats]:
        """(E, F, G) of a surface with this area scale, so that cells can be measured on it."""
        scale = self(np.column_stack([u, v]))
        return scale, np.zeros_like(scale), scale

    def fraction_before(self, u: Floats) -> Floats:
        """(n,) the fraction of the density between the seam and u (n,), mm."""
        rows = np.mod(u, self.part.length) * (AROUND / self.part.length)
        return np.asarray(np.interp(rows, np.arange(AROUND + 1), self.cumulated) / self.cumulated[-1])

    def across_sums(self, power: float) -> Floats:
        """(a,) integral of density^power across the part at each point round the ring."""
        values = self.table[:-1] ** power
        ends = 0.5 * (values[:, 0] + values[:, -1])
        return np.asarray((ends + np.sum(values[:, 1:-1], axis=1)) * self.part.width / ACROSS, dtype=np.float64)


def density_points(part: PatternedPart, density: AreaDensity, fractions: Floats) -> Floats:
    """Points of the patterned part by fractions of the density: equal areas of fractions
    become equal parts of the density (Knothe's rearrangement).

    Parameters:
        part: the rectangle between the rails.
        density: over the part.
        fractions: (n, 2) fractions round and across, 0 to 1.
    Returns: (n, 2) points on the strip, mm.
    """
    cumulated = density.cumulated
    row = np.interp(np.mod(fractions[:, 0], 1.0) * cumulated[-1], cumulated, np.arange(len(cumulated)))
    u = row * part.length / AROUND
    return np.column_stack([u, _points_across(part, density, u, fractions[:, 1])])


def _points_across(part: PatternedPart, density: AreaDensity, u: Floats, fraction: Floats) -> Floats:
    """v below which the given fractions of the density lie at each u."""
    table = density.table[:-1]
    node = np.round(u / part.length * len(table)).astype(np.int64) % len(table)
    steps = 0.5 * (table[:, 1:] + table[:, :-1])
    cumulated = np.concatenate([np.zeros((len(table), 1)), np.cumsum(steps, axis=1)], axis=1)
    cumulated /= cumulated[:, -1:]
    # One sorted axis for all columns: table row k lies in [k, k + 1].
    flat = (cumulated + np.arange(len(table))[:, None]).ravel()
    at = np.clip(np.searchsorted(flat, node + fraction) - 1, 0, len(flat) - 2)
    inside = at - node * cumulated.shape[1]
    size = np.maximum(flat[at + 1] - flat[at], 1e-300)
    point = (inside + np.clip((node + fraction - flat[at]) / size, 0.0, 1.0)) / (cumulated.shape[1] - 1)
    return np.asarray(part.lower + part.width * point, dtype=np.float64)
