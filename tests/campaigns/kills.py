"""Processes killed while they write: no half file, nothing that stays, no process that goes on.

    PYTHONPATH=. python3 tests/campaigns/kills.py [COUNT] [--seed SEED]

In turn: a writer of one large file, a size run with two workers, a window's autosave. Each is ended at a random moment
by SIGTERM, SIGHUP or SIGKILL. Then: what was written before is whole, old or new; workers are gone; the next writing in
the folder leaves nothing of the dead one. Ends with 1 where anything went wrong.
"""

from __future__ import annotations

import argparse
import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from ringtex.basics.safe_files import write_bytes
from ringtex.document.autosave import lost_work

ROOT = Path(__file__).resolve().parents[2]
SIGNALS = (signal.SIGTERM, signal.SIGHUP, signal.SIGKILL)
WORKERS_SECONDS = 2.0
"""Workers end with their parent within this, on a machine that has time for them."""

WRITER = """
import sys
from ringtex.basics.safe_files import end_cleanly_on_signals, write_bytes
end_cleanly_on_signals()
print("ready", flush=True)
number = 0
while True:
    number += 1
    write_bytes("ring.stl", bytes([number % 251]) * 3_000_000)
"""
AUTOSAVE = """
from pathlib import Path
from dataclasses import replace
from ringtex.design.design_file import read_design
from ringtex.document.autosave import Autosave
autosave, design, number = Autosave(Path(".")), read_design(Path(DEMO)), 0
print("ready", flush=True)
while True:
    number += 1
    autosave.write(replace(design, name=f"ring {number}"), None, "ring").result()
"""
RUN = """
import sys
from ringtex.command.main import run_command
print("ready", flush=True)
run_command(["run", DEMO, "--sizes", "50 52 54 56", "--keep", "cells", "--out-dir", ".", "--tolerance", "0.03",
             "--workers", "2"])
"""


def children_of(number: int) -> list[int]:
    """The processes that a process began."""
    try:
        text = Path(f"/proc/{number}/task/{number}/children").read_text(encoding="ascii")
    except OSError:
        return []
    return [int(child) for child in text.split()]


def runs(number: int) -> bool:
    """Whether a process still works."""
    try:
        return Path(f"/proc/{number}/stat").read_bytes().rpartition(b")")[2].split()[0] not in (b"Z", b"X")
    except OSError:
        return False


def killed(code: str, folder: Path, chance: random.Random, longest: float) -> tuple[int, list[int]]:
    """Begin, wait a random while, kill; gives the signal and the processes that it had begun."""
    demo = ROOT / "demo_patterns" / "plain_flat.ring.json"
    command = [sys.executable, "-c", code.replace("DEMO", repr(str(demo)))]
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    with subprocess.Popen(
        command, cwd=folder, env=environment, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, start_new_session=True
    ) as job:
        assert job.stdout is not None
        job.stdout.readline()
        time.sleep(chance.uniform(0.0, longest))
        begun, number = children_of(job.pid), chance.choice(SIGNALS)
        job.send_signal(number)
        job.wait()
    return number, begun


def faults(kind: str, folder: Path, begun: list[int]) -> list[str]:
    """What went wrong, in words."""
    found = []
    since = time.monotonic()
    while any(map(runs, begun)) and time.monotonic() - since < 60.0:
        time.sleep(0.02)
    if any(map(runs, begun)):
        found.append("a worker goes on")
    elif time.monotonic() - since > WORKERS_SECONDS:
        found.append(f"slow: workers took {time.monotonic() - since:.1f} s")
    if kind == "autosave":
        for work in lost_work(folder):
            work.discard()
    write_bytes(folder / "next", b"")
    for path in folder.iterdir():
        data = path.read_bytes()
        if path.name.startswith("."):
            found.append(f"{path.name} stays")
        elif kind == "writer" and path.name == "ring.stl" and (len(data) != 3_000_000 or len(set(data)) != 1):
            found.append("half a file")
        elif kind == "run" and path.suffix == ".stl" and len(data) != 84 + 50 * int.from_bytes(data[80:84], "little"):
            found.append("half a mesh")
        elif kind == "autosave" and path.name != "next":
            found.append(f"{path.name} stays")
    return found


def main() -> int:
    """Run the campaign."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("count", type=int, nargs="?", default=1_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--seconds", type=float, default=float("inf"), help="stop after so many")
    arguments = parser.parse_args()
    chance = random.Random(arguments.seed)
    kinds = (("writer", WRITER, 0.3), ("run", RUN, 4.0), ("autosave", AUTOSAVE, 0.5))
    counts: Counter[tuple[str, str]] = Counter()
    wrong, since = 0, time.monotonic()
    for number in range(arguments.count):
        if time.monotonic() - since > arguments.seconds:
            break
        kind, code, longest = kinds[number % len(kinds)]
        with tempfile.TemporaryDirectory() as name:
            ended, begun = killed(code, Path(name), chance, longest)
            found = faults(kind, Path(name), begun)
        counts[kind, signal.Signals(ended).name] += 1
        for fault in found:
            print(f"{number} {kind} {signal.Signals(ended).name}: {fault}", flush=True)
        wrong += any(not fault.startswith("slow") for fault in found)
    for (kind, name), count in sorted(counts.items()):
        print(f"{kind:<10}{name:<10}{count:>6}")
    print(f"{counts.total()} kills in {time.monotonic() - since:.0f} s, seed {arguments.seed}, {wrong} went wrong")
    return int(wrong > 0)


if __name__ == "__main__":
    sys.exit(main())
