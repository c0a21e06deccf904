"""A maker's own limits, in place of those that come with a process."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import Final

from ringtex.band.limits import require_between
from ringtex.checks.making.making_limits import Limit, MakingLimits

OWN_SOURCE: Final = "the maker's own, set in this design"

_MOST: Final = {
    "draft_deg": (60.0, "degrees"),
    "heavy_g": (1000.0, "g"),
    "high_head_mm": (50.0, "mm"),
    "wide_head_mm": (50.0, "mm"),
}
_MOST_MM: Final = (20.0, "mm")


@dataclass(frozen=True)
class OwnLimits:
    """One number each, or None for the process's own limit: under it is an error, from it on nothing is said.

    The names are those of `MakingLimits`; the last four warn from the number on, as there.
    Raises `InputError` for what is no such limit.
    """

    metal_mm: float | None = None
    edge_mm: float | None = None
    ridge_mm: float | None = None
    groove_mm: float | None = None
    hollow_wall_mm: float | None = None
    stone_gap_mm: float | None = None
    stone_edge_mm: float | None = None
    seat_mm: float | None = None
    culet_mm: float | None = None
    web_mm: float | None = None
    hole_mm: float | None = None
    relief_mm: float | None = None
    draft_deg: float | None = None
    high_head_mm: float | None = None
    wide_head_mm: float | None = None
    heavy_g: float | None = None
    off_axis_mm: float | None = None

    def __post_init__(self) -> None:
        for name, value in self._given().items():
            most, unit = _MOST.get(name, _MOST_MM)
            key = f"make.limits.{name.removesuffix('_mm').removesuffix('_deg')}"
            require_between(value, 0.0, most, unit, key, "no maker has such a limit")

    def _given(self) -> dict[str, float]:
        values = {field.name: getattr(self, field.name) for field in fields(self)}
        return {name: value for name, value in values.items() if value is not None}

    def over(self, shipped: MakingLimits) -> MakingLimits:
        """The shipped limits with these in their places."""
        given = self._given()
        if not given:
            return shipped
        changes: dict[str, object] = {}
        for name, value in given.items():
            if isinstance(getattr(shipped, name), Limit):
                changes[name] = Limit(value, value, OWN_SOURCE)
            else:
                changes |= {name: value, f"{name.rsplit('_', 1)[0]}_source": OWN_SOURCE}
        return replace(shipped, **changes)  # type: ignore[arg-type]
