"""Bands that the strip's tests flatten."""

from __future__ import annotations

import numpy as np
from hypothesis import strategies as st

from ringtex.band.band import Band
from ringtex.band.band_options import BandOptions, Station
from ringtex.band.bore import BoreOptions
from ringtex.basics.errors import InputError

BORE_54 = 54.0 / (2.0 * np.pi)
SECTIONS = ("half_round", "flat", "court", "knife_edge", None)
KEEPS = ("length", "shape", "area")


def plain_band(section: str | None = "half_round", full: float = 2.0) -> Band:
    """8 x 1.6 on a bore of 54."""
    return Band(BORE_54, BoreOptions(), BandOptions(section, (Station(0.0, 8.0, 1.6, 1.0, full),)))


def dome_band(section: str | None = "half_round", full: float = 2.0) -> Band:
    """A dome ring: 18 x 9 at the head, 5 x 1.5 at the palm, on a bore of 54."""
    stations = (Station(0.0, 18.0, 9.0, 1.2, full), Station(180.0, 5.0, 1.5, 1.2, full))
    return Band(BORE_54, BoreOptions(), BandOptions(section, stations))


def sphere_band(radius: float = 13.0, latitude_deg: float = 40.0) -> Band:
    """A band whose outer face is the zone of a sphere about the origin, from -latitude to latitude."""
    half_width, edge = radius * np.sin(np.deg2rad(latitude_deg)), radius * np.cos(np.deg2rad(latitude_deg))
    station = Station(0.0, 2.0 * half_width, radius - 8.5, edge - 8.5)
    return Band(8.5, BoreOptions(), BandOptions("court", (station,)))


def places(strip, count: int = 1500, seed: int = 0) -> tuple[np.ndarray, np.ndarray]:
    """Random strip places, some on and some close to the edges."""
    rng = np.random.default_rng(seed)
    u, v = rng.uniform(0.0, strip.length, count), rng.uniform(0.0, strip.width, count)
    v[:20], v[20:40] = 0.0, strip.width
    v[40:80] = 10.0 ** rng.uniform(-12.0, -1.0, 40)
    v[80:120] = strip.width - 10.0 ** rng.uniform(-12.0, -1.0, 40)
    return u, v


@st.composite
def bands(draw: st.DrawFn) -> Band:
    """Any band that is accepted, with one to four stations."""
    section = draw(st.sampled_from(SECTIONS))
    stations = []
    for angle in draw(st.lists(st.integers(0, 180), min_size=1, max_size=4, unique=True)):
        height = draw(st.floats(1.0, 8.0))
        edge = draw(st.floats(0.5, height))
        stations.append(Station(float(angle), draw(st.floats(2.0, 18.0)), height, edge, draw(st.floats(1.0, 8.0))))
    try:
        return Band(draw(st.floats(7.0, 11.0)), BoreOptions(), BandOptions(section, tuple(stations)))
    except InputError:
        return dome_band(section) if section != "knife_edge" else plain_band(section)
