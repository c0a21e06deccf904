"""Finger sizes: five scales, each by one stated definition, and what published tables say otherwise."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from ringtex.basics.errors import InputError
from ringtex.basics.known_names import unknown_name

MIN_CIRCUMFERENCE_MM: Final = 36.0
MAX_CIRCUMFERENCE_MM: Final = 90.0
"""Sanity limits: half a UK size under the smallest mark of any scale, and well above the largest (76.25)."""

_INCH_MM: Final = 25.4
_FRACTIONS: Final = {"¼": " 1/4", "½": " 1/2", "¾": " 3/4"}
_QUARTERS: Final = ("", " 1/4", " 1/2", " 3/4")


@dataclass(frozen=True)
class SizeReading:
    """A circumference read on one scale.

    mark is the nearest marked size, marked_circumference_mm what that mark means, off_mm how much larger (positive) or
    smaller the read circumference is. definition says in words which rule was used; note says where published tables
    disagree with it, and by how much (empty where none is known).
    """

    scale: str
    mark: str
    marked_circumference_mm: float
    off_mm: float
    definition: str
    note: str = ""


@dataclass(frozen=True)
class _Scale:
    """A scale with equal steps of circumference; a place on it is a number of steps from its first mark."""

    name: str
    definition: str
    expected: str
    first_mm: float
    step_mm: float
    last: int
    read: Callable[[str], float | None]
    mark: Callable[[int], str]
    note: Callable[[int], str]
    between_marks: bool = False

    def circumference(self, steps: float) -> float:
        return self.first_mm + self.step_mm * steps


def _plain(text: str) -> str:
    """The text with one sort of fraction, decimal point and space."""
    for sign, words in _FRACTIONS.items():
        text = text.replace(sign, words)
    return " ".join(text.replace(",", ".").split())


def _number(text: str) -> float | None:
    """A decimal or a mixed fraction ("6.75", "6 3/4", "3/4"), or None."""
    if re.fullmatch(r"\d{1,4}(\.\d{0,9})?|\.\d{1,9}", text):
        return float(text)
    mixed = re.fullmatch(r"(?:(\d{1,3})[ -])?([1-9])/([248])", text)
    if mixed is None or int(mixed[2]) >= int(mixed[3]):
        return None
    return int(mixed[1] or 0) + int(mixed[2]) / int(mixed[3])


def _number_from(first: float, steps_per_number: float) -> Callable[[str], float | None]:
    """A reader of numbers as steps from the mark `first`."""

    def read(text: str) -> float | None:
        number = _number(text)
        return None if number is None else (number - first) * steps_per_number

    return read


def _read_letter(text: str) -> float | None:
    """UK letters as half sizes from A: "L", "l 1/2", "L.5", "Z+1", "Z+1 1/2"."""
    letter = re.fullmatch(r"([A-Z])(?: ?\+ ?([1-6]))?(?: ?(?:1/2|\.5))?", text.upper())
    if letter is None or (letter[2] and letter[1] != "Z"):
        return None
    whole = ord(letter[1]) - ord("A") + int(letter[2] or 0)
    return 2.0 * whole + float(text.endswith(("1/2", ".5")))


def _letter(steps: int) -> str:
    whole = steps // 2
    letter = chr(ord("A") + whole) if whole < 26 else f"Z+{whole - 25}"
    return letter + (" 1/2" if steps % 2 else "")


def _quarter(steps: int) -> str:
    return _QUARTERS[steps].strip() if 0 < steps < 4 else f"{steps // 4}{_QUARTERS[steps % 4]}"


def _us_diameter_in(size: float) -> float:
    return 0.458 + 0.032 * size


def _us_note(steps: int) -> str:
    """Two rival rules met in the trade: a stick with 13 = 0.875 in, and C = 36.3 + 2.60 n."""
    size = steps / 4
    ours = math.pi * _INCH_MM * _us_diameter_in(size)
    stick = math.pi * _INCH_MM * (0.454 + 0.0324 * size) - ours
    rule = 36.3 + 2.60 * size - ours
    return (
        "There is no official standard; the rival rule 0.454 in + 0.0324 in x n differs here by "
        f"{stick:+.2f} mm, the rule C = 36.3 + 2.60 n by {rule:+.2f} mm of circumference"
    )


def uk_chart_circumference_mm(half_sizes: int) -> float | None:
    """What the widespread US-UK conversion chart prints for a UK size, before its rounding to 0.1 mm, or None.

    half_sizes counts from A = 0. The chart hangs the letters on US quarter sizes (A is US 1/2) and leaves out I 1/2 and
    Y 1/2. Source: the table of the encyclopaedia article "Ring size" and printed charts with the same columns.
    """
    i_half, y_half, z_half = 17, 49, 51
    if half_sizes in (i_half, y_half) or half_sizes < 0 or half_sizes > z_half:
        return None
    quarters = half_sizes + 2 - (half_sizes > i_half) - (half_sizes > y_half)
    return math.pi * _INCH_MM * _us_diameter_in(quarters / 4)


def _uk_note(steps: int) -> str:
    chart = uk_chart_circumference_mm(steps)
    mark = _letter(steps)
    if chart is None:
        beyond = "stops before" if steps > 51 else "leaves out"
        return f"The common US-UK conversion chart {beyond} {mark}"
    off = chart - (37.5 + 0.625 * steps)
    return f"The common US-UK conversion chart prints {chart:.1f} mm for {mark}, {off:+.2f} mm from this definition"


def _jp_note(steps: int) -> str:
    label = round(math.pi * (13.0 + steps / 3.0))
    return f"The standard JIS S 4700 is another scale: it equals ISO 8653, where this mark is nearest to {label}"


_SCALES: Final[dict[str, _Scale]] = {
    "iso": _Scale(
        name="ISO",
        definition="ISO 8653: the inner circumference in mm; marked 41 to 76",
        expected="an inner circumference in mm from 36 to 90, such as 54 or 53.5",
        first_mm=41.0,
        step_mm=1.0,
        last=35,
        read=_number_from(41.0, 1.0),
        mark=lambda steps: str(41 + steps),
        note=lambda steps: "",
        between_marks=True,
    ),
    "us": _Scale(
        name="US",
        definition="US and Canada: inner diameter 0.458 in + 0.032 in x n; quarter sizes from 0 to 16",
        expected="a number from 0 to 16 in quarter sizes, such as 6.75 or 6 3/4",
        first_mm=math.pi * _INCH_MM * _us_diameter_in(0.0),
        step_mm=math.pi * _INCH_MM * 0.032 / 4.0,
        last=64,
        read=_number_from(0.0, 4.0),
        mark=_quarter,
        note=_us_note,
    ),
    "uk": _Scale(
        name="UK",
        definition="UK and Ireland: inner circumference 37.5 mm at A, 1.25 mm a letter; half sizes, after Z comes Z+1",
        expected="a letter A to Z or Z+1 to Z+6, with a half if wanted, such as L or L 1/2",
        first_mm=37.5,
        step_mm=0.625,
        last=62,
        read=_read_letter,
        mark=_letter,
        note=_uk_note,
    ),
    "jp": _Scale(
        name="Japan",
        definition="Japan, trade scale: inner diameter 13 mm + (n - 1) / 3 mm; whole sizes from 1 to 30",
        expected="a whole number from 1 to 30, such as 13",
        first_mm=math.pi * 13.0,
        step_mm=math.pi / 3.0,
        last=29,
        read=_number_from(1.0, 1.0),
        mark=lambda steps: str(1 + steps),
        note=_jp_note,
    ),
    "it": _Scale(
        name="Italy",
        definition="Italy, Spain and Switzerland: the inner circumference in mm less 40; marked 1 to 36",
        expected="a number from 0 to 50, the circumference in mm less 40, such as 14",
        first_mm=41.0,
        step_mm=1.0,
        last=35,
        read=_number_from(1.0, 1.0),
        mark=lambda steps: str(1 + steps),
        note=lambda steps: "An older Swiss chart prints 15 1/4 where this definition gives 14 1/2: up to 0.8 mm apart",
        between_marks=True,
    ),
}

SCALES: Final = tuple(_SCALES)
"""The scales' keys: iso, us, uk, jp, it."""


