"""What proposals are made of: new values by field, lengths in hundredths, and the design with them."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any, Final

from ringtex.checks.check_ring import RingReadings
from ringtex.checks.finding import Finding
from ringtex.design.design import Design

Edit = dict[str, object]
"""New values by field, such as {"relief.wall_width_mm": 0.32}."""

Move = Callable[[Finding, Design, RingReadings], Iterator[Edit]]

STEP_MM: Final = 0.01
"""Lengths are proposed in hundredths, rounded to the safe side."""


def edited(design: Design, edit: Edit) -> Design:
    """The design with new values. Raises: InputError where they are not allowed."""
    for path, value in edit.items():
        stage, _, field = path.partition(".")
        part: Any = replace(getattr(design, stage), **{field: value}) if field else value
        design = replace(design, **{stage: part})
    return design


def up(value: float) -> float:
    """Rounded up to hundredths."""
    return round(math.ceil(value / STEP_MM - 1e-6) * STEP_MM, 6)


def down(value: float) -> float:
    """Rounded down to hundredths."""
    return round(math.floor(value / STEP_MM + 1e-6) * STEP_MM, 6)


def lacking(finding: Finding) -> float:
    """How much is missing to the limit, with a hair to spare."""
    return max((finding.limit or 0.0) - (finding.measured or 0.0), 0.0) + 1e-4
