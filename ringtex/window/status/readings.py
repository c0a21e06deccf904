"""What the readings bar says, as plain text."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from ringtex.band.finger_size import SizeReading, size_in_every_scale
from ringtex.checks.check_ring import RingReadings
from ringtex.checks.finding import Finding, Level
from ringtex.checks.making.weights import Amounts, metal_cost, weights_in, weights_in_every_alloy
from ringtex.checks.ring_position import words_for
from ringtex.design.design import Design

SCALE_NAMES: Final = {"iso": "ISO", "us": "US", "uk": "UK", "jp": "JP", "it": "IT"}
LEVEL_WORDS: Final = {Level.ERROR: "Error", Level.WARNING: "Warning", Level.NOTE: "Note"}
MIN_OFF_MM: Final = 0.5
"""A centre of mass nearer to the middle has no side to show."""


@dataclass(frozen=True)
class Reading:
    """One figure: what it is, its value and unit, a line that explains it, and its place on the ring if it has one."""

    caption: str
    value: str
    unit: str
    about: str
    place: tuple[float, float, float] | None = None


COUNTED: Final = {
    "repeats": "Repeats of the motif on the whole ring",
    "rings": "Growth rings on the whole ring, those apart that a rail cuts in pieces",
}
"""What is counted where there are no cells."""

READINGS: Final = (
    Reading("Cells", "-", "", "Cells of the whole ring; a repeat of the pattern may hold several"),
    Reading(
        "Seam gap", "-", "mm", "Widest opening along the line where the strip closes; 0 because its points are shared"
    ),
    Reading("Thinnest metal", "-", "mm", "Least distance from the relief to the bore; click to see the place"),
    Reading("Ridge", "-", "mm", "Narrowest level strip of metal along a wall; - where there is none"),
    Reading("Groove", "-", "mm", "Narrowest gap between two cells; - where there is none"),
    Reading("Height", "-", "mm", "Largest height of the ring over its bore, relief included"),
    Reading("Hollow wall", "", "mm", "Thinnest metal between the hollow and the outside, or of its floor"),
    Reading("Weight", "-", "g", "Of the finished ring in the chosen alloy"),
    Reading("As cast", "", "g", "Before polishing, with the bore as it is cast; without sprue"),
    Reading("With stones", "", "g", "The finished ring and its stones, by their estimated weights"),
    Reading("Metal cost", "", "", "The metal as cast at the price you gave; without sprue, loss and work"),
    Reading("Balance", "-", "mm off", "How far the centre of mass lies from the finger's middle"),
)
"""Every figure of the bar with what it means, empty. One without a value is not shown."""


def readings_of(
    design: Design, counted: tuple[int, str], measured: RingReadings, amounts: Amounts, price_per_g: float | None
) -> list[Reading]:
    """The figures of a checked ring, in the order of READINGS; amounts: its metal; price_per_g: of its alloy.

    Parameters:
        design: the ring's design.
        counted: how many cells or repeats there are, and which of the two.
        measured: what the checks measured.
        amounts: its metal.
        price_per_g: of its alloy, or None.
    Returns: the figures, in order.
    """
    weights = weights_in(amounts, design.make.material, measured.stones_weight_g)
    walls = [wall for wall in (measured.hollow_wall_mm, measured.hollow_floor_mm) if wall is not None]
    values: list[tuple[str, tuple[float, float, float] | None]] = [
        (str(counted[0]), None),
        (f"{measured.seam_gap_mm:.3f}", None),
        (f"{measured.thinnest_metal_mm:.2f}", measured.thinnest_metal_place),
        (_length(measured.thinnest_ridge_mm), None),
        (_length(measured.thinnest_groove_mm), None),
        (f"{measured.height_mm:.2f}", None),
        (f"{min(walls):.2f}" if walls else "", None),
        (f"{weights.finished_g:.2f}", None),
        (f"{weights.cast_g:.2f}" if design.make.polish_mm > 0.0 else "", None),
        (f"{weights.with_stones_g:.2f}" if measured.stones_weight_g > 0.0 else "", None),
        ("" if price_per_g is None else f"{metal_cost(weights, price_per_g):.2f}", None),
        (f"{measured.off_axis_mm:.1f}", measured.centre_of_mass if measured.off_axis_mm > MIN_OFF_MM else None),
    ]
    about = {
        **({"Cells": COUNTED[counted[1]]} if counted[1] in COUNTED else {}),
        "Weight": _weight_words(design, amounts),
        "Balance": _balance_words(measured),
    }
    captions = {"Cells": counted[1].capitalize()}
    return [
        replace(empty, caption=captions.get(name, name), value=value, about=about.get(name, empty.about), place=place)
        for empty, (value, place) in zip(READINGS, values, strict=True)
        for name in (empty.caption,)
    ]


def _weight_words(design: Design, amounts: Amounts) -> str:
    """The alloy, and what the same ring weighs in every other metal."""
    lines = [f"Of the finished ring in {design.make.material.name}. The same ring in"]
    lines += [f"{each.alloy.name}: {each.finished_g:.2f} g" for each in weights_in_every_alloy(amounts, 0.0)]
    return "\n".join(lines)


def _balance_words(measured: RingReadings) -> str:
    """What the centre of mass means for wearing."""
    held = measured.holding_friction
    turns = "no friction holds a loose ring as it was put" if held is None else (
        f"a loose ring stays as it was put with friction of {held:.2f} or more"
    )  # fmt: skip
    return (
        f"The centre of mass lies {measured.off_axis_mm:.2f} mm from the finger's middle "
        f"({measured.moment_g_mm:.0f} g mm, stones counted): {turns}"
    )


NUMBERED: Final = {"iso": 0.0, "it": 40.0}
"""Scales on which every number is a size: the circumference in mm, less this."""

NUMBERED_OFF_MM: Final = 0.75
"""Further off its nearest mark than this a size has no mark of its own."""


def size_text(circumference_mm: float, scales: Sequence[str]) -> str:
    """The finger size in the chosen scales: "ISO 54  US 6 3/4 +0.2  UK N +0.3"."""
    readings = {reading.scale: reading for reading in size_in_every_scale(circumference_mm)}
    return "   ".join(_size(readings[scale]) for scale in scales if scale in readings)


def _size(reading: SizeReading) -> str:
    if reading.scale in NUMBERED and abs(reading.off_mm) >= NUMBERED_OFF_MM:
        number = reading.marked_circumference_mm + reading.off_mm - NUMBERED[reading.scale]
        return f"{SCALE_NAMES.get(reading.scale, reading.scale)} {number:.4g}"
    off = f" {reading.off_mm:+.1f}" if abs(reading.off_mm) >= 0.05 else ""
    return f"{SCALE_NAMES.get(reading.scale, reading.scale)} {reading.mark}{off}"


def finding_title(finding: Finding) -> str:
    """A finding in a few words: its level, its kind and the figure: "Warning: thin ridge 0.21 mm"."""
    name = finding.kind.value.replace("_", " ")
    unit = "" if finding.unit in ("", "1") or name.endswith(finding.unit) else f" {finding.unit}"
    measured = "" if finding.measured is None else f" {finding.measured:.3g}{unit}"
    return f"{LEVEL_WORDS[finding.level]}: {name}{measured}"


def finding_sentence(finding: Finding) -> str:
    """A finding in whole sentences: what, where, measured and limit, and what to do."""
    parts = [f"{finding.message} ({finding_where(finding)})", _measured(finding), finding.advice]
    return " ".join(f"{part}." for part in parts if part)


def finding_where(finding: Finding) -> str:
    """Where it is in words; the whole ring where it has no place."""
    if finding.where or finding.place is None:
        return finding.where or "the whole ring"
    return words_for(np.array(finding.place))


def _measured(finding: Finding) -> str:
    """Such as "Measured 0.12 mm, limit 0.3 mm", or the limit alone where the message says what was measured."""
    if finding.measured is None or not finding.limit:
        return ""
    unit = "" if finding.unit in ("", "1") else f" {finding.unit}"
    limit = f"imit {finding.limit:.3g}{unit}"
    said = any(f" {finding.measured:{form}} " in f"{finding.message} " for form in (".2f", ".1f", ".0f", "g"))
    return f"L{limit}" if said else f"Measured {finding.measured:.3g}{unit}, l{limit}"


def _length(value: float | None) -> str:
    return "-" if value is None else f"{value:.2f}"
