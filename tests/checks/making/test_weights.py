"""Weights as cast and as finished against closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest
import trimesh
from checks.plain_rings import PlainBand, PlainStrip, plain_ring, revolved

from ringtex.basics.errors import InputError
from ringtex.checks.making.alloys import ALLOYS, alloy_named
from ringtex.checks.making.weights import (
    Amounts,
    lost_by_finishing,
    measure_amounts,
    metal_cost,
    weights_in,
    weights_in_every_alloy,
)
from ringtex.solid.finishing.finish import unfinished

BAND = PlainBand()


def tube(inner: float, outer: float, width: float) -> float:
    return math.pi * (outer**2 - inner**2) * width


def test_a_polished_tube_by_closed_form() -> None:
    """The loss comes off outside and both sides: a tube from R to R + t - p, w - 2 p wide."""
    ring = plain_ring(PlainStrip(BAND), columns=1440)
    inner, outer, width, loss = BAND.bore_radius_mm, BAND.outer_mm, BAND.width_mm, 0.1
    amounts = measure_amounts(unfinished(ring), ring, tube(inner - loss, outer, width), loss)
    assert amounts.drawn_mm3 == pytest.approx(tube(inner, outer, width), rel=1e-4)
    assert amounts.finished_mm3 == pytest.approx(tube(inner, outer - loss, width - 2.0 * loss), rel=1e-4)


def test_convex_and_concave_faces_by_closed_form() -> None:
    """A torus R = 10, r = 1.5 that loses p all over is one of r - p: 2 pi^2 R (r^2 - (r - p)^2)."""
    turn = np.linspace(0.0, 2.0 * np.pi, 180, endpoint=False)
    mesh = revolved(np.column_stack((10.0 + 1.5 * np.cos(turn), 1.5 * np.sin(turn))), 720)
    lost = lost_by_finishing(mesh.vertices, mesh.faces, 0.1)
    assert lost == pytest.approx(2.0 * math.pi**2 * 10.0 * (1.5**2 - 1.4**2), rel=5e-4)


def test_a_cube_with_sharp_edges() -> None:
    """8 - 1.8^3, but for p^3 at each of 8 corners, which is beyond the square of the loss."""
    box = trimesh.creation.box((2.0, 2.0, 2.0))
    lost = lost_by_finishing(np.asarray(box.vertices), np.asarray(box.faces, dtype=np.int32), 0.1)
    assert lost == pytest.approx(8.0 - 1.8**3 - 8.0 * 0.1**3, abs=1e-9)


def test_weight_of_a_flat_band() -> None:
    """V = pi (ID + t) t w: inner diameter 17.3, t 1, w 6 is 344.946874 mm3 (Pappus); fine silver 10.50, gold 19.3."""
    volume = math.pi * (17.3 + 1.0) * 1.0 * 6.0
    amounts = Amounts(volume, volume, volume)
    assert volume == pytest.approx(344.946874, abs=1e-6)
    assert weights_in(amounts, alloy_named("silver_999"), 0.0).cast_g == pytest.approx(3.62194, abs=1e-5)
    assert weights_in(amounts, alloy_named("gold_999"), 0.2).with_stones_g == pytest.approx(6.65747 + 0.2, abs=1e-5)


def test_every_metal_is_weighed() -> None:
    table = weights_in_every_alloy(Amounts(1000.0, 1000.0, 1000.0), 0.0)
    assert {each.alloy.key for each in table} == set(ALLOYS) - {"wax", "resin"}
    assert all(each.cast_g == pytest.approx(each.alloy.density_g_cm3) for each in table)


def test_cost_is_weight_as_cast_times_price() -> None:
    weights = weights_in(Amounts(1000.0, 1100.0, 900.0), alloy_named("silver_999"), 0.0)
    assert metal_cost(weights, 2.0) == pytest.approx(2.0 * 11.55)


@pytest.mark.parametrize("price", [math.nan, math.inf, -1.0, 2e6])
def test_no_price_is_refused(price: float) -> None:
    weights = weights_in(Amounts(1.0, 1.0, 1.0), alloy_named("silver_999"), 0.0)
    with pytest.raises(InputError) as refused:
        metal_cost(weights, price)
    assert refused.value.where == "--price"
