"""Bands that once could not be turned back from the strip, and the inverse's own promise."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.testing import assert_allclose
from strip_bands import dome_band, places

from ringtex.band.band import Band
from ringtex.band.band_options import BandOptions, Station
from ringtex.band.bore import BoreOptions
from ringtex.basics.errors import InputError
from ringtex.strip.conformal_map import conformal_grid
from ringtex.strip.grid_inverse import GridInverse
from ringtex.strip.unwrap import unwrap

Rows = tuple[tuple[float, ...], ...]

# A rounded section that levels out on a wide part: v hardly moves with the section's parameter at its edges.
LEVEL_WIDE: Rows = (
    (29.07, 9.21, 1.92, 1.42),
    (178.94, 6.68, 1.81, 1.27),
    (-73.06, 5.0, 1.81, 1.74),
    (147.8, 14.5, 4.39, 4.39),
)
# Stations 7 degrees apart: u along the edge runs very unlike u along the crown.
ABRUPT: Rows = ((-58.08, 8.83, 3.18, 2.81), (145.4, 3.72, 6.06, 2.16), (138.2, 7.19, 6.81, 3.81))
# A free section of exponent 1.35 to 6.1 that levels out.
LEVEL_FREE: Rows = ((1.1, 15.7, 7.74, 4.92, 1.35), (-100.5, 4.08, 7.83, 7.69, 1.51), (168.5, 12.8, 4.48, 4.48, 6.13))


@pytest.mark.parametrize(
    ("section", "rows", "mirror"),
    [
        ("half_round", LEVEL_WIDE, True),
        ("half_round", LEVEL_WIDE, False),
        ("half_round", ABRUPT, True),
        ("half_round", ABRUPT, False),
        (None, LEVEL_FREE, True),
    ],
)
@pytest.mark.parametrize("keep", ["shape", "area"])
def test_bands_that_once_failed(section: str | None, rows: Rows, mirror: bool, keep: str) -> None:
    band = Band(8.5, BoreOptions(), BandOptions(section, tuple(Station(*row) for row in rows), mirror))
    strip = unwrap(band, keep)
    u, v = places(strip)
    back_u, back_v = strip.from_band(*strip.to_band(u, v))
    assert_allclose(back_u, u, atol=1e-9)
    assert_allclose(back_v, v, atol=1e-9)
    frame = strip.jacobian(u, v)
    assert np.all(np.sum(np.cross(frame.d_u, frame.d_v) * frame.normal, axis=1) > 0.0)


def test_nodes_are_where_the_grid_has_them() -> None:
    flat = conformal_grid(dome_band("court"), 128, 32)
    inverse = GridInverse(flat)
    u, v = np.linspace(0.0, flat.length, 50, endpoint=False), np.linspace(0.0, flat.width, 21)
    theta, across = inverse.at_nodes(u, v)
    assert np.all(across[:, 0] == -1.0)
    assert np.all(across[:, -1] == 1.0)
    found_u, found_v = inverse.guess(theta.ravel(), across.ravel())
    assert_allclose(found_u.reshape(theta.shape), np.repeat(u[:, None], 21, axis=1), atol=1e-8)
    assert_allclose(found_v.reshape(theta.shape), np.repeat(v[None, :], 50, axis=0), atol=1e-8)


def test_stations_too_unlike_too_near_each_other_are_refused_in_a_sentence() -> None:
    """From 1.1 mm wide to 10.7 within 18 degrees, found by the campaign of random designs."""
    rows = ((-100.0, 10.44, 9.11, 7.53), (42.0, 1.1, 1.33, 0.41), (24.0, 10.68, 6.6, 2.35))
    band = Band(
        70.87 / (2.0 * np.pi), BoreOptions(), BandOptions("half_round", tuple(Station(*row) for row in rows), False)
    )
    with pytest.raises(InputError, match="did not settle") as refused:
        unwrap(band, "shape")
    assert refused.value.where == "band.stations"
