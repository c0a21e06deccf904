"""Flat cuts through meshes against closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest
from checks.plain_rings import PlainBand, PlainStrip, plain_ring, revolved

from ringtex.basics.errors import SelfCheckError
from ringtex.export.sheet.mesh_section import section_curves
from ringtex.solid.mesh.ring_mesh import RingMesh

X, Y, Z = np.eye(3)


def enclosed_area(curves: list[np.ndarray]) -> float:
    """By the shoelace formula; holes count negative."""
    return abs(sum(0.5 * float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)) for x, y in (c.T for c in curves)))


def test_a_flat_bands_section_is_two_rectangles() -> None:
    curves = section_curves(plain_ring(PlainStrip(PlainBand())).mesh, Z, Y)
    assert len(curves) == 2
    assert enclosed_area(curves) == pytest.approx(2.0 * 6.0 * 1.6, rel=1e-5)


def test_the_cut_at_mid_width_is_an_annulus() -> None:
    mesh = plain_ring(PlainStrip(PlainBand())).mesh
    curves = section_curves(mesh, X, Y)
    inner, outer = PlainBand().bore_radius_mm, PlainBand().outer_mm
    polygon = 144 / (2.0 * math.pi) * math.sin(2.0 * math.pi / 144)
    assert len(curves) == 2
    assert enclosed_area(curves) == pytest.approx(math.pi * (outer**2 - inner**2) * polygon, rel=1e-5)


def test_section_and_volume_agree_by_pappus() -> None:
    """Pappus-Guldinus: volume = section x way of its centroid; here a torus R = 10, r = 1.5: 2 pi^2 R r^2."""
    turn = np.linspace(0.0, 2.0 * np.pi, 240, endpoint=False)
    mesh = revolved(np.column_stack((10.0 + 1.5 * np.cos(turn), 1.5 * np.sin(turn))), 480)
    area = enclosed_area(section_curves(mesh, Z, Y)) / 2.0
    assert area == pytest.approx(math.pi * 1.5**2, rel=2e-4)
    assert 2.0 * math.pi * 10.0 * area == pytest.approx(2.0 * math.pi**2 * 10.0 * 1.5**2, rel=2e-4)


def test_a_cut_beside_the_ring_is_empty() -> None:
    assert section_curves(plain_ring(PlainStrip()).mesh, X, Y, 50.0) == []


def test_an_open_mesh_is_refused() -> None:
    mesh = plain_ring(PlainStrip()).mesh
    with pytest.raises(SelfCheckError):
        section_curves(RingMesh(mesh.vertices, mesh.faces[1:]), Z, Y)