@dataclass(frozen=True)
class FingerSize:
    """A finger size on one of the scales, as the user wrote it.

    scale  which scale (`SCALES`).
    value  a text such as "54", "6 3/4", "L 1/2". ISO and Italian sizes may lie between marks; the other scales take
           their marks only.

    Raises `InputError` with what the scale expects.
    """

    scale: str
    value: str

    def __post_init__(self) -> None:
        if self.scale not in _SCALES:
            raise unknown_name(f'"{self.scale}" is not a size scale', self.scale, SCALES, "size.scale")
        if not isinstance(self.value, str):
            raise InputError("the size is not text", f"Give {self._scale.expected}, in quotes", "size.value")
        _ = self._steps

    @property
    def _scale(self) -> _Scale:
        return _SCALES[self.scale]

    @cached_property
    def _steps(self) -> float:
        scale = self._scale
        steps = scale.read(_plain(self.value))
        if steps is None:
            shown = self.value if len(self.value) <= 20 else self.value[:20] + "..."
            raise InputError(
                f'"{shown}" is not a size on the {scale.name} scale', f"Give {scale.expected}", "size.value"
            )
        circumference = scale.circumference(steps)
        sane = MIN_CIRCUMFERENCE_MM <= circumference <= MAX_CIRCUMFERENCE_MM
        if not sane or (not scale.between_marks and not 0 <= steps <= scale.last):
            raise InputError(f"{scale.name} {self.value} is beyond the scale", f"Give {scale.expected}", "size.value")
        if not scale.between_marks and steps != round(steps):
            message = f"{scale.name} {self.value} lies between two sizes of the scale"
            raise InputError(message, f"Give {scale.expected}, or the circumference on the iso scale", "size.value")
        return steps

    @property
    def circumference_mm(self) -> float:
        """Inner circumference, mm, by the scale's definition."""
        return self._scale.circumference(self._steps)

    @property
    def diameter_mm(self) -> float:
        """Inner diameter, mm."""
        return self.circumference_mm / math.pi

    @property
    def label(self) -> str:
        """The size in one way of writing, with its scale: "ISO 54", "US 6 3/4", "UK L 1/2"."""
        steps = round(self._steps)
        if steps == self._steps and 0 <= steps <= self._scale.last:
            return f"{self._scale.name} {self._scale.mark(steps)}"
        return f"{self._scale.name} {_number(_plain(self.value)):g}"


