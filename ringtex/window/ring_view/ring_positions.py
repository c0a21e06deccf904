"""Where on the ring something is: from the pointer to strip and cell, and from strip, finding or point to the ring."""

from __future__ import annotations

import math
import threading
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats
from ringtex.checks.finding import Finding
from ringtex.solid.mesh.booleans import ORIGINALS
from ringtex.window.building.drawable_ring import View
from ringtex.window.building.finished_positions import nearest_place, places_in
from ringtex.window.ring_view.triangle_finder import Hit, TriangleFinder

MAX_AT_ONCE: Final = 200_000
"""Triangles that are made ready for the pointer in about 20 ms."""

MAX_SHIFT_MM: Final = 2.0
"""A finding that lies further off after a change is another one."""

ON_OUTSIDE: Final = tuple(ORIGINALS.index(part) for part in ("collar", "seat", "plain"))
"""Parts of a finished ring that lie over the outer face's own places."""


@dataclass(frozen=True, eq=False)
class Spot:
    """A place on the ring (3,) mm, and the directions (3,) outwards and across the band there."""

    place: Floats
    outwards: Floats
    across: Floats


class RingPositions:
    """Looks places up on one View. What finds triangles is made when it is first asked for: at once for a small mesh,
    in a thread for a large one, so that the pointer never waits."""

    def __init__(self, view: View) -> None:
        self._view = view
        self._finder: TriangleFinder | None = None
        self._making: threading.Thread | None = None

    def first_on(
        self, origin: Floats, direction: Floats, kept_side: Floats | None = None, waits: bool = False
    ) -> Hit | None:
        """The first triangle on a ray.

        Parameters:
            origin: (3,) mm.
            direction: (3,) unit.
            kept_side: normal (3,) of a cut through the ring's axis towards what stays, or None.
            waits: for some tenths of a second while a large mesh is made ready.
        Returns: the hit; None where there is none, or where the mesh is not ready.
        """
        if self._finder is None and self._making is None:
            if len(self._view.triangles) <= MAX_AT_ONCE:
                self._make()
            else:
                self._making = threading.Thread(target=self._make, name="ring places", daemon=True)
                self._making.start()
        if waits and self._making is not None:
            self._making.join()
        return self._finder.first_on(origin, direction, kept_side) if self._finder is not None else None

    def release(self) -> None:
        """Wait until nothing is being made ready any more."""
        if self._making is not None:
            self._making.join()

    def _make(self) -> None:
        view = self._view
        self._finder = TriangleFinder(view.positions, view.triangles, view.cell_of_triangle)

    def cell_of(self, hit: Hit) -> int | None:
        """The cell of a hit triangle; None outside the cells."""
        cell = int(self._view.cell_of_triangle[hit.triangle])
        return cell if cell >= 0 else None

    def strip_place_of(self, hit: Hit) -> tuple[float, float] | None:
        """(u, v) of a hit on the outer face, its relief or what stands on it, mm, 0 <= u < length; else None."""
        view, built = self._view, self._view.built
        number = int(view.ring_triangle[hit.triangle])
        if number < 0:
            on_outside = int(built.finished.original_id[hit.triangle]) in ON_OUTSIDE
            return nearest_place(built, hit.place) if on_outside else None
        if number >= built.solid.face_ranges["sides"].start:
            return None
        u, v, _ = places_in(built, np.array([number]), hit.place[None, :])[0].tolist()
        return u % built.strip.length, v

    def outside_at(self, origin: Floats, direction: Floats, kept_side: Floats | None) -> tuple[float, float] | None:
        """Where on the strip lies what is first on a ray: metal, or a stone, which lies in a hole.

        Parameters:
            origin: (3,) mm.
            direction: (3,) unit.
            kept_side: normal (3,) of a cut through the ring's axis towards what stays, or None.
        Returns: (u, v) mm; None where there is neither.
        """
        hit = self.first_on(origin, direction, kept_side, waits=True)
        nearest, found = np.inf if hit is None else float((hit.place - origin) @ direction), None
        for each in self._view.built.finished.stones:
            facing, size = float(direction @ each.place.axis), each.stone.diameter_mm
            if facing >= 0.0:
                continue
            away = float((each.place.table - origin) @ each.place.axis) / facing
            place = origin + away * direction
            seen = kept_side is None or float(place @ kept_side) >= 0.0
            if seen and float(np.linalg.norm(place - each.place.table)) <= 0.5 * size and away < nearest + size:
                nearest, found = away - size, each.stone
        if found is not None:
            return found.u * self._view.built.strip.length, found.v * self._view.built.strip.width
        return self.strip_place_of(hit) if hit is not None else None

    def triangles_of(self, cell: int | None) -> NDArray[np.uint32]:
        """(k, 3) the triangles of a cell; none for None or a cell that is gone."""
        if cell is None:
            return np.zeros((0, 3), dtype=np.uint32)
        chosen: NDArray[np.uint32] = self._view.triangles[self._view.cell_of_triangle == cell]
        return chosen

    def spot(self, place: object) -> Spot | None:
        """The spot of a Finding with a place, of (u, v) on the strip or of (x, y, z) on the ring; else None."""
        if isinstance(place, Finding):
            place = place.place
        if not isinstance(place, (tuple, list, np.ndarray)) or len(place) not in (2, 3):
            return None
        numbers = np.array([float(number) for number in place])
        if not np.all(np.isfinite(numbers)):
            return None
        return self._strip_spot(numbers) if len(numbers) == 2 else _ring_spot(numbers)

    def _strip_spot(self, place: Floats) -> Spot:
        strip = self._view.built.strip
        v = float(np.clip(place[1], 0.0, strip.width))
        point, _, d_v, normal = strip.jacobian(np.array([place[0]]), np.array([v]))
        across = d_v[0] / max(float(np.linalg.norm(d_v[0])), 1e-12)
        return Spot(point[0], normal[0], across)


def _ring_spot(place: Floats) -> Spot:
    """Seen from outside, tilted towards the edge that the place is near, so that sides and edges are seen too."""
    radius = math.hypot(place[0], place[1])
    radial = np.array([place[0], place[1], 0.0]) / radius if radius > 1e-6 else np.array([0.0, 1.0, 0.0])
    tilt = np.array([0.0, 0.0, float(np.clip(place[2] / 6.0, -0.5, 0.5))])
    outwards = (radial + tilt) / np.linalg.norm(radial + tilt)
    return Spot(place, outwards, np.array([0.0, 0.0, 1.0]))


def same_finding(finding: Finding, findings: Iterable[Finding]) -> Finding | None:
    """The finding of another report that is still about the same thing: of the same kind, nearest and not far off."""
    if finding.place is None:
        return None
    alike = [
        (each, math.dist(each.place, finding.place)) for each in findings if each.kind is finding.kind and each.place
    ]
    nearest, distance = min(alike, key=lambda pair: pair[1], default=(None, math.inf))
    return nearest if distance <= MAX_SHIFT_MM else None
