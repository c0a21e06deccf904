"""Making limits as data: what a process can make and a finger can wear, each with its source."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields, replace
from enum import Enum
from typing import Annotated, Final, TypeAlias

from ringtex.basics.arrays import Floats
from ringtex.basics.known_names import unknown_name
from ringtex.basics.limits import Within, require_limits
from ringtex.checks.finding import Finding, Kind, Level
from ringtex.checks.ring_position import as_place, words_for

_PRACTICE: Final = "common practice, no source"


class Process(Enum):
    """How the ring comes to be. The value is what design files carry."""

    PRINT_AND_CAST = "print_and_cast"
    WAX_AND_CAST = "wax_and_cast"
    MOULD_AND_CAST = "mould_and_cast"
    ENGRAVE_FLAT = "engrave_flat"
    PRINT_METAL = "print_metal"
    PRINT_MODEL = "print_model"

    @property
    def words(self) -> str:
        """The same for a person."""
        return _WORDS[self]

    @property
    def casts(self) -> bool:
        """A pattern is burnt out and metal cast."""
        return self in (Process.PRINT_AND_CAST, Process.WAX_AND_CAST, Process.MOULD_AND_CAST)

    @property
    def prints_resin(self) -> bool:
        """Liquid resin is handled."""
        return self in (Process.PRINT_AND_CAST, Process.PRINT_MODEL)


_WORDS: Final = {
    Process.PRINT_AND_CAST: "printed in resin and cast",
    Process.WAX_AND_CAST: "milled in wax and cast",
    Process.MOULD_AND_CAST: "moulded and cast",
    Process.ENGRAVE_FLAT: "engraved from flat",
    Process.PRINT_METAL: "printed in metal",
    Process.PRINT_MODEL: "printed as a model",
}


@dataclass(frozen=True)
class Limit:
    """A smallest size: an error under `least`, a warning under `near`. source says where the figures come from."""

    least: float
    near: float
    source: str = _PRACTICE

    def judge(self, measured: float, slack: float = 1e-6) -> Level | None:
        """How bad a measured value is, or None; `slack` forgives rounding on the limit itself."""
        if measured < self.least - slack:
            return Level.ERROR
        return Level.WARNING if measured < self.near - slack else None

    def bound(self, level: Level) -> float:
        """The size that a finding of that level is about."""
        return self.least if level is Level.ERROR else self.near


@dataclass(frozen=True)
class Allowance:
    """What a process usually takes away, to be told; applied is only what a design asks for itself."""

    usual: float
    source: str = _PRACTICE


_TEAGUE: Final = (
    "(1.91 - 1.72) / 2 on one measured ring: Teague, Santa Fe Symposium, quoted second-hand on a jewellers' forum"
)
_CASTER: Final = "casting 1.0, injected wax 2.5: a trade caster's page; other figures run from 0.6 to 12"


@dataclass(frozen=True)
class MakingLimits:
    """The limits of one process, and what it usually takes away.

    Lengths mm, weight g, angles degrees; `high_head_mm` and `heavy_g` warn from there on. relief_mm: least height of a
    feature; draft_deg: least lean of a flank from upright; hole_mm: least diameter that stays open; polish: loss per
    face, mm; shrinkage: linear, per cent.
    """

    metal_mm: Limit = Limit(0.8, 1.0, "0.8 under a groove, a light cast band 1.0 to 1.2: common practice, no source")
    edge_mm: Limit = Limit(0.4, 0.6, "supported and unsupported wall of a printed pattern: a print service's guide")
    ridge_mm: Limit = Limit(0.3, 0.35, "0.3 is the finest castable wire or filigree: a trade article")
    groove_mm: Limit = Limit(0.3, 0.35, "0.3: common practice, no source; print guides ask 0.4 to 1.0 for a pattern")
    hollow_wall_mm: Limit = Limit(0.7, 0.85, "a hollow's wall is about 1 mm at most: common practice, no source")
    stone_gap_mm: Limit = Limit(0.1, 0.25, "metal between two stones' girdles: common practice, no source")
    stone_edge_mm: Limit = Limit(0.3, 0.5, "metal between a girdle and the band's edge: common practice, no source")
    seat_mm: Limit = Limit(0.25, 0.4, "metal between a girdle and the hollow: common practice, no source")
    culet_mm: Limit = Limit(0.0, 0.2, "the culet stays about 0.2 clear of the finger: a setter's practice, no source")
    web_mm: Limit = Limit(
        0.5, 0.7, "bars between pierced cells: unsupported wall of a print, common practice, no source"
    )
    hole_mm: Limit = Limit(0.5, 0.6, "holes under 0.5 may close: a print service's guide")
    relief_mm: Limit = Limit(0.1, 0.15, "raised detail at least 0.1 high: a print service's guide")
    draft_deg: Limit = Limit(0.0, 0.0, "none is needed where the pattern is burnt out or printed")
    polish: Allowance = Allowance(0.1, _TEAGUE)
    shrinkage: Allowance = Allowance(1.0, _CASTER)
    high_head_mm: float = 10.0
    high_head_source: str = "a dome wears heavy from about 10 mm on: common practice, no source"
    wide_head_mm: float = 20.0
    wide_head_source: str = "beyond, the finger's joint cannot bend freely: common practice, no source"
    heavy_g: float = 30.0
    heavy_source: str = _PRACTICE
    off_axis_mm: float = 4.0
    off_axis_source: str = _PRACTICE


LIMITS: Final[dict[Process, MakingLimits]] = {
    Process.PRINT_AND_CAST: MakingLimits(),
    Process.WAX_AND_CAST: MakingLimits(
        ridge_mm=Limit(0.4, 0.5),
        groove_mm=Limit(0.3, 0.4),
        edge_mm=Limit(0.5, 0.7),
        hole_mm=Limit(0.6, 0.8),
        relief_mm=Limit(0.1, 0.2),
        draft_deg=Limit(0.0, 5.0),
    ),
    Process.MOULD_AND_CAST: MakingLimits(
        ridge_mm=Limit(0.4, 0.5),
        groove_mm=Limit(0.4, 0.5),
        edge_mm=Limit(0.5, 0.7),
        hole_mm=Limit(0.8, 1.0),
        relief_mm=Limit(0.15, 0.2),
        draft_deg=Limit(3.0, 5.0),
        shrinkage=Allowance(3.5, "mould 0 to 1, wax 2.5, casting 1.0, added up: a trade caster's page"),
    ),
    Process.ENGRAVE_FLAT: MakingLimits(
        ridge_mm=Limit(0.2, 0.3),
        groove_mm=Limit(0.2, 0.3),
        relief_mm=Limit(0.05, 0.1),
        draft_deg=Limit(5.0, 10.0, "a cutter with slanting sides leaves slanting flanks: common practice, no source"),
        shrinkage=Allowance(0.0, "nothing is cast"),
    ),
    Process.PRINT_METAL: MakingLimits(
        metal_mm=Limit(0.6, 0.8),
        ridge_mm=Limit(0.3, 0.4),
        groove_mm=Limit(0.3, 0.4),
        shrinkage=Allowance(0.0, "the printer's own scaling is its operator's: common practice, no source"),
    ),
    Process.PRINT_MODEL: MakingLimits(
        metal_mm=Limit(0.6, 0.8, "unsupported wall of a printed part 0.6: a print service's guide"),
        ridge_mm=Limit(0.2, 0.3),
        groove_mm=Limit(0.2, 0.4, "engraved detail 0.4 wide: a print service's guide; 0.2 common practice, no source"),
        polish=Allowance(0.0, "a model is not polished"),
        shrinkage=Allowance(0.0, "nothing is cast"),
    ),
}
"""The limits of every process."""


def process_named(key: str) -> Process:
    """The process of that key. Raises `InputError` that lists the keys."""
    keys = [process.value for process in Process]
    if key not in keys:
        raise unknown_name(f'"{str(key)[:40]}" is not a way of making', key, keys, "make.process")
    return Process(key)


OWN_SOURCE: Final = "the maker's own, set in this design"

_REASON: Final = "no maker has such a limit"

Length: TypeAlias = Annotated[float, Within(0.0, 20.0, "mm", _REASON)]
HeadLength: TypeAlias = Annotated[float, Within(0.0, 50.0, "mm", _REASON)]
Angle: TypeAlias = Annotated[float, Within(0.0, 60.0, "degrees", _REASON)]
Weight: TypeAlias = Annotated[float, Within(0.0, 1000.0, "g", _REASON)]


@dataclass(frozen=True)
class OwnLimits:
    """One number each, or None for the process's own limit. Only a size under it is a finding, and that an error.

    metal_mm       least metal under a groove.
    edge_mm        height of the band's edge.
    ridge_mm       narrowest ridge.
    groove_mm      narrowest groove.
    hollow_wall_mm  metal over a hollow.
    stone_gap_mm   metal between two stones.
    stone_edge_mm  metal between a stone and the band's edge.
    seat_mm        metal between a stone and the hollow.
    culet_mm       how far a culet stays clear of the finger.
    web_mm         bars between pierced cells.
    hole_mm        narrowest hole.
    relief_mm      lowest relief.
    draft_deg      least lean of a flank from upright.
    high_head_mm   height of the head from which on it is called high.
    wide_head_mm   width from which on it is called wide.
    heavy_g        weight from which on the ring is called heavy.
    off_axis_mm    how far the centre of mass may lie off the finger's axis.

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


def judged(
    kind: Kind,
    limits: MakingLimits,
    name: str,
    measured: float | None,
    message: str,
    advice: str | Callable[[float], str],
    place: Floats | None = None,
    unit: str = "mm",
) -> list[Finding]:
    """Compare one measured size with one limit of the process.

    Parameters:
        kind: of the finding.
        limits: of the process.
        name: the limit's field in MakingLimits.
        measured: the size, or None where there is none.
        message: what is wrong.
        advice: what to do, or a function that takes the size to reach.
        place: (3,) point on the ring, mm.
        unit: of the size.
    Returns: no finding, or one that carries the limit and its name.
    """
    limit: Limit = getattr(limits, name)
    level = None if measured is None else limit.judge(measured)
    if level is None:
        return []
    bound = limit.bound(level)
    where, point = ("", None) if place is None else (words_for(place), as_place(place))
    said = advice if isinstance(advice, str) else advice(bound)
    return [Finding(kind, level, message, said, measured, bound, unit, where, point, name)]
