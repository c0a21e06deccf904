"""Painters that end with their block."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from PySide6.QtGui import QPaintDevice, QPainter


@contextmanager
def painting(device: QPaintDevice) -> Iterator[QPainter]:
    """A painter that is ended whatever happens. One that an error's traceback, or a profiler, keeps alive in its frame
    would still be at work when Qt shows the widget, and end the program with a crash."""
    painter = QPainter(device)
    try:
        yield painter
    finally:
        painter.end()
