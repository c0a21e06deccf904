"""Sliders moved in the open window for minutes or an hour: how much memory that takes, and whether it ends.

    PYTHONPATH=. python3 tests/campaigns/slider_moves.py [MINUTES] [--seed SEED] [--every SECONDS] [--trace]

In turn a ring is opened, and numbers of it are dragged to and fro in 40 steps of 16 ms with rests in which the final
ring is built. Prints at intervals: moves, drafts, final rings, errors, memory of the process, and bytes that Python's
own objects and numpy hold (with --trace also the lines that allocated most of what was added). Ends with 1 where the
memory of the last third is over that of the first third by more than 15 per cent and 40 MB.
"""

from __future__ import annotations

import argparse
import ctypes
import gc
import os
import random
import sys
import tempfile
import time
import tracemalloc
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT)]

import numpy as np  # noqa: E402
from PySide6.QtTest import QTest  # noqa: E402

from ringtex.basics.errors import InputError  # noqa: E402
from ringtex.basics.resources import demo_folder  # noqa: E402
from ringtex.design.design import Design  # noqa: E402
from ringtex.design.design_file import read_design  # noqa: E402
from ringtex.edits.design_keys import with_one  # noqa: E402
from ringtex.window.app.application import make_application  # noqa: E402
from ringtex.window.app.main_window import MainWindow  # noqa: E402

MALLINFO = "arena ordblks smblks hblks hblkhd usmblks fsmblks uordblks fordblks keepcost"
"""Fields of mallinfo2(3)."""
STEPS, STEP_MS, REST_S = 40, 16, 6.0
RINGS = ("half_round", "dome", "plain_flat", "hollow_dome", "even_dome")
GROWTH, SLACK_MB = 1.15, 40.0


SLIDERS = {
    "relief.depth": (0.15, 0.45),
    "relief.wall_width": (0.2, 0.5),
    "relief.flank": (50.0, 85.0),
    "relief.corner": (0.0, 0.1),
    "pattern.around": (8, 38),
    "pattern.scatter": (0.0, 0.6),
    "rails.lower": (0.0, 1.2),
    "rails.upper": (0.0, 1.2),
}
"""Keys with the ends of their sliders."""


def moved(design: Design, key: str, at: float) -> Design:
    """The design with one number at a fraction of its slider's way, 0 to 1."""
    low, high = SLIDERS[key]
    value = low + (high - low) * at
    return with_one(design, key, round(value) if isinstance(low, int) else value)


def resident_mb() -> float:
    """Memory that the process has in use."""
    pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


def arena_mb() -> tuple[float, float]:
    """What the C library's allocator has handed out, and what it holds free."""

    class Info(ctypes.Structure):
        _fields_ = [(name, ctypes.c_size_t) for name in MALLINFO.split()]

    call = ctypes.CDLL(None).mallinfo2
    call.restype = Info
    found = call()
    return (found.uordblks + found.hblkhd) / 1e6, found.fordblks / 1e6


def arrays_mb() -> float:
    """Bytes of the numpy arrays that Python's collector can see from some object, each counted once."""
    seen: dict[int, int] = {}
    for thing in gc.get_objects():
        inside = vars(thing).values() if hasattr(thing, "__dict__") and not isinstance(thing, type) else ()
        if isinstance(thing, (list, tuple)):
            inside = thing
        elif isinstance(thing, dict):
            inside = thing.values()
        for value in inside:
            while isinstance(value, np.ndarray):
                if value.base is None:
                    seen[id(value)] = value.nbytes
                value = value.base
    return sum(seen.values()) / 1e6


class Mover:
    """A hand on the sliders of an open window."""

    def __init__(self, window: MainWindow, seed: int) -> None:
        self.window = window
        self.chance = random.Random(seed)
        self.counts: Counter[str] = Counter()
        window.worker.built.connect(lambda view: self.counts.update(["drafts" if view.is_draft else "final rings"]))
        window.worker.failed.connect(lambda _design, _error: self.counts.update(["refused"]))

    def open(self, name: str) -> None:
        self.window.document.new(read_design(demo_folder() / f"{name}.ring.json"), name)
        self.rest()

    def rest(self) -> None:
        """Until the final ring is there, or it takes too long."""
        until = time.monotonic() + REST_S
        while time.monotonic() < until:
            QTest.qWait(50)
            if self.window.worker.idle:
                return

    def drag(self) -> None:
        """One number to and fro, as one step of the history."""
        document, key = self.window.document, self.chance.choice(sorted(SLIDERS))
        low, high = sorted((self.chance.random(), self.chance.random()))
        document.begin_drag(f"change the {key}")
        for step in range(STEPS):
            part = 1.0 - abs(2.0 * step / (STEPS - 1) - 1.0)
            try:
                document.change(moved(document.design, key, low + (high - low) * part), "drag")
            except InputError:
                self.counts["cannot be"] += 1
            self.counts["moves"] += 1
            QTest.qWait(STEP_MS)
        document.end_drag()
        self.counts["drags"] += 1


def report(mover: Mover, since: float, before: tracemalloc.Snapshot | None) -> float:
    """A line of counts and memory; gives the memory."""
    held, free = arena_mb()
    memory = resident_mb()
    counts = ", ".join(f"{count:,} {name}" for name, count in sorted(mover.counts.items()))
    print(
        f"{(time.monotonic() - since) / 60.0:6.1f} min  {memory:6.0f} MB  allocator {held:.0f} used, {free:.0f} free; "
        f"arrays {arrays_mb():.0f} MB; {counts}",
        flush=True,
    )
    if before is not None:
        for line in tracemalloc.take_snapshot().compare_to(before, "lineno")[:8]:
            print(f"      {line}", flush=True)
    return memory


def run(minutes: float, seed: int, every: float, trace: bool) -> bool:
    """Move until the time is over. Gives whether the memory stayed."""
    application = make_application(["ringtex"])
    window = MainWindow()
    window.resize(1280, 720)
    window.begin([])
    window.show()
    QTest.qWaitForWindowExposed(window)
    mover, since, told, before = Mover(window, seed), time.monotonic(), 0.0, None
    memories: list[float] = []
    turn = 0
    while (gone := time.monotonic() - since) < 60.0 * minutes:
        if turn % 6 == 0:
            mover.open(RINGS[turn // 6 % len(RINGS)])
        mover.drag()
        mover.rest()
        turn += 1
        if gone - told >= every:
            told = gone
            memories.append(report(mover, since, before))
            if trace and before is None:
                tracemalloc.start(1)
                before = tracemalloc.take_snapshot()
    memories.append(report(mover, since, before))
    window.document.save(Path(tempfile.mkdtemp()) / "end.ring.json")
    window.close_without_asking()
    del application
    third = max(len(memories) // 3, 1)
    first, last = max(memories[:third]), max(memories[-third:])
    print(f"seed {seed}: first third at most {first:.0f} MB, last third {last:.0f} MB")
    return last <= max(GROWTH * first, first + SLACK_MB)


def main() -> int:
    """Run the campaign."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("minutes", type=float, nargs="?", default=10.0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--every", type=float, default=30.0, help="seconds between two reports")
    parser.add_argument("--trace", action="store_true", help="say which lines allocated what was added")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        for name in ("XDG_CONFIG_HOME", "XDG_STATE_HOME", "XDG_DATA_HOME", "XDG_CACHE_HOME"):
            os.environ[name] = folder
        return 0 if run(asked.minutes, asked.seed, asked.every, asked.trace) else 1


if __name__ == "__main__":
    sys.exit(main())
