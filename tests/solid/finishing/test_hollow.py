"""The hollow against closed forms and independent distances."""

from __future__ import annotations

import math

import igl
import numpy as np
import pytest
import trimesh
from finished_rings import RADIUS_MM, THICK_MM, WIDE_MM, dome, shaped, thick_flat
from zoo import band, station

from ringtex.basics.errors import InputError
from ringtex.basics.tolerances import DRAFT_CHORD_MM, FINAL_CHORD_MM
from ringtex.solid.finishing.finish import hollow_body
from ringtex.solid.finishing.hollow_options import HollowOptions
from ringtex.solid.mesh.booleans import ORIGINALS


def hollow_places(ring: object) -> np.ndarray:
    """Vertices of the finished mesh that belong to the hollow alone."""
    finished = ring.finished  # type: ignore[attr-defined]
    own = finished.original_id == ORIGINALS.index("hollow")
    return np.setdiff1d(finished.mesh.faces[own], finished.mesh.faces[~own])


def inner_places(ring: object) -> np.ndarray:
    """Places all over the hollow's own faces, some 4 to a mm2, and all their corners, those on rims too."""
    finished = ring.finished  # type: ignore[attr-defined]
    faces = finished.mesh.faces[finished.original_id == ORIGINALS.index("hollow")]
    inner = trimesh.Trimesh(finished.mesh.vertices, faces, process=False)
    return np.concatenate(
        (trimesh.sample.sample_surface(inner, 4_000, seed=1)[0], finished.mesh.vertices[np.unique(faces)])
    )


def distances(ring: object, first: str, last: str) -> np.ndarray:
    """From all over the hollow to parts of the ring before it was finished, by libigl."""
    solid = ring.solid  # type: ignore[attr-defined]
    faces = solid.mesh.faces[solid.face_ranges[first].start : solid.face_ranges[last].stop].astype(np.int64)
    return np.sqrt(igl.point_mesh_squared_distance(inner_places(ring), solid.mesh.vertices, faces)[0])


def facets(tolerance_mm: float) -> float:
    """How much further inside the true faces than a finished ring a mesh may lie: by two tolerances where twisted."""
    return 2.0 * (tolerance_mm - FINAL_CHORD_MM)


def test_hollow_of_a_thick_flat_band_has_the_volume_of_its_shell() -> None:
    """Flat outer face, square corners (radius 0.1): a sector of a tube between bore and outer face less the wall.

    What the rolled corners leave is (1 - pi/4) r^2 along each edge, plus less than r^3 at each corner (r = 0.1). The
    wall is kept from the mesh, whose facets may lie 0.005 inside the face; and within 0.002, of 3 mm: 0.07 %.
    """
    wall, lip, reach, corner = 1.0, 1.5, 60.0, 0.1
    ring = shaped(thick_flat(hollow={"wall": wall, "lip": lip, "reach": reach, "corner": corner}))
    top = RADIUS_MM + THICK_MM - FINAL_CHORD_MM - wall
    angle, width = 2.0 * math.radians(reach), WIDE_MM - 2.0 * lip
    sector = 0.5 * angle * (top**2 - RADIUS_MM**2) * width
    edges = (1.0 - math.pi / 4.0) * corner**2 * (2.0 * angle * top + 2.0 * width)
    assert ring.finished.saved_mm3 == pytest.approx(sector - edges, rel=1.2e-3)
    # The mesh itself lost as much: its bore is a polygon within 0.005 mm of the circle the saving is measured from.
    assert ring.solid.mesh.volume - ring.finished.mesh.volume == pytest.approx(ring.finished.saved_mm3, rel=2e-3)
    assert trimesh.Trimesh(ring.finished.mesh.vertices, ring.finished.mesh.faces).volume == pytest.approx(
        ring.finished.mesh.volume, rel=1e-9
    )


def test_the_wall_under_a_smooth_face_is_the_outer_face_moved_inwards() -> None:
    """Steiner: a wall of thickness t under a smooth face holds t A - t^2 M + t^3 K / 3 (A area, M and K the integrals
    of mean and Gaussian curvature). On a cylinder of radius r: t (1 - t / 2 r) for each mm2.
    """
    wall = 1.2 + FINAL_CHORD_MM
    ring = shaped(thick_flat(hollow={"wall": 1.2, "lip": 1.0, "reach": 80.0, "corner": 0.1}))
    outer = RADIUS_MM + THICK_MM
    places = ring.finished.mesh.vertices[hollow_places(ring)]
    roof = places[np.hypot(places[:, 0], places[:, 1]) > outer - wall - 0.01]
    area = 2.0 * math.radians(80.0) * outer * (WIDE_MM - 2.0)
    steiner = wall * (1.0 - wall / (2.0 * outer)) * area
    tube = (
        0.5 * 2.0 * math.radians(80.0) * (outer**2 - np.mean(np.hypot(roof[:, 0], roof[:, 1])) ** 2) * (WIDE_MM - 2.0)
    )
    assert tube == pytest.approx(steiner, rel=2e-3)


