"""SVG path data as polylines: curves and arcs are flattened to a tolerance."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.basics.errors import InputError
from ringtex.pattern.motif.svg_values import NUMBER, bounded

MAX_SEGMENTS: Final = 100_000
"""Of a whole drawing: a hundred times what can be told apart on a ring."""

MAX_PIECES: Final = 256
"""Straight pieces of one curve."""

_TOKEN = re.compile(rf"([MmLlHhVvCcSsQqTtAaZz])|({NUMBER})")
_ARC_TOKEN = re.compile(
    rf"\s*,?\s*({NUMBER})\s*,?\s*({NUMBER})\s*,?\s*({NUMBER})\s*,?\s*([01])\s*,?\s*([01])\s*,?\s*({NUMBER})\s*,?\s*({NUMBER})"
)
_ARITY: Final = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7, "Z": 0}


@dataclass(frozen=True, eq=False)
class Polyline:
    """Points (n, 2) in user units; closed where the path says so."""

    points: Floats
    closed: bool


class SegmentBudget:
    """Counts the segments of a drawing. `spend` raises InputError, naming the element, once they are too many."""

    def __init__(self, most: int = MAX_SEGMENTS) -> None:
        self._most = most
        self.spent = 0

    def spend(self, segments: int, element: str) -> None:
        """Count segments of an element. Raises: InputError."""
        self.spent += segments
        if self.spent > self._most:
            message = f"the drawing has more than {self._most:,} segments, counted up to here"
            raise InputError(message, "Simplify the drawing: fewer points, or a part of it", element)


def parse_path(data: str, tolerance: float, budget: SegmentBudget, element: str = "path") -> list[Polyline]:
    """The subpaths of path data. As the specification asks, what follows an error is left out.

    Parameters:
        data: the attribute d.
        tolerance: largest distance between a curve and its pieces, user units.
        budget: counts the segments.
        element: what messages call the path.
    Returns: the subpaths, those of a single point left out.
    Raises: InputError where the drawing has too many segments.
    """
    commands = _commands(data, budget, element)
    pen = _Pen(tolerance)
    for letter, given in commands:
        pen.draw(letter, given)
    pen.finish(False)
    return pen.subpaths


def _commands(data: str, budget: SegmentBudget, element: str) -> list[tuple[str, list[float]]]:
    """Letters with their numbers, repeated ones written out. Raises: InputError."""
    found: list[tuple[str, list[float]]] = []
    at, letter = 0, ""
    while True:
        at = _skipped(data, at)
        if at >= len(data):
            return found
        if data[at].upper() in _ARITY:
            letter = data[at]
            at += 1
        elif not letter or letter in "Zz":
            return found
        budget.spend(1, element)
        given, at = _numbers_of(letter, data, at)
        if given is None or (not found and letter not in "Mm"):
            return found
        found.append((letter, given))
        # More pairs after a move are lines.
        letter = {"M": "L", "m": "l"}.get(letter, letter)


def _numbers_of(letter: str, data: str, at: int) -> tuple[list[float] | None, int]:
    """The numbers that a letter takes, None where they are not there, and where the text goes on."""
    if letter in "Aa":
        arc = _ARC_TOKEN.match(data, at)
        return (None, at) if arc is None else ([bounded(each) for each in arc.groups()], arc.end())
    given: list[float] = []
    for _ in range(_ARITY[letter.upper()]):
        at = _skipped(data, at)
        token = _TOKEN.match(data, at)
        if token is None or token[2] is None:
            return None, at
        given.append(bounded(token[2]))
        at = token.end()
    return (given if all(map(math.isfinite, given)) else None), at


def _skipped(data: str, at: int) -> int:
    while at < len(data) and data[at] in " \t\r\n\f,":
        at += 1
    return at


class _Pen:
    """Draws one command after another."""

    def __init__(self, tolerance: float) -> None:
        self.subpaths: list[Polyline] = []
        self._tolerance = tolerance
        self._parts: list[Floats] = []
        self._at = self._start = self._control = np.zeros(2)
        self._last = ""

    def draw(self, letter: str, given: list[float]) -> None:
        """One command with its numbers."""
        kind, base = letter.upper(), self._at if letter.islower() else np.zeros(2)
        if kind == "Z":
            self.finish(True)
        elif kind == "M":
            self.finish(False)
            self._at = self._start = base + given
        else:
            self._segment(kind, base, given)
        self._last = kind

    def finish(self, closed: bool) -> None:
        """End the subpath; the pen goes back to its start."""
        if self._parts:
            points = np.concatenate([self._start[None, :], *self._parts])
            self.subpaths.append(Polyline(points, closed))
        self._parts = []
        if closed:
            self._at = self._start

    def _segment(self, kind: str, base: Floats, given: list[float]) -> None:
        start, control = self._at, None
        if kind == "A":
            end = base + given[5:]
            piece = arc_points(start, end, given, self._tolerance)
        else:
            if kind in "HV":
                end, axis = start.copy(), "HV".index(kind)
                end[axis] = base[axis] + given[0]
                corners = end[None, :]
            else:
                corners = base + np.reshape(given, (-1, 2))
            if kind in "ST":
                smooth = self._last in ("CS" if kind == "S" else "QT")
                corners = np.vstack((2.0 * start - self._control if smooth else start, corners))
            end = corners[-1]
            control = corners[-2] if kind in "CSQT" else None
            piece = bezier_points(np.vstack((start, corners)), self._tolerance)
        self._parts.append(piece)
        self._at = end
        self._control = end if control is None else control


def bezier_points(control: Floats, tolerance: float) -> Floats:
    """Points of a Bezier curve after its start, as many as the tolerance asks (Wang's bound on the second differences).

    >>> len(bezier_points(np.array([[0.0, 0.0], [1.0, 0.0]]), 0.01))
    1
    """
    degree = len(control) - 1
    if degree == 1:
        return control[1:]
    bend = float(np.max(np.hypot(*np.diff(control, 2, axis=0).T)))
    pieces = math.ceil(math.sqrt(degree * (degree - 1) / 8.0 * bend / tolerance)) if bend > 0.0 else 1
    t = (np.arange(1, min(max(pieces, 1), MAX_PIECES) + 1) / min(max(pieces, 1), MAX_PIECES))[:, None]
    points = np.repeat(control[None, :, :], len(t), axis=0)
    for _ in range(degree):
        points = points[:, :-1] + t[:, :, None] * (points[:, 1:] - points[:, :-1])
    points = points[:, 0]
    points[-1] = control[-1]
    return points


def arc_points(start: Floats, end: Floats, given: list[float], tolerance: float) -> Floats:
    """Points of an elliptical arc after its start: SVG 1.1 appendix F.6, from memory; checked by a second library.

    Parameters:
        start, end: its ends.
        given: rx, ry, rotation in degrees, large-arc flag, sweep flag, and more that is not looked at.
        tolerance: largest distance between arc and pieces.
    Returns: (n, 2) points.
    """
    rx, ry = abs(given[0]), abs(given[1])
    if rx == 0.0 or ry == 0.0 or np.array_equal(start, end):
        return end[None, :]
    angle = math.radians(given[2] % 360.0)
    turn = np.array([[math.cos(angle), math.sin(angle)], [-math.sin(angle), math.cos(angle)]])
    x, y = turn @ (0.5 * (start - end))
    # Radii that do not reach are made larger (F.6.6).
    reach = math.sqrt((x / rx) ** 2 + (y / ry) ** 2)
    rx, ry = rx * max(reach, 1.0), ry * max(reach, 1.0)
    under = (rx * y) ** 2 + (ry * x) ** 2
    factor = math.sqrt(max(0.0, ((rx * ry) ** 2 - under) / under))
    if (given[3] != 0.0) == (given[4] != 0.0):
        factor = -factor
    centre = np.array([factor * rx * y / ry, -factor * ry * x / rx])
    first = math.atan2((y - centre[1]) / ry, (x - centre[0]) / rx)
    last = math.atan2((-y - centre[1]) / ry, (-x - centre[0]) / rx)
    sweep = last - first
    if given[4] != 0.0 and sweep < 0.0:
        sweep += 2.0 * math.pi
    elif given[4] == 0.0 and sweep > 0.0:
        sweep -= 2.0 * math.pi
    step = 2.0 * math.acos(max(0.0, 1.0 - tolerance / max(rx, ry))) or 0.1
    pieces = min(max(math.ceil(abs(sweep) / step), 1), MAX_PIECES)
    t = first + sweep * np.arange(1, pieces + 1) / pieces
    points = (np.column_stack((rx * np.cos(t), ry * np.sin(t))) + centre) @ turn + 0.5 * (start + end)
    points[-1] = end
    return np.asarray(points)
