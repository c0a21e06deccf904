"""Widths of walls and insides against measures of the exported mesh alone, and against known shapes."""

from __future__ import annotations

import json
import math
from pathlib import Path

import numpy as np
import pytest
import shapely
from mesh_widths import mesh_widths
from zoo import DOME, band, plain_design, station

from ringtex.checks.geometry.cell_widths import cell_widths
from ringtex.checks.geometry.inside_widths import least_widths, rolled_flat
from ringtex.design.design_file import design_from_json
from ringtex.make_ring import make_ring

CORPUS = Path(__file__).parents[2] / "corpus"
LOW = {"corner": 0.0, "depth": 0.15, "wall_width": 0.3}
KNIFE_EDGE = band("knife_edge", station(0, 8, 2.4, 1.2))
HALF_ROUND = band("half_round", station(0, 8, 2.4, 1.2))
RAILS = {"lower": 0.5, "upper": 0.5}


def tops(size: float, form: str = "raised") -> dict[str, object]:
    return {"form": form, "corner": 0.0, "depth": 0.3, "wall_width": None, "top_size": size}


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"band": DOME},
        {"band": DOME, "relief": {"form": "sunk", "corner": 0.0}},
        {"band": DOME, "pattern": {"family": "cellular", "around": 14, "across": 4, "evenness": 1.0}},
        {
            "band": band("half_round", station(0, 8, 2.4, 1.2)),
            "pattern": {"family": "diamond", "around": 20, "across": 3},
        },
        {
            "pattern": {"family": "round_scale", "around": 16, "across": 4},
            "relief": {"corner": 0.0, "depth": 0.15, "wall_width": None, "top_size": 0.3},
            "rails": {"lower": 0, "upper": 0.2},
        },
        {
            "pattern": {"family": "hexagon", "around": 6, "across": 5, "scatter": 0.2},
            "relief": {"corner": 0.0, "depth": 0.3, "wall_width": 0.4},
        },
        {"band": HALF_ROUND, "pattern": {"family": "brick", "around": 40, "across": 1}, "relief": LOW},
        {"band": KNIFE_EDGE, "pattern": {"family": "brick", "around": 40, "across": 1}, "relief": LOW},
        {"band": HALF_ROUND, "pattern": {"family": "diamond", "around": 30, "across": 2}, "relief": LOW},
        {
            "size": {"scale": "uk", "value": "B"},
            "band": band("knife_edge", station(0, 5.98, 2.8, 1.61)),
            "pattern": {"family": "two_squares", "around": 10},
            "relief": tops(0.48),
            "rails": {"lower": 0, "upper": 0},
        },
        {
            "band": band(None, station(0, 4.8, 2.4, 1.6, 2.56)),
            "pattern": {"family": "hexagon", "around": 24},
            "relief": tops(0.79, "sunk"),
            "rails": {"lower": 0.55, "upper": 0},
        },
        {
            "band": band("knife_edge", station(0, 7, 1.8, 1.1)),
            "pattern": {"family": "waves", "around": 9},
            "relief": tops(0.3),
            "rails": {"lower": 1.0, "upper": 0.5},
        },
        {"pattern": {"family": "hexagon", "around": 18}, "relief": {**tops(0.6), "rounding": 0.7}},
    ],
    ids=[
        "flat",
        "dome",
        "sunk dome",
        "even cells",
        "diamonds",
        "large cells between small ones",
        "cells far round the ring",
        "half-round bricks",
        "bricks over an edge",
        "large diamonds",
        "tops whose sides bulge over an edge (read 3.2 per cent too narrow)",
        "floors that dip towards an edge of the band (read 3.3 per cent too narrow)",
        "tops of waves nearest elsewhere than across a wall (read 14 per cent too far apart)",
        "round tops that are a part of their cells (had no groove)",
    ],
)
def test_readings_are_those_of_the_exported_mesh(changes: dict[str, object]) -> None:
    """Within 2 per cent: feet of two cells, and tops or floors, found on the triangles by their creases."""
    design = design_from_json(plain_design(**{"rails": RAILS, "relief": {"corner": 0.0}, **changes}))
    ring = make_ring(design, 0.01)
    found = mesh_widths(ring.finished.mesh)
    widths = cell_widths(ring.strip, ring.pattern.tiling, ring.solid)
    assert found.cells == ring.pattern.tiling.cells
    assert float(np.min(widths.wall)) == pytest.approx(found.wall_mm, rel=0.02)
    assert float(np.min(widths.inside)) == pytest.approx(found.inside_mm, rel=0.02)


