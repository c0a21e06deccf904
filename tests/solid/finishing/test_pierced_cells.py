"""Pierced cells: volumes of radial cuts, and which cells are left whole."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from campaigns.ring_judge import crossing_pairs
from finished_rings import RADIUS_MM, dome, shaped, thick_flat
from zoo import band, plain_design, station

from ringtex.solid.finishing.pierced_mesh import MeetError, cut_through
from ringtex.solid.mesh.booleans import original_number

PIERCED = {"form": "pierced", "depth": 0.2, "wall_width": 0.8, "corner": 0, "flank": 89}


def test_what_is_cut_is_the_outline_times_the_wall() -> None:
    """A radial cut through a tube from R to r over an area A of its outer face takes A (r - R) (r + R) / 2 r.

    Elementary: a sector between two radii. Areas by shapely; flanks of 89 degrees take 0.2 / tan 89 in plan.
    """
    ring = shaped(
        plain_design(
            relief=PIERCED, pattern={"family": "hexagon", "around": 16, "across": 2}, rails={"lower": 0.8, "upper": 0.8}
        )
    )
    outer = RADIUS_MM + 1.6
    tiling = ring.pattern.tiling
    cells = [shapely.Polygon(corners) for corners in np.split(tiling.corners, tiling.cell_start[1:-1])]
    outlines = ring.finished.pierced.outlines
    inside = sum(shapely.Polygon(line).area for line in np.split(outlines.positions, outlines.start[1:-1]))
    foot = 0.4 + 0.2 / np.tan(np.radians(89.0))
    assert inside == pytest.approx(sum(cell.buffer(-foot, join_style="mitre").area for cell in cells), rel=1e-4)
    whole = np.pi * (outer**2 - RADIUS_MM**2) * 8.0
    cut = inside * (outer - RADIUS_MM) * (outer + RADIUS_MM) / (2.0 * outer)
    assert ring.finished.genus == 1 + tiling.cells
    assert ring.finished.mesh.problems(1 + tiling.cells) == []
    assert ring.finished.mesh.volume == pytest.approx(whole - cut, rel=2e-3)


def test_the_bore_between_the_holes_is_the_bands_and_nothing_crosses() -> None:
    """A tapered band with a comfort bore: every triangle between the holes lies within the tolerance of the true bore,
    looks at the finger, and keeps clear of all others."""
    flat = thick_flat(relief=PIERCED, rails={"lower": 1, "upper": 1})
    flat["band"] = {**band("half_round", station(0, 9, 2.6, 1.6), station(180, 5, 2, 1.4))}
    ring = shaped({**flat, "bore": {"shape": "comfort", "rise": 0.4}}, 0.01)
    finished = ring.finished
    assert finished.pierced.count > 20
    assert finished.mesh.problems(1 + finished.pierced.count) == []
    assert crossing_pairs(finished.mesh) == 0
    of_bore = (finished.original_id == 0) & (finished.face_id >= ring.solid.face_ranges["bore"].start)
    corners = finished.mesh.vertices[finished.mesh.faces[of_bore]]
    shares = np.random.default_rng(1).dirichlet(np.ones(3), 20)
    points = np.einsum("sc,fci->fsi", shares, corners).reshape(-1, 3)
    radius = ring.strip.band.bore_radius_at(np.arctan2(-points[:, 0], points[:, 1]), points[:, 2])
    assert np.max(np.abs(np.hypot(points[:, 0], points[:, 1]) - radius)) < 0.01
    middle = corners.mean(axis=1) * [1.0, 1.0, 0.0]
    assert np.all(np.sum(finished.mesh.face_normals[:, of_bore].T * middle, axis=1) < 0.0)


def test_holes_that_would_meet_are_found() -> None:
    """The lowest hole is moved onto its neighbours above."""
    ring = shaped(plain_design(relief=PIERCED, pattern={"family": "hexagon", "around": 16, "across": 2}), 0.02)
    pierced = ring.finished.pierced
    lowest = int(np.argmin(pierced.z[pierced.outlines.start[:-1]]))
    z = np.where(pierced.outlines.number == lowest, pierced.z + 2.0, pierced.z)
    with pytest.raises(MeetError) as found:
        cut_through(ring.strip, ring.solid, replace(pierced, z=z), 0.02)
    assert found.value.holes[lowest]
    assert 2 <= np.sum(found.value.holes) < 8
    rest = pierced.without(found.value.holes)
    assert cut_through(ring.strip, ring.solid, rest, 0.02).mesh.problems(1 + rest.count) == []


def test_raised_letters_leave_the_holes_open() -> None:
    letters = {"text": "HHHH", "height": 1.4, "depth": 0.2, "raised": True}
    free = shaped(thick_flat(relief=PIERCED), 0.02)
    ring = shaped(thick_flat(relief=PIERCED, inscription=letters), 0.02).finished
    assert ring.mesh.problems(1 + free.finished.pierced.count) == []
    assert np.any(ring.original_id == original_number("inscription"))


LONG_LETTERS = (
    # Each had a hole too many where a letter's side and a hole's wall crossed twice.
    (
        {"depth": 0.32, "wall_width": 0.92, "corner": 0.1, "flank": 70, "rounding": 1},
        ("scale", 2, "50", 0.03),
        {"height": 2.07, "angle": 57, "along": -0.46},
    ),
    (
        {"depth": 0.27, "wall_width": 0.42, "corner": 0.1, "flank": 60},
        ("brick", 3, "54", 0.01),
        {"height": 1.4, "depth": 0.25, "angle": -127, "along": -0.26},
    ),
    (
        {"depth": 0.24, "wall_width": 0.37, "corner": 0.1, "flank": 70},
        ("triangle", 3, "50", 0.05),
        {"height": 1.15, "depth": 0.17, "angle": 9, "along": -0.79},
    ),
)


@pytest.mark.parametrize(("relief", "how", "letters"), LONG_LETTERS, ids=("scale", "brick", "triangle"))
def test_letters_round_the_bore_keep_away_from_the_walls_of_holes(
    relief: dict[str, float], how: tuple[str, int, str, float], letters: dict[str, float]
) -> None:
    family, across, size, chord_mm = how
    finished = shaped(
        plain_design(
            size={"scale": "iso", "value": size},
            relief={"form": "pierced", **relief},
            pattern={"family": family, "around": 24, "across": across},
            rails={"lower": 0.3 if family == "triangle" else 0.9, "upper": 0.5},
            inscription={"text": "AVE MARIA GRATIA PLENA", "depth": 0.2, "raised": True, **letters},
        ),
        chord_mm,
    ).finished
    assert finished.mesh.problems(1 + finished.pierced.count) == []
    of_letters = finished.mesh.faces[finished.original_id == original_number("inscription")]
    points, pierced = finished.mesh.vertices[np.unique(of_letters)], finished.pierced
    bore = float(size) / (2.0 * np.pi)
    theta, z = np.arctan2(-points[:, 0], points[:, 1]), points[:, 2]
    turns = [
        shapely.Polygon(np.column_stack((bore * (part + turn), part_z)))
        for part, part_z in zip(
            *(np.split(each, pierced.outlines.start[1:-1]) for each in (pierced.theta, pierced.z)), strict=True
        )
        for turn in (-2.0 * np.pi, 0.0, 2.0 * np.pi)
    ]
    away = shapely.distance(shapely.points(bore * theta, z), shapely.union_all(turns))
    assert np.hypot(points[:, 0], points[:, 1]).min() < bore - 0.1
    assert np.min(away) > 0.02


def test_cells_under_collars_and_plain_places_are_left_whole() -> None:
    free = shaped(dome(relief=PIERCED, rails={"lower": 1, "upper": 1}), 0.02)
    stone, place = {"u": 0.5, "v": 0.5, "diameter": 2.0}, {"u": 0, "v": 0.5, "width": 5, "height": 9}
    ring = shaped(dome(relief=PIERCED, rails={"lower": 1, "upper": 1}, stones=[stone], plain=[place]), 0.02)
    finished = ring.finished
    assert finished.pierced.count < free.finished.pierced.count
    assert finished.mesh.problems(2 + finished.pierced.count) == []
    u, v = finished.pierced.outlines.positions.T
    away = ring.strip.point(u, v) - finished.stones[0].place.table
    off = np.linalg.norm(away - (away @ finished.stones[0].place.axis)[:, None] * finished.stones[0].place.axis, axis=1)
    assert np.min(off) > 1.0 + 0.5 + 0.3


def test_shallow_cells_are_left_whole() -> None:
    flat = thick_flat(
        relief=PIERCED, rails={"lower": 2, "upper": 2}, pattern={"family": "brick", "around": 20, "across": 2}
    )
    edits = {"cells": [{"u": 0.51, "v": 0.4, "depth": 0.2}]}
    assert shaped({**flat, "edits": edits}).finished.pierced.count == shaped(flat).finished.pierced.count - 1


def test_every_wall_of_a_cut_is_radial() -> None:
    ring = shaped(dome(relief=PIERCED, rails={"lower": 1, "upper": 1})).finished
    cut = ring.original_id == 6
    normal = ring.mesh.face_normals[:, cut].T
    middle = ring.mesh.vertices[ring.mesh.faces[cut]].mean(axis=1) * [1.0, 1.0, 0.0]
    assert np.count_nonzero(cut) > 1000
    lean = np.abs(np.sum(normal * middle, axis=1)) / np.linalg.norm(normal, axis=1) / np.linalg.norm(middle, axis=1)
    assert np.max(lean) < 0.02


def test_small_cells_and_collars_over_the_edges_do_not_cross() -> None:
    """Found by random designs: a small cell's centre outside its outline, and collars that cross themselves."""
    row = {"count": 3, "spacing": 4.7, "stone": {"u": 0.29, "v": 0.38, "diameter": 1.4, "collar": 0.5}}
    ring = shaped(
        plain_design(
            size={"scale": "iso", "value": "50"},
            band=band("court", station(0, 2.57, 2.12, 1.255)),
            pattern={"family": "floret_pentagon", "around": 16, "across": "auto", "twist": 2},
            relief={"form": "pierced", "depth": 0.32, "wall_width": 0.4, "flank": 55.65},
            stones=[row],
        ),
        0.015,
    )
    assert crossing_pairs(ring.finished.mesh) == 0
