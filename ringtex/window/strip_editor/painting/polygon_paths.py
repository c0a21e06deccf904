"""Many polygons at once as painter paths, without a Python loop over them."""

from __future__ import annotations

import struct
from collections.abc import Iterator
from typing import Final

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QByteArray, QDataStream
from PySide6.QtGui import QPainterPath

from ringtex.basics.arrays import Floats, Longs

_ELEMENT: Final = np.dtype([("kind", ">i4"), ("x", ">f8"), ("y", ">f8")])
"""How a data stream carries one element of a path: 0 moves, 1 draws a line (Qt's documentation, QDataStream and
QPainterPath, big-endian, doubles)."""
_WINDING: Final = 1


def polygon_paths(points: Floats, start: Longs, group: Longs) -> Iterator[tuple[int, QPainterPath]]:
    """One path for each group of polygons, groups in rising order.

    Parameters:
        points: (p, 2) in the painter's units.
        start: (f + 1,) polygon i has points start[i] : start[i + 1].
        group: (f,) its group.
    Returns: pairs of group and path.
    """
    if len(group) == 0:
        return
    order = np.argsort(group, kind="stable")
    size = np.diff(start)[order] + 1
    end = np.cumsum(size)
    first = end - size
    number = np.arange(int(end[-1])) - np.repeat(first, size)
    # The last element of each polygon is its first point again.
    number[end - 1] = 0
    source = np.repeat(start[:-1][order], size) + number
    elements = np.empty(len(source), _ELEMENT)
    elements["kind"] = 1
    elements["kind"][first] = 0
    elements["x"], elements["y"] = points[source, 0], points[source, 1]
    sorted_group = group[order]
    turn = np.flatnonzero(np.diff(sorted_group)) + 1
    begins = np.concatenate(([0], turn))
    stops = np.concatenate((first[turn], [len(source)]))
    for begin, stop in zip(begins.tolist(), stops.tolist(), strict=True):
        yield int(sorted_group[begin]), _path(elements[first[begin] : stop])


def _path(elements: NDArray[np.void]) -> QPainterPath:
    data = struct.pack(">i", len(elements)) + elements.tobytes() + struct.pack(">ii", 0, _WINDING)
    stream = QDataStream(QByteArray(data))
    path = QPainterPath()
    stream >> path
    return path