FEW = {"around": 14, "across": "auto"}
"""Cells enough for relief over every part of a hollow."""

SMALL_DOME = {"band": band(None, station(0, 12, 6, 1.5), station(180, 4, 1.8, 1.2)), "rails": {"lower": 0, "upper": 0}}
STEEP_TAPER = {"band": band(None, station(0, 16, 5, 1.4, 3.0), station(60, 5, 1.8, 1.2))}


KEPT_WALLS: list[tuple[dict, dict]] = [
    ({"relief": {"depth": 0.3}}, {}),
    ({"relief": {"form": "sunk", "depth": 0.4}}, {"wall": 0.8, "lip": 1.2}),
    ({"relief": {"form": "dish", "depth": 0.2}}, {"wall": 1.2, "corner": 1.0, "reach": 70}),
    ({"relief": {"depth": 0.3}}, {"floor": 0.8, "reach": 75, "drains": [{"angle": 10}]}),
    (SMALL_DOME, {"lip": 0.3, "corner": 0.1}),
    (SMALL_DOME, {"lip": 0.5}),
    (SMALL_DOME, {"wall": 1.2, "lip": 1.0}),
    (SMALL_DOME, {"wall": 0.4, "lip": 0.3, "corner": 2.0, "reach": 165}),
    ({**SMALL_DOME, "relief": {"form": "sunk", "depth": 0.3}}, {"wall": 0.7, "lip": 0.3, "corner": 0.3}),
    (STEEP_TAPER, {"wall": 0.9, "lip": 0.9, "corner": 0.2}),
    ({**STEEP_TAPER, "bore": {"shape": "comfort", "rise": 0.3}}, {"wall": 0.5, "lip": 0.3, "reach": 150}),
]


@pytest.mark.parametrize(
    ("changes", "hollow", "tolerance"),
    [(*wall, (FINAL_CHORD_MM, DRAFT_CHORD_MM, DRAFT_CHORD_MM)[number % 3]) for number, wall in enumerate(KEPT_WALLS)],
)
def test_the_wall_is_kept_by_an_independent_distance(changes: dict, hollow: dict, tolerance: float) -> None:
    """Never under what was asked, and not much over it either: by libigl's exact distances from places all over the
    hollow's faces. Lips narrower than the wall do not thin it. A draft's own facets may lie nearer, see `facets`.
    Two of three are drafts; `tests/solid/test_hollow_space.py` draws hollows at random."""
    options = HollowOptions()
    asked = hollow.get("wall", options.wall_mm)
    ring = shaped(dome(pattern=FEW, **changes, hollow=hollow), tolerance)
    assert ring.finished.mesh.problems(ring.finished.genus) == []
    measured = float(np.min(distances(ring, "cells", "sides")))
    assert asked - facets(tolerance) - 0.001 <= measured <= asked + 0.1
    if "floor" in hollow:
        assert float(np.min(distances(ring, "bore", "bore"))) == pytest.approx(hollow["floor"], abs=0.02)


@pytest.mark.parametrize("wall", [0.8, 1.4])
def test_the_metal_beside_the_opening_is_the_lip_or_the_wall(wall: float) -> None:
    """On a flat band the opening is a rectangle of the bore: its edges lie the greater of the two from the sides;
    the wall's with twice the mesh's tolerance."""
    lip = 1.1
    ring = shaped(thick_flat(hollow={"wall": wall, "lip": lip, "reach": 60.0}))
    assert np.max(np.abs(inner_places(ring)[:, 2])) == pytest.approx(0.5 * WIDE_MM - max(lip, wall), abs=0.011)


