"""Array types by element, each named once, and what is asked of plain arrays in many places."""

from __future__ import annotations

import math
from typing import TypeAlias, TypeVar

import numpy as np
from numpy.typing import NDArray

Floats: TypeAlias = NDArray[np.float64]
Singles: TypeAlias = NDArray[np.float32]
Ints: TypeAlias = NDArray[np.int32]
Longs: TypeAlias = NDArray[np.int64]
Bools: TypeAlias = NDArray[np.bool_]
Bytes: TypeAlias = NDArray[np.uint8]
Whole = TypeVar("Whole", bound=np.signedinteger)


def sorted_unique(values: NDArray[Whole]) -> NDArray[Whole]:
    """The different numbers in order, as `np.unique`, which hashes them: measured 20 times slower with 300,000."""
    values = np.sort(values, axis=None)
    return np.asarray(values[np.concatenate((np.ones(min(len(values), 1), dtype=np.bool_), values[1:] != values[:-1]))])


def quantile(values: Floats, fraction: float) -> float:
    """What a fraction of the values (n,) lies below, straight between the two nearest, as `np.quantile`; that loads
    numpy's masked arrays, which take as long as many a stage of a plain ring.

    >>> quantile(np.array([4.0, 1.0, 2.0, 8.0]), 0.5), quantile(np.array([4.0, 1.0]), 1.0)
    (3.0, 4.0)
    """
    place = fraction * (len(values) - 1)
    low, high = math.floor(place), math.ceil(place)
    ordered = np.partition(values, (low, high))
    return float(ordered[low] + (place - low) * (ordered[high] - ordered[low]))


def next_in_loops(start: Ints | Longs) -> Longs:
    """(n,) the place after each in loops that lie one behind the other, loop i at start[i] : start[i + 1]; after the
    last place of a loop comes its first."""
    following = np.arange(1, int(start[-1]) + 1)
    following[start[1:] - 1] = start[:-1]
    return following


def contained(values: Longs, among: Longs) -> Bools:
    """(n,) whether each value is among others, which are sorted."""
    if not len(among):
        return np.zeros(values.shape, dtype=np.bool_)
    at = np.minimum(np.searchsorted(among, values), len(among) - 1)
    return np.asarray(among[at] == values)


def short_way(along: Floats, length: float) -> Floats:
    """Distances along a closed line of a length, the short way: at most half of it, forwards or backwards."""
    return np.asarray(along - length * np.rint(along / length))


def dots(a: Floats, b: Floats) -> Floats:
    """(n,) scalar products of vectors (3, n); one row a coordinate, as sums along short rows are slow."""
    return np.asarray(a[0] * b[0] + a[1] * b[1] + a[2] * b[2])


def lengths(vectors: Floats) -> Floats:
    """(n,) lengths of vectors (3, n)."""
    return np.asarray(np.sqrt(dots(vectors, vectors)))


def crosses(a: Floats, b: Floats) -> Floats:
    """(3, n) vector products of vectors (3, n)."""
    found = np.empty(np.broadcast_shapes(a.shape, b.shape))
    for row, one, other in ((0, 1, 2), (1, 2, 0), (2, 0, 1)):
        np.multiply(a[one], b[other], out=found[row])
        found[row] -= a[other] * b[one]
    return found


def inverse_permutation(number: Ints | Longs) -> Longs:
    """(n,) where each of the numbers 0 to n - 1 stands among number (n,)."""
    place = np.empty(len(number), dtype=np.int64)
    place[number] = np.arange(len(number))
    return place


def nearest_ratio(away: Floats, edge: Floats) -> Floats:
    """(n,) where on segments the point nearest to other points lies: 0 at their start, 1 at their end. away (n, d) from
    the segments' starts to those points, edge (n, d) to the segments' ends."""
    ratio = np.sum(away * edge, axis=1) / np.maximum(np.sum(edge * edge, axis=1), 1e-300)
    return np.asarray(np.clip(ratio, 0.0, 1.0))
