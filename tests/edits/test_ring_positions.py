"""Positions in degrees and millimetres against closed forms and against lengths measured on the ring."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy.special import ellipeinc
from zoo import CROOKED, DOME, plain_design

from ringtex.basics.errors import InputError
from ringtex.design.design_file import design_from_json
from ringtex.edits.ring_positions import across_limits, nearest_centre, ring_position, snapped_position, strip_fractions
from ringtex.strip.strip_map import StripMap
from ringtex.strip.unwrap import unwrap


def strip_of(**changes: Any) -> StripMap:
    design = design_from_json(plain_design(**changes))
    return unwrap(design.make_band(), design.strip.keep)


def test_a_flat_band_is_straight() -> None:
    strip = strip_of()
    for u, v in ((0.5, 0.5), (0.25, 0.1), (0.9, 1.0)):
        angle, off = ring_position(strip, u, v)
        assert angle == pytest.approx((u - 0.5) * 360.0, abs=1e-6)
        # The tables of lengths across are straight between their nodes.
        assert off == pytest.approx((v - 0.5) * strip.width, abs=2e-3)


def test_across_a_half_round_band_lengths_are_an_ellipses_arcs() -> None:
    """Source: arc of an ellipse, a E(phi | 1 - b²/a²) from the end of the minor axis (NIST DLMF 19.30.2)."""
    stations = [{"angle": 0, "width": 8, "height": 3, "edge_height": 1}]
    strip = strip_of(band={"section": "half_round", "stations": stations})
    half, rise = 4.0, 2.0
    quarter = half * float(ellipeinc(np.pi / 2.0, 1.0 - rise**2 / half**2))
    assert across_limits(strip, 0.0) == pytest.approx((-quarter, quarter), abs=2e-3)


@pytest.mark.parametrize("band", [DOME, CROOKED], ids=["dome", "crooked"])
@pytest.mark.parametrize("keep", ["shape", "length", "area"])
def test_millimetres_are_measured_on_the_ring(band: Any, keep: str) -> None:
    strip = strip_of(band=band, strip={"keep": keep})
    for angle, off in ((0.0, 2.0), (30.0, -1.0), (-120.0, 0.5), (180.0, 1.0)):
        u, v = strip_fractions(strip, angle, off)
        assert ring_position(strip, u, v) == pytest.approx((angle, off), abs=2e-3)
        theta, xi = strip.to_band(np.array([u * strip.length]), np.array([v * strip.width]))
        assert abs((np.rad2deg(theta[0]) - angle + 180.0) % 360.0 - 180.0) < 1e-3
        # Along the profile from the middle, in 2,000 chords on the band itself.
        along = np.linspace(0.0, float(xi[0]), 2001)
        radius, z = strip.band.profile(np.full(1, np.deg2rad(angle)), along)
        length = float(np.sum(np.hypot(np.diff(radius.real), np.diff(z.real))))
        assert np.sign(off) * length == pytest.approx(off, abs=3e-3)


def test_beyond_an_edge_is_refused_with_what_can_be_had() -> None:
    strip = strip_of(band=DOME)
    low, high = across_limits(strip, 180.0)
    with pytest.raises(InputError, match="beyond the band's edge") as refused:
        strip_fractions(strip, 180.0, high + 1.0)
    assert f"{low:.2f} to {high:.2f}" in refused.value.advice


def test_the_nearest_centre_is_found_across_the_seam() -> None:
    strip = strip_of()
    centres = np.array([[0.3, 2.0], [0.5 * strip.length, 2.0]])
    u, v = nearest_centre(strip, centres, 0.999, 0.5)
    assert (u * strip.length, v * strip.width) == pytest.approx((0.3, 2.0), abs=1e-4)


@pytest.mark.parametrize("band", [None, DOME, CROOKED], ids=["flat", "dome", "crooked"])
def test_what_is_near_head_palm_middle_or_a_cell_comes_to_lie_there(band: Any) -> None:
    strip = strip_of() if band is None else strip_of(band=band)
    centres = np.array([[0.3, 0.4 * strip.width]])
    for angle, turn in ((0.0, 0.0), (180.0, 1.0), (180.0, 0.0)):
        u = strip_fractions(strip, angle, 0.5)[0] * strip.length + turn * strip.length
        at, v, words = snapped_position(strip, centres, (u + 0.09, 0.85 * strip.width), 0.1)
        assert (v, words) == (0.85 * strip.width, "")
        _, off = ring_position(strip, at / strip.length, v / strip.width)
        assert abs(at - u) < 0.11
        assert abs(ring_position(strip, at / strip.length, v / strip.width)[0]) == pytest.approx(angle, abs=0.02)
        assert off > 0.0
    u, v = (
        share * size for share, size in zip(strip_fractions(strip, 70.0, 0.0), (strip.length, strip.width), strict=True)
    )
    at, middle, _ = snapped_position(strip, centres, (u, v - 0.09), 0.1)
    assert (at, middle) == (u, pytest.approx(v, abs=5e-3))
    assert snapped_position(strip, centres, (u, v - 0.2), 0.1)[:2] == (u, v - 0.2)
    found = snapped_position(strip, centres, (strip.length + 0.25, 0.4 * strip.width), 0.1)
    assert found[:2] == pytest.approx((strip.length + 0.3, 0.4 * strip.width))
    assert found[2] == "centre of a cell"
