"""Places on the strip by how much of the density lies before them: an even density spread as the density asks."""

from __future__ import annotations

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.pattern.cellular.area_density import AreaDensity
from ringtex.pattern.patterned_part import PatternedPart


def density_places(part: PatternedPart, density: AreaDensity, shares: Floats) -> Floats:
    """Points of the patterned part by fractions of the density: equal areas of fractions
    become equal parts of the density (Knothe's rearrangement).

    Parameters:
        part: the rectangle between the rails.
        density: over the part.
        shares: (n, 2) fractions round and across, 0 to 1.
    Returns: (n, 2) points on the strip, mm.
    """
    cumulated = np.append(0.0, np.cumsum(density.across_sums(1.0)))
    place = np.interp(np.mod(shares[:, 0], 1.0) * cumulated[-1], cumulated, np.arange(len(cumulated)))
    u = place * part.length / (len(cumulated) - 1)
    return np.column_stack([u, _across_places(part, density, u, shares[:, 1])])


def _across_places(part: PatternedPart, density: AreaDensity, u: Floats, share: Floats) -> Floats:
    """v below which the given shares of the density lie at each u."""
    table = density.table[:-1]
    node = np.minimum((u / part.length * len(table)).astype(np.int64), len(table) - 1)
    steps = 0.5 * (table[:, 1:] + table[:, :-1])
    cumulated = np.concatenate([np.zeros((len(table), 1)), np.cumsum(steps, axis=1)], axis=1)
    cumulated /= cumulated[:, -1:]
    # One sorted axis for all columns: table row k lies in [k, k + 1].
    flat = (cumulated + np.arange(len(table))[:, None]).ravel()
    at = np.clip(np.searchsorted(flat, node + share) - 1, 0, len(flat) - 2)
    inside = at - node * cumulated.shape[1]
    size = np.maximum(flat[at + 1] - flat[at], 1e-300)
    place = (inside + np.clip((node + share - flat[at]) / size, 0.0, 1.0)) / (cumulated.shape[1] - 1)
    return np.asarray(part.lower + part.width * place, dtype=np.float64)
