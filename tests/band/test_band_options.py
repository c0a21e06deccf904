from __future__ import annotations

import math

import pytest

from ringtex.band.band_options import BandOptions, Station
from ringtex.band.bore import BoreOptions
from ringtex.basics.errors import InputError

GOOD = {"angle_deg": 0.0, "width_mm": 8.0, "height_mm": 1.6, "edge_height_mm": 1.0, "fullness": 2.0}
BAD = [
    *[(field, bad) for field in GOOD for bad in (math.nan, math.inf, -math.inf, 1e12, "8", None, True)],
    ("width_mm", 0.5),
    ("width_mm", 41.0),
    ("height_mm", 0.5),
    ("height_mm", 15.5),
    ("edge_height_mm", 0.2),
    ("edge_height_mm", 1.7),
    ("fullness", 0.9),
    ("fullness", 12.5),
]


@pytest.mark.parametrize(("field", "bad"), BAD)
def test_measures_that_no_ring_can_have_are_refused_by_name(field: str, bad: object) -> None:
    station = Station(**{**GOOD, field: bad})
    with pytest.raises(InputError) as caught:
        BandOptions("half_round", (Station(90.0, 8.0, 1.6, 1.0), station))
    names = {"angle_deg": "angle", "width_mm": "width", "height_mm": "height", "edge_height_mm": "edge_height"}
    allowed = {f"band.stations[1].{names.get(field, field)}"}
    if field == "height_mm":
        allowed.add("band.stations[1].edge_height")
    assert caught.value.where in allowed
    assert caught.value.advice


@pytest.mark.parametrize(
    ("first", "second", "mirror"),
    [(40.0, 40.0, False), (40.0, 400.0 - 720.0, True), (40.0, -40.0, True), (180.0, -180.0, False)],
)
def test_two_stations_at_one_angle_are_refused(first: float, second: float, mirror: bool) -> None:
    stations = (Station(first, 8.0, 1.6, 1.0), Station(second, 9.0, 1.6, 1.0))
    with pytest.raises(InputError, match="one angle") as caught:
        BandOptions("half_round", stations, mirror)
    assert caught.value.where == "band.stations[1].angle"


def test_left_and_right_may_differ_without_mirror() -> None:
    BandOptions("half_round", (Station(40.0, 8.0, 1.6, 1.0), Station(-40.0, 9.0, 1.6, 1.0)), mirror=False)


@pytest.mark.parametrize("section", ["round", "", 3])
def test_unknown_sections_are_refused(section: object) -> None:
    with pytest.raises(InputError, match="section"):
        BandOptions(section, (Station(0.0, 8.0, 1.6, 1.0),))


@pytest.mark.parametrize("count", [0, 73])
def test_a_band_has_at_least_one_station_and_not_too_many(count: int) -> None:
    with pytest.raises(InputError, match="stations"):
        BandOptions("flat", tuple(Station(float(k), 8.0, 1.6, 1.0) for k in range(count)), mirror=False)


def test_an_overhanging_court_arc_is_refused() -> None:
    with pytest.raises(InputError, match="overhang"):
        BandOptions("court", (Station(0.0, 4.0, 5.0, 1.0),))


@pytest.mark.parametrize(
    ("shape", "rise"), [("comfort", -0.1), ("comfort", math.nan), ("comfort", 9.0), ("oval", 0.0), ("straight", 0.2)]
)
def test_impossible_bores_are_refused(shape: str, rise: float) -> None:
    with pytest.raises(InputError):
        BoreOptions(shape, rise)
