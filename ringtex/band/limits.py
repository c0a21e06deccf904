"""Refusing numbers that no ring can have, in one sentence each."""

from __future__ import annotations

import math

from ringtex.basics.errors import InputError


def require_between(value: float, low: float, high: float, unit: str, where: str, reason: str) -> None:
    """Refuse a value that is not a finite number from low to high.

    Parameters: value; low, high (included); unit ("mm", "degrees" or ""); where (the key, such as
    "band.stations[0].width"); reason (why the limit stands, without a full stop).
    Raises: InputError.
    """
    unit = f" {unit}" if unit else ""
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise InputError(
            f"A number is wanted here, not {value!r}", f"Give a number from {low:g} to {high:g}{unit}", where
        )
    if not math.isfinite(value):
        raise InputError(f"{value} is not a usable number", f"Give a number from {low:g} to {high:g}{unit}", where)
    if not low <= value <= high:
        side = "small" if value < low else "large"
        raise InputError(f"{value:g}{unit} is too {side}: {reason}", f"Give {low:g} to {high:g}{unit}", where)
