"""Random actions in the open window, in pieces of some hundred, each in a process of its own.

    PYTHONPATH=. python3 tests/campaigns/window_actions.py [ACTIONS] [--seed SEED] [--piece N]

A piece opens a window and does what `tests/window/test_storm.py` does, with its own seed. After every action the
document must be what its history says; after a piece a ring must come up as usual. A piece that fails, crashes or
hangs is repeated with fewer actions until the shortest failing prefix is found; seed, prefix and trace are kept as a
file. Nine pieces of ten finish rings at the draft's tolerance in a smaller window. Prints counts by action, stalls of
the window's thread in processor time, and memory. Ends with 1 where anything failed.
"""

from __future__ import annotations

import argparse
import faulthandler
import json
import os
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests"), str(ROOT / "tests" / "window")]

HANG_SECONDS = 900
STALL_SECONDS = 0.25
FINE_PIECES = 10
"""Every so many pieces finish rings at the final tolerance and in a larger window; the others spare processor time."""
AGAIN = 2
"""How often a prefix that ended well is tried again before it counts as sound: much depends on timing."""


def do_piece(seed: int, count: int) -> None:
    """In the process of one piece: act, and print what was done as JSON on the last line."""
    from event_pause import pause
    from PySide6.QtTest import QTest
    from test_storm import Storm

    from ringtex.basics.tolerances import DRAFT_CHORD_MM
    from ringtex.document.starting_points import starting_points
    from ringtex.window.app.application import make_application
    from ringtex.window.app.main_window import MainWindow
    from ringtex.window.building import build_worker

    if seed % FINE_PIECES:
        build_worker.FINAL_CHORD_MM = DRAFT_CHORD_MM  # type: ignore[misc]
    faulthandler.enable()
    faulthandler.dump_traceback_later(HANG_SECONDS - 30, exit=True)
    application = make_application(["ringtex"])
    window = MainWindow()
    window.resize(*((1280, 720) if seed % FINE_PIECES == 0 else (1000, 640)))
    window.begin([])
    window.show()
    QTest.qWaitForWindowExposed(window)
    with tempfile.TemporaryDirectory() as name:
        storm = Storm(window, Path(name), seed)
        stalls: list[tuple[float, str]] = []
        for number in range(count):
            began = time.thread_time()
            storm.run(1)
            print(f"{number + 1} {storm.done[-1]}", file=sys.stderr, flush=True)
            if time.thread_time() - began > STALL_SECONDS:
                stalls.append((time.thread_time() - began, storm.done[-1]))
        window.document.save(Path(name) / "storm.ring.json")
        window.files.begin_with(starting_points()[0])
        until = time.monotonic() + 120.0
        while not (window.worker.idle and window.view is not None and window.view.design == window.document.design):
            pause(50)
            assert time.monotonic() < until, "no ring comes up after the storm"
        window.document.save(Path(name) / "storm.ring.json")
    memory = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1]) * os.sysconf("SC_PAGE_SIZE") / 1e6
    window.close_without_asking()
    del application
    print(json.dumps({"done": storm.done, "stalls": stalls, "memory": memory}), flush=True)


def piece(seed: int, count: int) -> tuple[dict[str, Any] | None, int, str]:
    """Run a piece; gives its result or None, the number of actions begun, and the end of what it said."""
    with tempfile.TemporaryDirectory() as folder:
        names = ("XDG_CONFIG_HOME", "XDG_STATE_HOME", "XDG_DATA_HOME", "XDG_CACHE_HOME")
        environment = {**os.environ, **dict.fromkeys(names, folder), "PYTHONPATH": str(ROOT)}
        command = [sys.executable, __file__, str(count), "--seed", str(seed), "--inside"]
        try:
            ended = subprocess.run(
                command, env=environment, capture_output=True, text=True, check=False, timeout=HANG_SECONDS
            )
        except subprocess.TimeoutExpired as late:
            said = late.stderr.decode() if isinstance(late.stderr, bytes) else late.stderr or ""
            return None, _begun(said), f"hangs\n{said[-4000:]}"
    if ended.returncode == 0:
        return json.loads(ended.stdout.splitlines()[-1]), count, ""
    return None, _begun(ended.stderr), f"exit code {ended.returncode}\n{ended.stderr[-6000:]}"


def _begun(said: str) -> int:
    """Number of the action after the last one that ended."""
    numbers = [int(line.split()[0]) for line in said.splitlines() if line[:1].isdigit() and len(line.split()) == 2]
    return (numbers[-1] if numbers else 0) + 1


def shortest(seed: int, fails: int) -> tuple[int, str]:
    """The shortest failing prefix of a piece that failed at action `fails`, by bisection; what it said."""
    sound, said = 0, ""
    while fails - sound > 1:
        middle = (sound + fails) // 2
        for _ in range(AGAIN):
            result, _, words = piece(seed, middle)
            if result is None:
                fails, said = middle, words
                break
        else:
            sound = middle
    return fails, said


def main() -> int:
    """Run the campaign."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("actions", type=int, nargs="?", default=100_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--piece", type=int, default=400)
    parser.add_argument("--seconds", type=float, default=float("inf"), help="begin no piece after so many")
    parser.add_argument("--keep", type=Path, default=Path("window_failures"), help="folder for failures")
    parser.add_argument("--inside", action="store_true", help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.inside:
        do_piece(asked.seed, asked.actions)
        return 0
    counts: Counter[str] = Counter()
    stalls: list[tuple[float, str]] = []
    since, done, wrong, seed, memory = time.monotonic(), 0, 0, asked.seed, 0.0
    while done < asked.actions and time.monotonic() - since < asked.seconds:
        count = min(asked.piece, asked.actions - done)
        result, begun, said = piece(seed, count)
        done += begun
        if result is None:
            wrong += 1
            asked.keep.mkdir(exist_ok=True)
            kept = asked.keep / f"seed_{seed}.txt"
            kept.write_text(f"seed {seed}, failed at action {begun}\n{said}", encoding="utf-8")
            print(f"seed {seed}: failed at action {begun}, kept in {kept}; looking for the shortest prefix", flush=True)
            least, words = shortest(seed, begun)
            kept.write_text(f"seed {seed}, shortest failing prefix {least}\n{words or said}", encoding="utf-8")
            print(f"seed {seed}: shortest failing prefix {least}", flush=True)
        else:
            counts.update(result["done"])
            stalls += [(seconds, name) for seconds, name in result["stalls"]]
            memory = max(memory, result["memory"])
            print(f"{done:,} actions, {time.monotonic() - since:.0f} s, {result['memory']:.0f} MB", flush=True)
        seed += 1
    print(", ".join(f"{count:,} {name}" for name, count in counts.most_common()))
    worst = ", ".join(f"{seconds:.2f} s {name}" for seconds, name in sorted(stalls, reverse=True)[:5])
    print(f"stalls over {STALL_SECONDS} s of processor time: {len(stalls)}{': ' if worst else ''}{worst}")
    print(f"{done:,} actions in {time.monotonic() - since:.0f} s, seeds {asked.seed} to {seed - 1}, {wrong} failed, "
          f"at most {memory:.0f} MB")  # fmt: skip
    return int(wrong > 0)


if __name__ == "__main__":
    sys.exit(main())
