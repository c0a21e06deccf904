"""Plain places: smooth to the tolerance, as large as asked on the ring, and cleanly ended."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from campaigns.ring_judge import crossing_pairs
from finished_rings import RADIUS_MM, dome, shaped, thick_flat
from zoo import DOME, band, plain_design, station

from ringtex.relief.plain_options import PlainPlace
from ringtex.relief.plain_outline import distance_outside, outline, place_map
from ringtex.solid.finishing.plain_slabs import OVER_MM, UNDER_MM, plain_slab
from ringtex.solid.mesh.booleans import ORIGINALS
from ringtex.strip.strip_map import StripMap

KNIFE = band("knife_edge", station(0, 6, 2.6, 1.2))
PLAIN = ORIGINALS.index("plain")
PATTERNED = {"rails": {"lower": 1, "upper": 1}, "pattern": {"family": "hexagon", "around": 24, "across": 4}}


def plain_vertices(ring: object) -> np.ndarray:
    finished = ring.finished  # type: ignore[attr-defined]
    return finished.mesh.vertices[np.unique(finished.mesh.faces[finished.original_id == PLAIN])]


def test_a_recess_in_a_flat_band_has_its_area_and_depth() -> None:
    """A raised relief of depth d: the place is cut to 0.03 under the ground, a cylinder: its floor's area is w h."""
    relief = {"depth": 0.3, "wall_width": 0.3}
    place = {"u": 0, "v": 0.5, "width": 5, "height": 4, "corner": 1}
    finished = shaped(thick_flat(**PATTERNED, relief=relief, plain=[place])).finished
    floor = RADIUS_MM + 4.0 - UNDER_MM
    own = finished.original_id == PLAIN
    middles = finished.mesh.vertices[finished.mesh.faces[own]].mean(axis=1)
    level = np.abs(np.hypot(middles[:, 0], middles[:, 1]) - floor) < 0.006
    area = float(np.sum(finished.mesh.triangle_areas[own][level]))
    asked = (5.0 * 4.0 - (4.0 - math.pi) * 1.0) * floor / (floor + UNDER_MM)
    assert area == pytest.approx(asked, rel=2e-3)
    assert finished.mesh.problems(1) == []


def test_a_plateau_stands_a_hair_over_the_relief() -> None:
    ring = shaped(thick_flat(**PATTERNED, plain=[{"u": 0.5, "v": 0.5, "width": 4, "shape": "round", "level": "top"}]))
    places = plain_vertices(ring)
    assert np.max(np.hypot(places[:, 0], places[:, 1])) == pytest.approx(RADIUS_MM + 4.0 + 0.05 + OVER_MM, abs=0.001)
    assert ring.finished.mesh.problems(1) == []


def largest_miss(strip: StripMap, place: PlainPlace, chord: float) -> float:
    """How far middles of a slab's upper triangles lie from a far finer slab's upper face, mm."""
    import igl

    slab, fine = (plain_slab(strip, place, -0.2, 0.5, tolerance, 1.0) for tolerance in (chord, chord / 40.0))
    assert slab.problems(0) == []
    high, half = len(slab.vertices) // 2, len(fine.vertices) // 2
    middles = slab.vertices[slab.faces[np.all(slab.faces < high, axis=1)]].mean(axis=1)
    upper = fine.faces[np.all(fine.faces < half, axis=1)].astype(np.int64)
    return float(np.sqrt(np.max(igl.point_mesh_squared_distance(middles, fine.vertices, upper)[0])))


@pytest.mark.parametrize("chord", [0.02, 0.005])
@pytest.mark.parametrize("shape", ["rectangle", "round"])
def test_a_place_on_the_dome_keeps_the_tolerance(shape: str, chord: float) -> None:
    """Middles of the slab's triangles against the true face."""
    assert largest_miss(shaped(dome()).strip, PlainPlace(0.5, 0.5, 6.0, 4.0, shape), chord) <= 1.1 * chord


