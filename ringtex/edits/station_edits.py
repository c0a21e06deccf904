"""Stations added, moved and taken away."""

from __future__ import annotations

import numpy as np

from ringtex.band.band_options import Station
from ringtex.basics.errors import InputError
from ringtex.design.design import Design
from ringtex.edits.design_keys import band_of


def place_name(angle_deg: float) -> str:
    """Where on the ring an angle lies, in words."""
    turned = abs(180.0 - (180.0 - angle_deg) % 360.0)
    for name, at in (("head", 0.0), ("shoulder", 90.0), ("palm", 180.0)):
        if abs(turned - at) <= 45.0 and (name != "palm" or turned > 135.0):
            return name
    return "palm"


def station_at(design: Design, angle_deg: float) -> Station:
    """A new station that leaves the band as it is there, to a hundredth of a millimetre."""
    band = band_of(design)
    theta = np.deg2rad(np.array([angle_deg]))
    half_width = float(band.half_width(theta)[0])
    height = round(float(band.crown_radius(theta)[0]) - band.bore_radius_mm, 2)
    edge = round(float(band.edge_radius(theta)[0]) - band.bore_radius_mm, 2)
    if design.band.section == "flat":
        edge = height
    fullness = round(_fullness_at(design.band.stations, angle_deg), 2)
    return Station(float(angle_deg), round(2.0 * half_width, 2), height, max(min(edge, height), 0.3), fullness)


def _fullness_at(stations: tuple[Station, ...], angle_deg: float) -> float:
    """Of the nearest station to each side, by their distance round the ring."""
    gaps = [abs((station.angle_deg - angle_deg + 180.0) % 360.0 - 180.0) for station in stations]
    order = np.argsort(gaps)[:2]
    weights = np.array([1.0 / max(gaps[i], 1e-6) for i in order])
    return float(np.average([stations[i].fullness for i in order], weights=weights))


def with_station(design: Design, angle_deg: float) -> tuple[Station, ...]:
    """The stations and one more. Raises: InputError where the band cannot be made as it is."""
    return (*design.band.stations, station_at(design, angle_deg))


def without_station(design: Design, index: int) -> tuple[Station, ...]:
    """The stations less one. Raises: InputError for the last one."""
    stations = design.band.stations
    if len(stations) == 1:
        raise InputError("a band keeps at least one station", "Add another before taking this away", "band.stations")
    return stations[:index] + stations[index + 1 :]


def widest_gap_deg(design: Design) -> float:
    """The angle in the middle of the longest part without a station, a whole number."""
    angles = {station.turned_deg for station in design.band.stations}
    if design.band.mirror:
        angles |= {-angle for angle in angles}
    turned = sorted(angle % 360.0 for angle in angles)
    gaps = np.diff([*turned, turned[0] + 360.0])
    widest = int(np.argmax(gaps))
    middle = turned[widest] + float(gaps[widest]) / 2.0
    return float(round(180.0 - (180.0 - middle) % 360.0))
