"""Widths of walls and insides against measures of the exported mesh alone, and against known shapes."""

from __future__ import annotations

import math

import numpy as np
import pytest
from mesh_widths import mesh_widths
from zoo import DOME, band, plain_design, station

from ringtex.checks.geometry.cell_widths import cell_widths, least_widths
from ringtex.design.design_file import design_from_json
from ringtex.make_ring import make_ring

LOW = {"corner": 0.0, "depth": 0.15, "wall_width": 0.3}
KNIFE_EDGE = band("knife_edge", station(0, 8, 2.4, 1.2))
HALF_ROUND = band("half_round", station(0, 8, 2.4, 1.2))
RAILS = {"lower": 0.5, "upper": 0.5}


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
    """A rectangle 3 by 1 turned in space, and a regular hexagon of side 1, which is sqrt(3) wide (elementary)."""
    turn = np.linalg.qr(np.random.default_rng(5).normal(size=(3, 3)))[0]
    rectangle = np.array([[0.0, 0, 0], [3, 0, 0], [3, 1, 0], [0, 1, 0], [0, 0.5, 0], [0, 0.2, 0]])
    angle = np.radians(60.0 * np.arange(6))
    hexagon = np.column_stack((np.cos(angle), np.sin(angle), np.zeros(6)))
    found = least_widths(np.stack((rectangle, hexagon)) @ turn.T + 5.0, np.tile(turn[:, 2], (2, 1)))
    assert found == pytest.approx([1.0, math.sqrt(3.0)])