def test_floors_beside_another_zone_are_nearest_on_any_of_their_sides() -> None:
    """The ridge once read 0.2741 mm; against the exported mesh."""
    data = json.loads((CORPUS / "ridge_beside_a_zone_border.ring.json").read_text(encoding="utf-8"))
    ring = make_ring(design_from_json(data), 0.02)
    read = float(np.min(cell_widths(ring.strip, ring.pattern.tiling, ring.solid).wall))
    assert read == pytest.approx(mesh_widths(ring.finished.mesh).wall_mm, rel=0.005)
    assert read < 0.266


def test_a_wall_is_as_wide_as_asked_on_a_flat_band_whatever_its_corners() -> None:
    """Straight through, so between its chord round the band and the width asked for."""
    for corner in (0.0, 0.1):
        ring = make_ring(design_from_json(plain_design(relief={"corner": corner, "wall_width": 0.3})), 0.03)
        walls = cell_widths(ring.strip, ring.pattern.tiling, ring.solid).wall
        walls = walls[np.isfinite(walls)]
        crown = ring.strip.length / (2.0 * math.pi)
        chord = 2.0 * crown * math.sin(0.15 / crown)
        assert 0.2999 < chord - 1e-8 < float(np.min(walls))
        assert float(np.max(walls)) < 0.3 + 1e-8


def test_least_widths_of_known_shapes() -> None:
    """A rectangle 3 by 1, and a regular hexagon of side 1, which is sqrt(3) wide (elementary); both turned."""
    rectangle = np.array([[0.0, 0], [3, 0], [3, 1], [0, 1], [0, 0.5], [0, 0.2]])
    angle = np.radians(60.0 * np.arange(6))
    hexagon = np.column_stack((np.cos(angle), np.sin(angle)))
    for turn in np.linspace(0.0, np.pi, 37):
        rotated = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
        assert least_widths(np.stack((rectangle, hexagon)) @ rotated + 5.0) == pytest.approx([1.0, math.sqrt(3.0)])


def test_least_widths_of_random_polygons() -> None:
    """A convex shape is narrowest square to one of its sides (Toussaint 1983); hulls by shapely. Where it is hardly
    wider in another direction, that may be taken."""
    random = np.random.default_rng(11)
    for corners in (3, 5, 12, 60):
        loops = random.normal(size=(100, corners, 2)) * [1.0, 0.15]
        over = []
        for loop, found in zip(loops, least_widths(loops), strict=True):
            hull = shapely.get_coordinates(shapely.convex_hull(shapely.multipoints(loop)))
            side = np.diff(hull, axis=0)
            square = np.column_stack((-side[:, 1], side[:, 0])) / np.linalg.norm(side, axis=1)[:, None]
            over.append(float(found / np.min(np.ptp(square @ hull.T, axis=1))) - 1.0)
        assert min(over) > -1e-9
        assert max(over) < 0.002
        assert np.mean(np.array(over) < 1e-6) > 0.98


def test_a_loop_is_rolled_out_at_its_own_radii() -> None:
    """Arcs of 1 rad of radius 9 and 10 mm, 2 mm apart along the axis: as long as their radii (elementary)."""
    angle = np.concatenate((np.linspace(0.0, 1.0, 9), np.linspace(1.0, 0.0, 9)))
    radius, along = np.repeat([9.0, 10.0], 9), np.repeat([0.0, 2.0], 9)
    flat = rolled_flat(np.column_stack((radius * np.cos(angle), radius * np.sin(angle), along))[None])[0]
    assert np.diff(flat[[0, 8], 0])[0] == pytest.approx(9.0)
    assert np.diff(flat[[17, 9], 0])[0] == pytest.approx(10.0)
    assert flat[:, 1:] == pytest.approx(np.column_stack((radius, along)))
