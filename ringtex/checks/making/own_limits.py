"""A maker's own limits, in place of those that come with a process."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import Annotated, Final, TypeAlias

from ringtex.basics.limits import Within, require_limits
from ringtex.checks.making.making_limits import Limit, MakingLimits

OWN_SOURCE: Final = "the maker's own, set in this design"

_REASON: Final = "no maker has such a limit"

Length: TypeAlias = Annotated[float, Within(0.0, 20.0, "mm", _REASON)]
HeadLength: TypeAlias = Annotated[float, Within(0.0, 50.0, "mm", _REASON)]
Angle: TypeAlias = Annotated[float, Within(0.0, 60.0, "degrees", _REASON)]
Weight: TypeAlias = Annotated[float, Within(0.0, 1000.0, "g", _REASON)]


@dataclass(frozen=True)
class OwnLimits:
    """One number each, or None for the process's own limit: under it is an error, from it on nothing is said.

    The names are those of `MakingLimits`; the last four warn from the number on, as there.
    Raises `InputError` for what is no such limit.
    """

    metal_mm: Length | None = None
    edge_mm: Length | None = None
    ridge_mm: Length | None = None
    groove_mm: Length | None = None
    hollow_wall_mm: Length | None = None
    stone_gap_mm: Length | None = None
    stone_edge_mm: Length | None = None
    seat_mm: Length | None = None
    culet_mm: Length | None = None
    web_mm: Length | None = None
    hole_mm: Length | None = None
    relief_mm: Length | None = None
    draft_deg: Angle | None = None
    high_head_mm: HeadLength | None = None
    wide_head_mm: HeadLength | None = None
    heavy_g: Weight | None = None
    off_axis_mm: Length | None = None

    def __post_init__(self) -> None:
        require_limits(self, "make.limits")

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
