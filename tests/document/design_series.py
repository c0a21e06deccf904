"""Designs that differ in one number, for tests that need many."""

from __future__ import annotations

from dataclasses import replace

from zoo import plain_design

from ringtex.design.design import Design
from ringtex.design.design_file import design_from_json

BASE = design_from_json(plain_design())


def ring(around: int) -> Design:
    """The plain ring with so many cells around."""
    return replace(BASE, pattern=replace(BASE.pattern, around=around))
