"""A number's limits, stated once: in the annotation of the options' field, where checks and settings read them.

>>> from dataclasses import dataclass
>>> from typing import Annotated
>>> @dataclass(frozen=True)
... class Hole:
...     diameter_mm: Annotated[float, Within(0.5, 5.0, "mm")]
...     def __post_init__(self) -> None:
...         require_limits(self, "hole")
>>> limits_of(Hole, "diameter_mm").high
5.0
>>> Hole(7.0)
Traceback (most recent call last):
ringtex.basics.errors.InputError: hole.diameter: 7 is out of reach. Use 0.5 to 5 mm
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from functools import cache
from typing import Annotated, Any, Final, get_args, get_origin, get_type_hints

from ringtex.basics.errors import InputError


@dataclass(frozen=True)
class Within:
    """The least and the largest value of a number, both included.

    unit is added to the numbers in messages ("mm", "degrees", "of the width"); reason, without a full stop, says why
    the limits stand.
    """

    low: float
    high: float
    unit: str = ""
    reason: str = ""


FRACTION: Final = Within(0.0, 1.0)
"""A parameter from 0 to 1."""


LEFT_OUT_WHEN_EMPTY: Final = {"left_out_when_empty": True}
"""Metadata of a field that is not written to a file where it is empty, so that files from before it stay the same."""


def key_of(field_name: str) -> str:
    """The key under which a field stands in a file: its name without the unit."""
    return field_name.removesuffix("_mm").removesuffix("_deg")


def limits_of(kind: Any, field_name: str) -> Within | None:
    """The limits of an options' field; None where it states none. Raises: KeyError for no such field."""
    return _limits_in(_hints(kind)[field_name])


def require_limits(options: Any, where: str) -> None:
    """Refuse the first number of frozen options, in the fields' order, that is outside the limits of its field.

    `where` is the key path of the options. Numbers inside tuples have their limits in the tuple's annotation. A field
    that may also be None or a word is checked only where it is a number.
    Raises: InputError.
    """
    for name, hint in _limited_fields(options.__class__):
        _require(hint, getattr(options, name), f"{where}.{key_of(name)}" if where else key_of(name))


def require_within(value: object, limits: Within, where: str, whole: bool = False) -> None:
    """Refuse what is not a finite number within the limits.

    Parameters:
        value: what was given.
        limits: the least and the largest value.
        where: the key path of the value.
        whole: only whole numbers will do.
    Raises: InputError.
    """
    kind = "a whole number" if whole else "a number"
    span = f"{limits.low:g} to {limits.high:g}" if not whole else f"{limits.low:.0f} to {limits.high:.0f}"
    unit = f" {limits.unit}" if limits.unit else ""
    advice = f"Use {span}{unit}"
    if isinstance(value, bool) or not isinstance(value, int if whole else int | float) or not math.isfinite(value):
        raise InputError(f"{kind} was expected, not {value!r}", advice, where)
    if limits.low <= value <= limits.high:
        return
    shown = str(value) if whole else f"{value:g}"
    if limits.reason:
        side = "small" if value < limits.low else "large"
        raise InputError(f"{shown}{unit} is too {side}: {limits.reason}", advice, where)
    raise InputError(f"{shown} is out of reach", advice, where)


@cache
def _hints(kind: Any) -> dict[str, Any]:
    return get_type_hints(kind, include_extras=True)


@cache
def _limited_fields(kind: Any) -> tuple[tuple[str, Any], ...]:
    """Name and type of every field whose type states limits."""
    hints = _hints(kind)
    return tuple((field.name, hints[field.name]) for field in fields(kind) if _limits_in(hints[field.name]))


def _limits_in(hint: Any) -> Within | None:
    """The first limits anywhere in a type."""
    if get_origin(hint) is Annotated:
        for extra in get_args(hint)[1:]:
            if isinstance(extra, Within):
                return extra
    return next((found for part in get_args(hint) if (found := _limits_in(part)) is not None), None)


def _require(hint: Any, value: Any, where: str) -> None:
    """Check a value, or all numbers in a tuple, against the limits in its type."""
    origin, parts = get_origin(hint), get_args(hint)
    if origin is Annotated:
        for limits in parts[1:]:
            if isinstance(limits, Within):
                require_within(value, limits, where, whole=parts[0] is int)
    elif origin is tuple:
        inner = (parts[0],) * len(value) if parts[-1] is Ellipsis else parts
        for at, (part, item) in enumerate(zip(inner, value, strict=True)):
            _require(part, item, f"{where}[{at}]")
    elif not any(part is type(value) or value in get_args(part) for part in parts if get_origin(part) is not Annotated):
        for part in parts:
            _require(part, value, where)