@pytest.mark.parametrize(
    ("corner", "lip", "reach", "expected"),
    [(0.8, 1.0, 60.0, 0.8), (2.0, 1.0, 60.0, 2.0), (2.0, 3.5, 60.0, 0.9 * 1.5), (2.0, 1.0, 20.0, 2.0)],
)
def test_inner_corners_are_as_round_as_asked_or_as_room_allows(
    corner: float, lip: float, reach: float, expected: float
) -> None:
    """A ball of the corner's radius must reach every place of the hollow: centres of the hollow's box moved inwards.
    In an opening of half width 1.5 it has nine tenths of that."""
    ring = shaped(thick_flat(hollow={"wall": 1.0, "lip": lip, "reach": reach, "corner": corner}))
    assert ring.finished.mesh.problems(ring.finished.genus) == []
    places = ring.finished.mesh.vertices[hollow_places(ring)]
    top = RADIUS_MM + THICK_MM - 1.0
    radius, z = np.hypot(places[:, 0], places[:, 1]), np.abs(places[:, 2])
    half = 0.5 * WIDE_MM - lip
    away = np.hypot(np.maximum(radius - (top - expected), 0.0), np.maximum(z - (half - expected), 0.0))
    assert np.max(away) <= expected + 0.01
    # And no rounder than that: the roof's middle and the sides are reached.
    assert np.max(radius) == pytest.approx(top, abs=0.01)
    assert np.max(z) == pytest.approx(half, abs=0.011)


HEAD_OF_CRASH = {"angle": 0, "width": 11.08, "height": 5.82, "edge_height": 2.71, "fullness": 2.43}


@pytest.mark.parametrize(
    ("stations", "hollow", "tolerance"),
    [
        ([HEAD_OF_CRASH, station(180, 4.06, 1.8, 1.2)], {"corner": 1.0, "reach": 150}, FINAL_CHORD_MM),
        ([HEAD_OF_CRASH, station(180, 4.06, 1.8, 1.2)], {"corner": 1.0, "reach": 150}, DRAFT_CHORD_MM),
        ([station(0, 12, 6, 1.5), station(180, 4, 1.8, 1.2)], {"corner": 2.0}, DRAFT_CHORD_MM),
        ([station(0, 12, 6, 1.5), station(180, 4, 1.8, 1.2)], {"corner": 2.0, "reach": 20}, DRAFT_CHORD_MM),
        ([station(0, 12, 6, 1.5), station(180, 4, 1.8, 1.2)], {"corner": 2.0, "reach": 165}, FINAL_CHORD_MM),
        ([station(0, 20, 10, 3.0, 5.0), station(60, 5, 1.6, 1.2)], {"corner": 2.0, "wall": 0.4, "lip": 0.3}, 0.02),
    ],
)
def test_large_corners_in_narrow_places(stations: list, hollow: dict, tolerance: float) -> None:
    """Balls wider than the whole opening, or than the hollow is long, at the ends of the options' limits."""
    ring = shaped(dome(band=band(None, *stations), pattern=FEW, hollow=hollow), tolerance)
    assert ring.finished.mesh.problems(ring.finished.genus) == []
    assert ring.finished.saved_mm3 > 5.0
    asked = hollow.get("wall", HollowOptions().wall_mm)
    assert float(np.min(distances(ring, "cells", "sides"))) >= asked - facets(tolerance) - 0.001


@pytest.mark.parametrize("tolerance", [FINAL_CHORD_MM, DRAFT_CHORD_MM])
@pytest.mark.parametrize(
    ("width", "hollow", "key"),
    [
        (4.0, {"lip": 1.5}, "hollow.lip"),
        (4.0, {"wall": 1.5, "lip": 0.3}, "hollow.wall"),
        (9.0, {"wall": 5}, "hollow.wall"),
    ],
)
def test_no_room_is_a_refusal_that_names_the_key(width: float, hollow: dict, key: str, tolerance: float) -> None:
    """A draft refuses what the finished ring does, and nothing else."""
    narrow = thick_flat(
        band=band("flat", station(0, width, 4.0, 4.0)), rails={"lower": 1.5, "upper": 1.5}, hollow=hollow
    )
    with pytest.raises(InputError) as refused:
        shaped(narrow, tolerance)
    assert refused.value.where == key
    assert refused.value.advice
    room = thick_flat(
        band=band("flat", station(0, 4.0, 4.0, 4.0)), rails={"lower": 1.5, "upper": 1.5}, hollow={"lip": 1.3}
    )
    assert shaped(room, tolerance).finished.saved_mm3 > 1.0


def test_a_hollow_is_remembered_while_only_the_pattern_changes() -> None:
    band = shaped(dome()).strip.band
    first = hollow_body(band, HollowOptions(), 0.0, True)
    assert hollow_body(band, HollowOptions(), 0.0, True) is first
    assert hollow_body(band, HollowOptions(wall_mm=1.0), 0.0, True) is not first
