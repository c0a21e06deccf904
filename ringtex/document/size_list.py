"""Lists of finger sizes as a person types them."""

from __future__ import annotations

import math
from typing import Final

from ringtex.band.finger_size import FingerSize, size_on
from ringtex.basics.errors import InputError

WHOLE_SIZE_MM: Final = {"iso": 1.0, "us": math.pi * 25.4 * 0.032, "uk": 1.25, "jp": math.pi / 3.0, "it": 1.0}
"""What one whole size is more round the finger, by each scale's own definition (see `band/finger_size.py`)."""

MAX_SIZES: Final = 100


def sizes_in(text: str, scale: str) -> tuple[FingerSize, ...]:
    """The sizes in a list, parted by commas or, where there is none, by spaces.

    Raises: InputError with what the scale expects.
    """
    parts = text.split(",") if "," in text else text.split()
    return tuple(FingerSize(scale.lower(), part.strip()) for part in parts if part.strip())


def sizes_between(scale: str, first: str, last: str, step: float) -> tuple[FingerSize, ...]:
    """From one size to another of the same scale, every `step` whole sizes (0.5: half sizes); the last where it is met.

    Raises: InputError for a size that the scale does not have, a step that is none, or too many sizes.
    """
    begin, end = FingerSize(scale, first).circumference_mm, FingerSize(scale, last).circumference_mm
    if not (math.isfinite(step) and step > 0.0):
        raise InputError(f"{step:g} is no step between sizes", "Give 1 for every size, 0.5 for half sizes", "--step")
    if end < begin:
        raise InputError("the last size is smaller than the first", "Give the smaller one first", "--sizes")
    stride = step * WHOLE_SIZE_MM[scale]
    count = math.floor((end - begin) / stride + 1e-6) + 1
    if count > MAX_SIZES:
        raise InputError(f"these are {count} sizes", f"Give at most {MAX_SIZES}: a larger step", "--sizes")
    return tuple(_at(scale, begin + number * stride) for number in range(count))


def _at(scale: str, circumference_mm: float) -> FingerSize:
    """The size with that circumference. Raises: InputError where it lies between the scale's sizes."""
    reading = size_on(scale, circumference_mm)
    if abs(reading.off_mm) < 1e-6:
        return FingerSize(scale, reading.mark)
    if scale in ("iso", "it"):
        return FingerSize(scale, f"{circumference_mm - (40.0 if scale == 'it' else 0.0):.9g}")
    raise InputError(
        f"the step leads to a size between {reading.mark} and the next", "Give a step that the scale has", "--step"
    )


def list_text(sizes: tuple[FingerSize, ...]) -> str:
    """The sizes as `sizes_in` reads them."""
    between = ", " if any(" " in size.value for size in sizes) else " "
    return between.join(size.value for size in sizes)
