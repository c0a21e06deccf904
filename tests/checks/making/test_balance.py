import numpy as np
import pytest
from plain_rings import BORE_MM, PlainStrip, level, on_circle, plain_ring

from ringtex.checks.finding import Kind, Level
from ringtex.checks.making.alloys import ALLOYS
from ringtex.checks.making.balance import check_balance, measure_balance
from ringtex.checks.making.making_limits import MakingLimits
from ringtex.solid.mesh.ring_mesh import RingMesh

LIMITS = MakingLimits()


def eccentric(outer_mm: float, off_mm: float) -> RingMesh:
    """A flat ring whose outer circle's centre is moved towards the head."""
    ring = plain_ring(PlainStrip(), level)
    outer = len(ring.strip_positions)
    vertices = ring.mesh.vertices.copy()
    theta = np.arctan2(-vertices[:outer, 0], vertices[:outer, 1])
    vertices[:outer] = on_circle(theta, np.full(outer, outer_mm), vertices[:outer, 2]) + np.array([0.0, off_mm, 0.0])
    return RingMesh(vertices, ring.mesh.faces)


def test_centre_of_mass_in_closed_form() -> None:
    # A disc of radius r about (0, e) less one of radius R about 0: centre e r^2 / (r^2 - R^2); polygons with the same
    # number of corners have their areas in the same ratio, so that this is exact for the mesh.
    mesh = eccentric(12.0, 2.0)
    balance = measure_balance(mesh, ALLOYS["silver_999"], BORE_MM)
    expected = 2.0 * 144.0 / (144.0 - BORE_MM**2)
    assert balance.centre_of_mass == pytest.approx((0.0, expected, 0.0), abs=1e-9)
    assert balance.off_axis_mm == pytest.approx(expected, abs=1e-9)
    assert balance.height_mm == pytest.approx(14.0 - BORE_MM)
    assert balance.weight_g == pytest.approx(mesh.volume * 10.50 / 1000.0)


def test_plain_ring_is_balanced() -> None:
    balance = measure_balance(plain_ring(PlainStrip(), level).mesh, ALLOYS["silver_925"], BORE_MM)
    assert balance.off_axis_mm == pytest.approx(0.0, abs=1e-9)
    assert check_balance(balance, LIMITS) == []


def test_high_heavy_and_top_heavy() -> None:
    mesh = eccentric(BORE_MM + 6.0, 4.5)
    balance = measure_balance(mesh, ALLOYS["platinum_950_ruthenium"], BORE_MM)
    found = {finding.kind: finding for finding in check_balance(balance, LIMITS)}
    assert found[Kind.HIGH_HEAD].level is Level.WARNING
    assert found[Kind.HIGH_HEAD].measured == pytest.approx(10.5)
    assert found[Kind.HIGH_HEAD].where.startswith("head, 0 degrees")
    assert found[Kind.HEAVY].level is Level.NOTE
    assert found[Kind.HEAVY].unit == "g"
    assert Kind.OFF_BALANCE in {
        f.kind for f in check_balance(measure_balance(eccentric(12.0, 2.2), ALLOYS["wax"], 8.6), LIMITS)
    }
    assert Kind.OFF_BALANCE not in found or found[Kind.OFF_BALANCE].level is Level.NOTE


def test_a_wide_head_is_told_and_a_usual_one_is_not() -> None:
    """About 20 mm and more keep the joint from bending (common practice, no source)."""
    ring = eccentric(12.0, 0.0)
    usual = float(np.ptp(ring.vertices[:, 2]))
    for width, told in ((19.5, False), (21.0, True)):
        mesh = RingMesh(ring.vertices * np.array([1.0, 1.0, width / usual]), ring.faces)
        balance = measure_balance(mesh, ALLOYS["silver_999"], BORE_MM)
        assert balance.width_mm == pytest.approx(width)
        assert (Kind.WIDE_HEAD in {finding.kind for finding in check_balance(balance, LIMITS)}) is told
