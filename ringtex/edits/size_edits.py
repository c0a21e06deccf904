"""Finger sizes changed: to another scale, and from mark to mark."""

from __future__ import annotations

from typing import Final

from ringtex.band.finger_size import FingerSize, SizeReading, size_on
from ringtex.basics.errors import InputError

BETWEEN_MARKS: Final = ("iso", "it")


def size_as(scale: str, circumference_mm: float) -> FingerSize:
    """The size on another scale: the same where the scale reads millimetres, else its nearest mark."""
    less = {"iso": 0.0, "it": 40.0}
    if scale in less:
        return FingerSize(scale, f"{round(circumference_mm - less[scale], 2):g}")
    return FingerSize(scale, size_on(scale, circumference_mm).mark)


def size_stepped(size: FingerSize, count: int) -> FingerSize:
    """The size so many marks up or down. Raises: InputError beyond the scale."""
    if size.scale in BETWEEN_MARKS:
        value = float(size.value.replace(",", ".")) if " " not in size.value else None
        shown = value if value is not None else size_as(size.scale, size.circumference_mm).value
        return FingerSize(size.scale, f"{round(float(shown) + count, 2):g}")
    reading = size_on(size.scale, size.circumference_mm)
    for _ in range(abs(count)):
        reading = _next_mark(reading, 1.0 if count > 0 else -1.0)
    return FingerSize(size.scale, reading.mark)


def _next_mark(reading: SizeReading, sign: float) -> SizeReading:
    """The neighbouring mark. Raises: InputError beyond the scale."""
    for tenth in range(1, 30):
        found = size_on(reading.scale, reading.marked_circumference_mm + sign * 0.1 * tenth)
        if found.mark != reading.mark:
            return found
    raise InputError(f"{reading.mark} is the last mark of its scale", "Take another scale", "size.value")