def check_circumference(circumference_mm: float) -> float:
    """The circumference if it can be a finger's. Raises `InputError` for NaN, infinity and absurd values."""
    if not MIN_CIRCUMFERENCE_MM <= circumference_mm <= MAX_CIRCUMFERENCE_MM:
        raise InputError(
            f"an inner circumference of {circumference_mm:g} mm is not a finger's",
            f"Give {MIN_CIRCUMFERENCE_MM:g} to {MAX_CIRCUMFERENCE_MM:g} mm",
            "size.value",
        )
    return circumference_mm


def size_on(scale_key: str, circumference_mm: float) -> SizeReading:
    """The nearest marked size on one scale. Raises `InputError` for an unknown scale or an absurd circumference."""
    if scale_key not in _SCALES:
        raise unknown_name(f'"{scale_key}" is not a size scale', scale_key, SCALES, "size.scale")
    scale = _SCALES[scale_key]
    steps = (check_circumference(circumference_mm) - scale.first_mm) / scale.step_mm
    nearest = min(max(round(steps), 0), scale.last)
    marked, note = scale.circumference(nearest), scale.note(nearest)
    if abs(steps - nearest) > 0.5 + 1e-9:
        note = "; ".join(part for part in ("Beyond the last mark of this scale", note) if part)
    return SizeReading(scale_key, scale.mark(nearest), marked, circumference_mm - marked, scale.definition, note)


def size_in_every_scale(circumference_mm: float) -> list[SizeReading]:
    """The nearest marked size on every scale, in the order of `SCALES`. Raises `InputError` for an absurd value."""
    return [size_on(scale, circumference_mm) for scale in SCALES]
