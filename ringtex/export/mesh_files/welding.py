"""Points at the same place become one: exact equality of coordinates, no tolerance."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats, Ints

_Words = NDArray[np.uint64]

# Odd multipliers for the three coordinates' bits, one set a try (fractional parts of the golden ratio and of roots of
# primes; any odd numbers with mixed bits would do).
_MULTIPLIERS = (
    (0x9E3779B97F4A7C15, 0x6A09E667F3BCC909, 0xBB67AE8584CAA73B),
    (0xBB67AE8584CAA73B, 0x9E3779B97F4A7C15, 0x6A09E667F3BCC909),
    (0x3C6EF372FE94F82B, 0xA54FF53A5F1D36F1, 0x510E527FADE682D1),
)


def weld(points: Floats) -> tuple[Floats, Ints]:
    """Find which points are one.

    Parameters: points (n, 3) float64, finite. -0 and 0 are one place.
    Returns: places (k, 3) float64 in the order of their first appearance; index (n,) int32: places[index] == points.
    Guarantees: exact (a collision of hashes is seen and resolved); points without repeats come back as they are.
    """
    columns = points.T + 0.0  # makes -0 into 0, and three contiguous columns
    order, new = _equal_neighbours(columns)
    if np.all(new):
        return np.ascontiguousarray(columns.T), np.arange(len(points), dtype=np.int32)
    first = order[new]
    is_first = np.zeros(len(points), dtype=bool)
    is_first[first] = True
    rank = np.cumsum(is_first, dtype=np.int32) - np.int32(1)
    group = np.cumsum(new, dtype=np.int32) - np.int32(1)
    index = np.empty(len(points), dtype=np.int32)
    index[order] = rank[first][group]
    return np.ascontiguousarray(columns[:, is_first].T), index


def _equal_neighbours(columns: Floats) -> tuple[NDArray[np.intp], NDArray[np.bool_]]:
    """An order in which equal points (3, n) are neighbours, first appearance first, and where a new place begins in it.

    Sorting one word (hash above, index below) is many times faster than sorting by three coordinates.
    """
    count = columns.shape[1]
    index_bits = np.uint64(max(count - 1, 1).bit_length())
    low = (np.uint64(1) << index_bits) - np.uint64(1)
    new = np.ones(count, dtype=bool)
    for multipliers in _MULTIPLIERS:
        keys = _hash(columns.view(np.uint64), multipliers)
        keys &= ~low
        keys |= np.arange(count, dtype=np.uint64)
        keys.sort()
        order = (keys & low).astype(np.intp)
        keys >>= index_bits
        new[1:] = keys[1:] != keys[:-1]
        if not np.any(_differs(columns, order) & ~new[1:]):
            return order, new
    order = np.lexsort(tuple(columns))
    new[1:] = _differs(columns, order)
    return order, new


def _differs(columns: Floats, order: NDArray[np.intp]) -> NDArray[np.bool_]:
    """(n - 1,) whether neighbours in the order are at different places."""
    differs = np.zeros(max(columns.shape[1] - 1, 0), dtype=bool)
    for column in columns:
        ordered = column[order]
        differs |= ordered[1:] != ordered[:-1]
    return differs


def _hash(columns: _Words, multipliers: tuple[int, int, int]) -> _Words:
    """(n,) mixed bits of each place, from (3, n) words."""
    mixed = np.zeros(columns.shape[1], dtype=np.uint64)
    for column, multiplier in zip(columns, multipliers, strict=True):
        mixed ^= column
        mixed *= np.uint64(multiplier)
        mixed ^= mixed >> np.uint64(29)
    mixed *= np.uint64(multipliers[0])
    return mixed
