"""Timing and tables for the benchmarks. Nothing here fails on a slow machine: they print, and people judge."""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]


def seconds(work: Callable[[], object], repeats: int = 5, clock: Callable[[], float] = time.perf_counter) -> float:
    """Median seconds of some runs, after one that is not counted, on the wall or by another clock."""
    work()
    taken = []
    for _ in range(repeats):
        start = clock()
        work()
        taken.append(clock() - start)
    return statistics.median(taken)


def print_table(title: str, head: Sequence[str], rows: Sequence[Sequence[object]]) -> None:
    """A table with a ruled head, everything to the right."""
    cells = [[*head], *([*map(_text, row)] for row in rows)]
    widths = [max(len(row[column]) for row in cells) for column in range(len(head))]
    print(f"\n{title}")
    for number, row in enumerate(cells):
        print("  " + "  ".join(text.rjust(width) for text, width in zip(row, widths, strict=True)))
        if number == 0:
            print("  " + "  ".join("-" * width for width in widths))
    sys.stdout.flush()


def _text(value: object) -> str:
    if isinstance(value, float):
        return f"{value:.0f}" if abs(value) >= 1000.0 else f"{value:.3g}"
    return str(value)