@pytest.mark.parametrize(
    ("u", "v", "width", "height"), [(0.3, 0.4, 48.8, 1.5), (0.25, 0.5, 30.0, 2.0), (0.25, 0.3, 40.0, 3.0)]
)
def test_a_wide_low_place_beside_the_crown_does_not_cross_itself(
    u: float, v: float, width: float, height: float
) -> None:
    """Lines of one v bend sideways there more than the border does: rows along them would cross it."""
    strip, place = shaped(dome()).strip, PlainPlace(u, v, width, height, "round")
    for low, high in ((-0.6, 0.33), (-0.2, 1.5)):
        slab = plain_slab(strip, place, low, high, 0.005, -0.02)
        assert slab.problems(0) == []
        assert crossing_pairs(slab) == 0
    assert largest_miss(strip, place, 0.02) <= 1.1 * 0.02


def test_a_wide_place_that_the_edges_cut_off_does_not_cross_itself() -> None:
    """Its border runs steeply across the last rows: columns of one x would be far off there, and cross."""
    strip, place = shaped(dome()).strip, PlainPlace(0.5, 0.75, 40.0, 50.0, "round")
    assert largest_miss(strip, place, 0.02) <= 1.1 * 0.02
    slab = plain_slab(strip, PlainPlace(0.2, 0.7, 50.0, 40.0, "round"), -0.4, 0.3, 0.02, 0.5)
    assert slab.problems(0) == []
    assert crossing_pairs(slab) == 0


def test_a_sizing_place_goes_over_both_edges() -> None:
    """Nothing of the relief or the rails is left over its floor between its borders, edges included."""
    relief = {"depth": 0.3, "wall_width": 0.3}
    ring = shaped(thick_flat(**PATTERNED, relief=relief, plain=[{"u": 0, "v": 0.5, "width": 6, "height": 20}]))
    places = ring.finished.mesh.vertices
    outer = RADIUS_MM + 4.0
    palm = np.abs(np.arctan2(places[:, 0], -places[:, 1])) < 2.9 / outer
    assert np.max(np.hypot(places[palm, 0], places[palm, 1])) == pytest.approx(outer - UNDER_MM, abs=0.001)
    assert ring.finished.mesh.problems(1) == []


def test_outlines_and_distances_agree() -> None:
    for place in (PlainPlace(0.3, 0.5, 6.0, 3.0, corner_mm=1.0), PlainPlace(0.3, 0.5, 5.0, 5.0, "round")):
        border = outline(place, 0.2)
        assert distance_outside(place, *border.T) == pytest.approx(0.0, abs=1e-9)
        assert np.max(distance_outside(place, *(0.9 * border).T)) < 0.0
        out = distance_outside(place, *(1.3 * border).T)
        assert np.min(out) > 0.0
    assert distance_outside(PlainPlace(0, 0, 4.0, 2.0), np.array([5.0]), np.array([0.0])) == pytest.approx(3.0)
    assert distance_outside(PlainPlace(0, 0, 4.0, 4.0, "round"), np.array([3.0]), np.array([4.0])) == pytest.approx(3.0)


def test_lengths_of_a_place_are_true_along_its_middle_lines() -> None:
    strip = shaped(dome()).strip
    lengths = place_map(strip, PlainPlace(0.4, 0.5, 6.0))
    x = np.linspace(-3.0, 3.0, 401)
    u, v = lengths.to_strip(x, np.zeros(401))
    line = strip.jacobian(u, v).point
    assert np.sum(np.linalg.norm(np.diff(line, axis=0), axis=1)) == pytest.approx(6.0, abs=1e-3)
    back = lengths.from_strip(u + strip.length, v)
    assert back[0] == pytest.approx(x, abs=1e-6)


def test_a_place_longer_than_half_the_strip_on_one_side_is_itself_all_over() -> None:
    """The band's own scale varies: 24 mm from its middle to one side are more than half a turn of the strip."""
    strip = shaped(dome()).strip
    lengths = place_map(strip, PlainPlace(0.3, 0.4, 48.8, 1.5))
    x = np.linspace(-24.4, 24.4, 401)
    u, v = lengths.to_strip(x, np.zeros(401))
    assert np.max(np.abs(u - 0.3 * strip.length)) > 0.5 * strip.length
    assert lengths.from_strip(np.mod(u, strip.length), v)[0] == pytest.approx(x, abs=1e-6)


