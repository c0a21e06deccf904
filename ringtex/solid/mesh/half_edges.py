"""The directed sides of triangles: which of them are a border, and which lie on both sides of an edge."""

from __future__ import annotations

import numpy as np

from ringtex.basics.arrays import Bools, Ints, Longs, contained


def half_edges(faces: Ints | Longs) -> tuple[Longs, Longs]:
    """(3 m,) first and last vertex of the sides of triangles (m, 3), one triangle after the other."""
    return faces.ravel().astype(np.int64), faces[:, [1, 2, 0]].ravel().astype(np.int64)


def is_border(start: Longs, end: Longs) -> Bools:
    """(e,) which directed edges have none among them that runs the other way."""
    count = int(np.max(start, initial=0)) + int(np.max(end, initial=0)) + 1
    return ~contained(start * count + end, np.sort(end * count + start))


def paired_half_edges(start: Ints | Longs, end: Ints | Longs, vertices: int) -> tuple[Longs, Longs]:
    """The half-edges on both sides of each edge that has two among those given.

    Parameters:
        start, end: (n,) vertices of half-edges.
        vertices: how many there are.
    Returns: (k,) one of each, (k,) the other.
    """
    bits, number_bits = vertices.bit_length(), len(start).bit_length()
    key = np.minimum(start, end).astype(np.int64)
    key <<= bits
    key |= np.maximum(start, end)
    if 2 * bits + number_bits > 63:
        order = np.argsort(key, kind="stable")
        ordered = key[order]
    else:
        # The numbers ride in the lowest bits: a plain sort is many times faster than an argsort.
        key <<= number_bits
        key |= np.arange(len(start))
        key.sort()
        order, ordered = key & ((1 << number_bits) - 1), key >> number_bits
    pair = np.flatnonzero(ordered[1:] == ordered[:-1])
    return order[pair], order[pair + 1]
