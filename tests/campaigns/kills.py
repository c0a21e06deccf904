"""Processes killed while they write: no half file, nothing that stays, no process that goes on.

    PYTHONPATH=. python3 tests/campaigns/kills.py [COUNT] [--from NUMBER] [--seed SEED] [--seconds S] [--keep FOLDER]

In turn: a writer of one large file, a size run with two workers, a window's autosave, its remembered settings. Each is
ended at a random moment by SIGTERM, SIGHUP or SIGKILL. Then: what was written before is whole, old or new; workers are
gone; the next writing in the folder leaves nothing of the dead one. Kill number N of a seed is always the same, so that
`--from N` with a count of 1 repeats it. What goes wrong is repeated with ever shorter waits, and the folder of the
shortest that went wrong is kept. Ends with 1 where anything went wrong.
"""

from __future__ import annotations

import argparse
import os
import random
import re
import shutil
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

SETTINGS = """
import os
os.environ["XDG_CONFIG_HOME"] = os.getcwd()
from pathlib import Path
from PySide6.QtCore import QCoreApplication
from ringtex.window.app.preferences import Preferences
application = QCoreApplication([])
preferences, number = Preferences(), 0
print("ready", flush=True)
while True:
    number += 1
    preferences.set_scales([f"scale {number}"] * 3)
    preferences._store.sync()
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


def killed(code: str, folder: Path, number: int, wait: float) -> list[int]:
    """Begin, wait, kill by signal `number`; gives the processes that it had begun."""
    demo = ROOT / "demo_patterns" / "plain_flat.ring.json"
    command = [sys.executable, "-c", code.replace("DEMO", repr(str(demo)))]
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    with subprocess.Popen(
        command, cwd=folder, env=environment, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, start_new_session=True
    ) as job:
        assert job.stdout is not None
        job.stdout.readline()
        time.sleep(wait)
        begun = children_of(job.pid)
        job.send_signal(number)
        job.wait()
    return begun


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
        if path.is_dir():
            continue
        data = path.read_bytes()
        if path.name.startswith("."):
            found.append(f"{path.name} stays")
        elif kind == "writer" and path.name == "ring.stl" and (len(data) != 3_000_000 or len(set(data)) != 1):
            found.append("half a file")
        elif kind == "run" and path.suffix == ".stl" and len(data) != 84 + 50 * int.from_bytes(data[80:84], "little"):
            found.append("half a mesh")
        elif kind == "autosave" and path.name != "next":
            found.append(f"{path.name} stays")
    if kind == "settings":
        found += settings_faults(folder)
    return found


def settings_faults(folder: Path) -> list[str]:
    """The settings file is whole, old or new, and the next window can write it: Qt's own lock must not hold it up."""
    file = folder / "ringtex" / "window.ini"
    if not file.exists():
        return []
    scales = re.findall(r"scale (\d+)", file.read_text(encoding="utf-8"))
    found = [] if len(scales) == 3 and len(set(scales)) == 1 else [f"settings are damaged: {file.read_bytes()[:80]!r}"]
    code = SETTINGS.partition("print(")[0] + "preferences.set_scales(['new']); preferences._store.sync()"
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    subprocess.run([sys.executable, "-c", code], cwd=folder, env=environment, check=True, timeout=60)
    return found if "new" in file.read_text(encoding="utf-8") else [*found, "settings can no longer be written"]


KINDS = (("writer", WRITER, 0.3), ("run", RUN, 4.0), ("autosave", AUTOSAVE, 0.5), ("settings", SETTINGS, 0.2))
"""Each kind, its program, and the longest wait."""


def one_kill(kind: str, code: str, number: int, wait: float, keep: Path | None = None) -> list[str]:
    """Kill one process; gives what went wrong, and then keeps its folder."""
    with tempfile.TemporaryDirectory() as name:
        found = faults(kind, Path(name), killed(code, Path(name), number, wait))
        if keep is not None and any(not fault.startswith("slow") for fault in found):
            shutil.copytree(name, keep, dirs_exist_ok=True)
            (keep / "what_went_wrong.txt").write_text(f"{kind}, signal {number}, after {wait:.4f} s: {found}\n")
    return found


def shortest_wait(kind: str, code: str, number: int, wait: float, keep: Path) -> float:
    """The shortest of ever shorter waits after which it goes wrong again; its folder is kept."""
    for shorter in (wait * 0.75**step for step in range(1, 13)):
        found = one_kill(kind, code, number, shorter, keep)
        wait = shorter if any(not fault.startswith("slow") for fault in found) else wait
    return wait


def main() -> int:
    """Run the campaign."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("count", type=int, nargs="?", default=1_000)
    parser.add_argument("--from", type=int, default=0, dest="first", help="number of the first kill")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--seconds", type=float, default=float("inf"), help="stop after so many")
    parser.add_argument("--keep", type=Path, default=Path("out/kills"))
    asked = parser.parse_args()
    counts: Counter[tuple[str, str]] = Counter()
    wrong, slow, since = 0, 0, time.monotonic()
    for place in range(asked.first, asked.first + asked.count):
        if time.monotonic() - since > asked.seconds:
            break
        chance = random.Random(f"{asked.seed}:{place}")
        kind, code, longest = KINDS[place % len(KINDS)]
        number, wait, keep = chance.choice(SIGNALS), chance.uniform(0.0, longest), asked.keep / f"{asked.seed}-{place}"
        found = one_kill(kind, code, number, wait, keep)
        counts[kind, signal.Signals(number).name] += 1
        for fault in found:
            print(f"{place} {kind} {signal.Signals(number).name}: {fault}", flush=True)
        slow += any(fault.startswith("slow") for fault in found)
        if any(not fault.startswith("slow") for fault in found):
            wrong += 1
            print(f"{place}: shortest wait {shortest_wait(kind, code, number, wait, keep):.4f} s", flush=True)
    for (kind, name), count in sorted(counts.items()):
        print(f"{kind:<10}{name:<10}{count:>6}")
    last = f"{counts.total()} kills in {time.monotonic() - since:.0f} s, seed {asked.seed} from {asked.first}"
    print(f"{last}, {wrong} went wrong, {slow} with workers that took over {WORKERS_SECONDS:g} s")
    return int(wrong > 0)


if __name__ == "__main__":
    sys.exit(main())