def test_relief_fades_towards_a_place() -> None:
    """Deeper with every step away from the place, none at its border, whole beyond the fade."""
    place = {"u": 0, "v": 0.5, "width": 4, "height": 12, "fade": 6}
    design = thick_flat(**PATTERNED, relief={"depth": 0.3, "wall_width": 0.3}, plain=[place])
    ring = shaped(design)
    depth = ring.relief.depth_share
    centre = ring.pattern.tiling.kernel[0]
    away = distance_outside(
        PlainPlace(0, 0.5, 4.0, 12.0), *place_map(ring.strip, PlainPlace(0, 0.5, 4.0, 12.0)).from_strip(*centre.T)
    )
    order = np.argsort(away)
    assert np.all(np.diff(depth[order]) >= -1e-12)
    assert np.all(depth[away <= 0.0] == 0.0)
    assert np.all(depth[away >= 6.0] == 1.0)
    assert np.any((depth > 0.1) & (depth < 0.9))


@pytest.mark.parametrize("level", ["ground", "top"])
def test_a_round_place_may_reach_over_both_edges(level: str) -> None:
    """Such as a narrow upright one, 18 high on a band 10 wide."""
    place = {"u": 0.8, "v": 0.62, "width": 1.5, "height": 18, "shape": "round", "level": level}
    finished = shaped(thick_flat(**PATTERNED, plain=[place])).finished
    assert finished.mesh.problems(1) == []
    assert np.any(finished.original_id == PLAIN)


@pytest.mark.parametrize("section", [band("half_round", station(0, 11, 2.4, 1.4)), KNIFE, DOME])
def test_slabs_deeper_than_the_face_is_round_do_not_cross_themselves(section: dict[str, Any]) -> None:
    """Recesses and plateaus over edges and a crest, by exact arithmetic: their offset faces alone do cross."""
    strip = shaped(plain_design(band=section, pattern={"across": "auto"}), 0.02).strip
    places = PlainPlace(0.0, 0.5, 9.0, 10.0), PlainPlace(0.2, 0.8, 3.0, 4.0), PlainPlace(0.5, 0.3, 3.0, 14.0, "round")
    for place in places:
        for low, high, past in ((-0.18, 1.0, 1.0), (-0.45, 0.03, -0.02), (-0.8, 1.0, 1.0)):
            slab = plain_slab(strip, place, low, high, 0.005, past)
            assert slab.problems(0) == []
            assert crossing_pairs(slab) == 0


SLANTED = band("half_round", station(0, 11.2, 2.64, 1.7), station(180, 5.8, 1.81, 1.43))


def slanted_strip() -> StripMap:
    design = plain_design(band=SLANTED, size={"scale": "us", "value": "3"}, pattern={"across": "auto"})
    return shaped(design, 0.02).strip


def test_a_slab_that_runs_out_along_a_sharp_edge_does_not_cross_itself() -> None:
    """A place 45 mm long round the palm of a half-round band, whose edges there have a radius of 0.06 mm.

    Rows of the slab run out round the edge: moving them leaves it turned over, so that it comes as a union of pieces.
    """
    slab = plain_slab(slanted_strip(), PlainPlace(0.85, 0.15, 44.86, 12.98, "round"), -0.156, 1.0, 0.03, 1.0)
    assert slab.problems(0) == []
    assert crossing_pairs(slab) == 0


def test_a_united_slab_is_one_part() -> None:
    """A place as long as the ring is round: 135 parts without volume were left between its pieces."""
    slab = plain_slab(slanted_strip(), PlainPlace(0.215, 0.618, 50.43, 24.93), -0.38, 1.0, 0.005, 1.0)
    assert slab.problems(0) == []
    assert crossing_pairs(slab) == 0
