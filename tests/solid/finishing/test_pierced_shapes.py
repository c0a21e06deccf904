"""Own motifs and growth rings, pierced: what is cut, and what stays whole because metal would come loose."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely
from campaigns.ring_judge import crossing_pairs
from finished_rings import RADIUS_MM, dome, shaped
from zoo import band, plain_design, station

from ringtex.checks.finding import Kind
from ringtex.design.design_file import design_from_json
from ringtex.make_ring import make_ring
from ringtex.pattern.motif.motif_outline import outline_text
from ringtex.solid.finishing.cell_outlines import Whole

PIERCED = {"form": "pierced", "depth": 0.2, "corner": 0, "flank": 85}


def drawing(outline: str, around: int = 8, relief: dict[str, Any] = PIERCED, **changes: Any) -> dict[str, Any]:
    """A flat band with a drawing of 10 x 10 mm, once across."""
    motif = {"outline": outline, "width": 10, "height": 10, "size": 0.9}
    pattern = {"family": "motif", "around": around, "across": 1, "motif": motif}
    return plain_design(pattern=pattern, relief=relief, rails={"lower": 0.8, "upper": 0.8}, **changes)


def polygon(points: np.ndarray, *holes: np.ndarray) -> str:
    shape = shapely.Polygon(np.rint(1000.0 * points), [np.rint(1000.0 * hole) for hole in holes])
    return outline_text(shapely.MultiPolygon([shape]))


SQUARE = np.array([[1.0, 1.0], [9.0, 1.0], [9.0, 9.0], [1.0, 9.0]])


def test_what_is_cut_is_the_floor_times_the_wall() -> None:
    """A radial cut from the floor's radius r' to r over an area A of the outer face of radius R takes
    A (r' - r) (r' + r) / 2 R. Elementary: a sector between two radii. The floor is the square less its flanks.
    """
    ring = shaped(drawing(polygon(SQUARE)))
    outer, floor = RADIUS_MM + 1.6, RADIUS_MM + 1.4
    outlines = ring.finished.pierced.outlines
    assert len(outlines.cell) == 8
    inside = [shapely.Polygon(line) for line in np.split(outlines.positions, outlines.start[1:-1])]
    part = ring.solid.contours.parts[0]
    foot = part.buffer(-0.2 / np.tan(np.radians(85.0)), join_style="mitre")
    assert sum(each.area for each in inside) == pytest.approx(8 * foot.area, rel=1e-3)
    assert ring.finished.genus == 9
    assert ring.finished.mesh.problems(9) == []
    cut = 8 * foot.area * (floor**2 - RADIUS_MM**2) / (2.0 * outer)
    assert ring.solid.mesh.volume - ring.finished.mesh.volume == pytest.approx(cut, rel=5e-3)


def test_a_shape_round_metal_stays_whole_with_a_finding() -> None:
    """A frame: what it surrounds would fall out."""
    frame = polygon(SQUARE, np.array([[3.5, 3.5], [3.5, 6.5], [6.5, 6.5], [6.5, 3.5]]))
    ring = make_ring(design_from_json(drawing(frame)), 0.02)
    pierced = ring.finished.pierced
    assert pierced is not None
    assert pierced.count == 0
    assert list(pierced.outlines.whole) == [Whole.LOOSE] * 8
    assert pierced.summary == "0 of 8 shapes, left whole: 8 round metal that would come loose"
    assert ring.finished.mesh.problems(1) == []
    (found,) = (each for each in ring.report.findings if each.kind is Kind.WHOLE_CELLS)
    assert found.message == "8 of 8 shapes are left whole: metal inside would come loose"


def test_a_shape_too_long_round_the_ring_stays_whole() -> None:
    """Growth rings round a dome: some take more than 140 degrees of it."""
    pattern = {"family": "growth_rings", "around": 10, "across": 1, "seed": 3}
    relief = {"form": "pierced", "depth": 0.3, "wall_width": 0.5, "flank": 78}
    finished = shaped(plain_design(pattern=pattern, relief=relief, band=dome()["band"]), 0.03).finished
    long = finished.pierced.whole_cells(Whole.LONG)
    assert len(long) > 0
    assert f"{len(long)} too long round the ring" in finished.pierced.summary
    assert finished.mesh.problems(1 + finished.pierced.count) == []


@pytest.mark.parametrize("seed", range(6))
def test_random_shapes_are_pierced_or_stay_whole(seed: int) -> None:
    """Stars of random radii on bands of three kinds: as many holes as shapes that are pierced, and nothing crosses."""
    random = np.random.default_rng(seed)
    turn = np.sort(random.uniform(0.0, 2.0 * np.pi, 14))
    radius = random.uniform(1.2, 4.5, 14)
    star = np.column_stack((5.0 + radius * np.cos(turn), 5.0 + radius * np.sin(turn)))
    bands = ({}, {"band": band("half_round", station(0, 8, 2.4, 1.4))}, {"band": dome()["band"]})
    ring = shaped(drawing(polygon(star), around=int(random.integers(6, 16)), **bands[seed % 3]), 0.01)
    finished = ring.finished
    assert finished.pierced.count > 0
    assert finished.mesh.problems(1 + finished.pierced.count) == []
    assert crossing_pairs(finished.mesh) == 0


@pytest.mark.parametrize("where", [{}, {"band": dome()["band"]}])
def test_pierced_growth_rings_are_one_body(where: dict[str, Any]) -> None:
    pattern = {"family": "growth_rings", "around": 16, "across": 3}
    relief = {"form": "pierced", "depth": 0.3, "wall_width": 0.8, "flank": 75}
    design = plain_design(pattern=pattern, relief=relief, rails={"lower": 0.8, "upper": 0.8}, **where)
    finished = shaped(design, 0.02).finished
    assert finished.pierced.count > 10
    assert finished.mesh.problems(1 + finished.pierced.count) == []
    assert crossing_pairs(finished.mesh) == 0
