"""What a designer says about a band: a section and stations round the ring."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Annotated, Final, Literal, get_args

from ringtex.basics.errors import InputError
from ringtex.basics.known_names import unknown_name
from ringtex.basics.limits import Within, require_limits, require_within

Section = Literal["half_round", "flat", "court", "knife_edge"]

MIN_WIDTH_MM, MAX_WIDTH_MM = 1.0, 40.0
"""Under 1 a cast shank bends in wear; over 40 it is longer than a finger's joint (common practice, no source)."""
MIN_HEIGHT_MM, MAX_HEIGHT_MM = 0.6, 15.0
"""Under 0.6 a band casts badly and wears through; over 15 it does not fit between fingers (usual practice)."""
MIN_EDGE_MM = 0.3
"""Thinner edges do not fill in casting and cut the finger (common practice, no source)."""
MIN_FULLNESS, MAX_FULLNESS = 1.0, 12.0
"""Under 1 the flanks are hollow; over 12 the eye sees a flat band."""
MIN_STEP_DEG = 1e-6
"""Stations closer than this are at one angle."""
MAX_STATIONS = 72
"""One every 5 degrees; more is a traced outline, not a band to design with."""


ANGLE: Final = Within(-360.0, 360.0, "degrees", "an angle round the ring")
WIDTH: Final = Within(MIN_WIDTH_MM, MAX_WIDTH_MM, "mm", "bands this narrow bend and this wide block the joint")
HEIGHT: Final = Within(
    MIN_HEIGHT_MM, MAX_HEIGHT_MM, "mm", "bands this thin wear through and this high do not fit between fingers"
)
EDGE_HEIGHT: Final = Within(MIN_EDGE_MM, MAX_HEIGHT_MM, "mm", "an edge is at least 0.3 thick and never above the crown")
FULLNESS: Final = Within(MIN_FULLNESS, MAX_FULLNESS, "", "1 is straight flanks, 2 half-round, 12 nearly flat")


@dataclass(frozen=True)
class Station:
    """The band's measures at one angle.

    angle_deg       round the finger: 0 is the head, 180 the palm, counter-clockwise seen from +z.
    width_mm        from edge to edge, along the finger.
    height_mm       from the bore to the crown, radial.
    edge_height_mm  from the bore to the outer face at the edges; a flat section ignores it.
    fullness        exponent of the superellipse between edge and crown (1 straight flanks, 2 half-round, large flat);
                    only without a named section.
    """

    angle_deg: Annotated[float, ANGLE]
    width_mm: Annotated[float, WIDTH]
    height_mm: Annotated[float, HEIGHT]
    edge_height_mm: Annotated[float, EDGE_HEIGHT]
    fullness: Annotated[float, FULLNESS] = 2.0

    def problems_at(self, where: str) -> None:
        """Raise `InputError` for the first measure that no ring can have; `where` is the station's key path."""
        require_limits(self, where)
        require_within(self.edge_height_mm, replace(EDGE_HEIGHT, high=self.height_mm), f"{where}.edge_height")

    @property
    def turned_deg(self) -> float:
        """The angle in (-180, 180]."""
        return 180.0 - (180.0 - self.angle_deg) % 360.0


@dataclass(frozen=True)
class BandOptions:
    """A section and its stations.

    section   the shape of the outer face across the band; None: by the stations' fullness.
    stations  the band's measures at some angles, joined smoothly round the ring; one is a plain band.
    mirror    a station at 40 also acts at -40.
    """

    section: Section | None
    stations: tuple[Station, ...]
    mirror: bool = True

    def __post_init__(self) -> None:
        if self.section is not None and self.section not in get_args(Section):
            names = ", ".join(get_args(Section))
            advice = f"Use {names}, or none for a free section by fullness"
            message = f"There is no section {self.section!r}"
            raise unknown_name(message, self.section, get_args(Section), "band.section", advice)
        object.__setattr__(self, "stations", tuple(self.stations))
        if not 1 <= len(self.stations) <= MAX_STATIONS:
            advice = f"Give 1 to {MAX_STATIONS} stations; one is a plain band"
            raise InputError(f"A band cannot have {len(self.stations)} stations", advice, "band.stations")
        for index, station in enumerate(self.stations):
            station.problems_at(f"band.stations[{index}]")
        self._refuse_same_angles()
        self._refuse_overhung_court()

    def _refuse_same_angles(self) -> None:
        for index, station in enumerate(self.stations):
            for other, before in enumerate(self.stations[:index]):
                apart = [station.turned_deg - before.turned_deg]
                if self.mirror:
                    apart.append(station.turned_deg + before.turned_deg)
                if any(abs((gap + 180.0) % 360.0 - 180.0) < MIN_STEP_DEG for gap in apart):
                    sides = ", left and right being the same" if self.mirror else ""
                    raise InputError(
                        f"Stations {other} and {index} stand at one angle ({station.angle_deg:g} degrees{sides})",
                        "Move one of them or take it away",
                        f"band.stations[{index}].angle",
                    )

    def _refuse_overhung_court(self) -> None:
        for index, station in enumerate(self.stations):
            rise = station.height_mm - station.edge_height_mm
            if self.section == "court" and rise > station.width_mm / 2.0:
                raise InputError(
                    f"A court arc {rise:g} mm high over a width of {station.width_mm:g} mm would overhang its edges",
                    f"Raise the edge height to at least {station.height_mm - station.width_mm / 2.0:g} mm",
                    f"band.stations[{index}].edge_height",
                )
