"""Pierced cells: volumes of radial cuts, and which cells are left whole."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from campaigns.ring_judge import crossing_pairs
from finished_rings import RADIUS_MM, dome, shaped, thick_flat
from zoo import band, plain_design, station

PIERCED = {"form": "pierced", "depth": 0.2, "wall_width": 0.8, "corner": 0, "flank": 89}


def test_what_is_cut_is_the_outline_times_the_wall() -> None:
    """A radial cut through a tube from R to r over an area A of its outer face takes A (r - R) (r + R) / 2 r.

    Elementary: a sector between two radii. Areas by shapely; ledges of 0.02 to 0.04 are left round the sunk floor.
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
    ledges = sum(cell.buffer(-0.4, join_style="mitre").area for cell in cells) - inside
    assert inside < sum(cell.buffer(-0.41, join_style="mitre").area for cell in cells)
    assert inside > sum(cell.buffer(-0.44, join_style="mitre").area for cell in cells)
    whole = np.pi * (outer**2 - RADIUS_MM**2) * 8.0
    cut = inside * (outer - RADIUS_MM) * (outer + RADIUS_MM) / (2.0 * outer)
    assert ring.finished.genus == 1 + tiling.cells
    assert ring.finished.mesh.problems(1 + tiling.cells) == []
    assert ring.finished.mesh.volume == pytest.approx(whole - cut - 0.2 * ledges, rel=2e-3)


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
    # Cleaning a cut may move a corner by a micrometre, which tilts a triangle of this height by less than 0.02.
    edges = np.diff(ring.mesh.vertices[ring.mesh.faces[cut][:, [0, 1, 2, 0]]], axis=1)
    large = ring.mesh.triangle_areas[cut] > 0.5 * 0.05 * np.max(np.linalg.norm(edges, axis=2), axis=1)
    assert np.count_nonzero(large) > 1000
    lean = np.abs(np.sum(normal * middle, axis=1)) / np.linalg.norm(normal, axis=1) / np.linalg.norm(middle, axis=1)
    assert np.max(lean[large]) < 0.02


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
    outlines = ring.finished.pierced.outlines
    spokes = outlines.positions - outlines.centre[outlines.number]
    after = outlines.positions[outlines.following] - outlines.centre[outlines.number]
    assert np.all(spokes[:, 0] * after[:, 1] > spokes[:, 1] * after[:, 0])
    assert crossing_pairs(ring.finished.mesh) == 0
