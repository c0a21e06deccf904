"""What finishing and letters take away, against hand calculation and an independent measure of the mesh."""

from __future__ import annotations

import math

import igl
import numpy as np
import pytest
from finished_reports import built, built_flat

from ringtex.checks.finding import Finding, Level
from ringtex.make_ring import BuiltRing

LETTERS = {"text": "oak", "height": 2.0, "raised": True}


def finding(ring: BuiltRing, kind: str) -> Finding:
    return next(found for found in ring.report.findings if found.kind.value == kind)


@pytest.mark.parametrize("depth", [0.2, 0.6])
def test_raised_letters_make_the_ring_tighter(depth: float) -> None:
    """EN ISO 8653:2014: the size is that of the largest cylinder that goes in. Letters 0.2 high stand in its way by
    2 pi 0.2; between the corners of their tops, which follow the bore within the tolerance, by a little more."""
    ring = built_flat(inscription={**LETTERS, "depth": depth})
    read = ring.report.readings
    assert 54.0 - read.size_circumference_mm == pytest.approx(2.0 * math.pi * depth, abs=0.1 + 0.2 * depth)
    tightest = float(np.min(np.hypot(*ring.finished.mesh.vertices[:, :2].T)))
    assert read.size_circumference_mm <= 2.0 * math.pi * tightest + 1e-6
    told = finding(ring, "wrong_size")
    assert told.level is Level.WARNING
    assert "raised letters" in told.message
    assert told.measured == read.size_circumference_mm


def test_cut_letters_leave_the_size_and_less_metal() -> None:
    """The least distance from the letters' own corners to the outside, by libigl."""
    ring = built_flat(1.6, inscription={**LETTERS, "raised": False, "depth": 0.6})
    read, finished = ring.report.readings, ring.finished
    assert read.size_circumference_mm == pytest.approx(54.0, abs=0.02)
    assert "wrong_size" not in {found.kind.value for found in ring.report.findings}
    from ringtex.checks.making.thickness import outer_faces
    from ringtex.solid.mesh.booleans import original_number

    letters = finished.mesh.vertices[
        np.unique(finished.mesh.faces[finished.original_id == original_number("inscription")])
    ]
    outside = outer_faces(finished, ring.solid).astype(np.int64)
    squared = igl.point_mesh_squared_distance(letters, finished.mesh.vertices, outside)[0]
    assert read.thinnest_metal_mm == pytest.approx(math.sqrt(float(np.min(squared))), abs=1e-6)
    assert read.thinnest_metal_mm == pytest.approx(1.0, abs=0.03)


@pytest.mark.parametrize("polish", [0.1, 0.3])
def test_finishing_takes_its_loss_off_metal_and_ridges(polish: float) -> None:
    drawn, polished = (built_flat(1.0, make={"polish": loss}).report for loss in (0.0, polish))
    before, after = drawn.readings, polished.readings
    assert before.thinnest_metal_mm - after.thinnest_metal_mm == pytest.approx(polish)
    assert before.thinnest_edge_mm - after.thinnest_edge_mm == pytest.approx(polish)
    assert before.thinnest_groove_mm is not None
    assert after.thinnest_groove_mm == pytest.approx(before.thinnest_groove_mm + 2.0 * polish)
    assert before.thinnest_ridge_mm is not None
    assert after.thinnest_ridge_mm == pytest.approx(before.thinnest_ridge_mm - 2.0 * polish)


def test_metal_that_finishing_makes_too_thin_is_found() -> None:
    """1.0 drawn, 0.3 polished off: 0.7 is left, and 0.8 is the least that can be cast."""
    assert "thin_metal" not in {found.kind.value for found in built_flat(1.0).report.findings}
    told = finding(built_flat(1.0, make={"polish": 0.3}), "thin_metal")
    assert told.level is Level.ERROR
    assert told.measured == pytest.approx(0.7, abs=0.01)
    assert told.message.endswith("once finishing has taken 0.3 mm off each face")


def test_a_hollow_is_not_reached_by_finishing_and_its_wall_is_thinner_once() -> None:
    drawn, polished = (
        built(hollow={"wall": 1.0}, make={"polish": loss}).report.readings.hollow_wall_mm for loss in (0.0, 0.1)
    )
    assert drawn is not None
    assert polished == pytest.approx(drawn - 0.1)
