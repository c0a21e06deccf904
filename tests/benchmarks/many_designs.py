"""Build many designs from the whole design space and count how they end.

`python tests/benchmarks/many_designs.py 2000 [--seed 1] [--worn] [--processes 2]` (half an hour). Each accepted design
must give a sound ring, each refused one a sentence; none may take more than MAX_MEMORY or MAX_SECONDS. What fails is
written to out/failed_designs as a design file, to be kept in tests/corpus once it is put right. Exit code 1 if anything
failed.
"""

from __future__ import annotations

import argparse
import multiprocessing
import resource
import signal
import sys
import time
import traceback
from collections import Counter
from pathlib import Path
from types import FrameType

ROOT = Path(__file__).resolve().parent.parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from hypothesis import HealthCheck, Phase, given, seed, settings  # noqa: E402
from ring_promises import broken_promises  # noqa: E402
from strategies import designs, worn_designs  # noqa: E402

from ringtex.design.design import Design  # noqa: E402
from ringtex.design.design_file import write_design  # noqa: E402

FAILED = ROOT / "out" / "failed_designs"
MAX_MEMORY = 6 * 2**30
MAX_SECONDS = 120

Ending = tuple[Design, str, list[str]]


def drawn(count: int, number: int, worn: bool) -> list[Design]:
    """The designs, the same for the same numbers."""
    made: list[Design] = []

    def collect(design: Design) -> None:
        made.append(design)

    options = settings(
        max_examples=count,
        deadline=None,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    seed(number)(options(given(worn_designs() if worn else designs())(collect)))()
    return made


def limited() -> None:
    """A worker's limits: a design that needs more fails instead of filling the machine."""
    resource.setrlimit(resource.RLIMIT_AS, (MAX_MEMORY, MAX_MEMORY))
    signal.signal(signal.SIGALRM, too_slow)


def too_slow(signal_number: int, frame: FrameType | None) -> None:
    raise TimeoutError(f"more than {MAX_SECONDS} s")


def built(design: Design) -> Ending:
    signal.alarm(MAX_SECONDS)
    try:
        ending, broken = broken_promises(design)
    except BaseException:
        ending, broken = "crashed", [traceback.format_exc(limit=-2)]
    finally:
        signal.alarm(0)
    return design, ending, broken


def keep(design: Design, broken: list[str], number: int) -> None:
    FAILED.mkdir(parents=True, exist_ok=True)
    path = FAILED / f"{number:05d}.ring.json"
    write_design(design, path)
    print(path.name, "; ".join(broken)[-600:], flush=True)


def main() -> int:
    parser = argparse.ArgumentParser(description="Build many designs and count how they end.")
    parser.add_argument("count", type=int, nargs="?", default=2000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--worn", action="store_true", help="only designs that could be worn: nearly all are built")
    parser.add_argument("--processes", type=int, default=2)
    asked = parser.parse_args()
    started = time.perf_counter()
    made = drawn(asked.count, asked.seed, asked.worn)
    endings: Counter[str] = Counter()
    failures = 0
    # A fresh process now and then, so that no memory gathers.
    with multiprocessing.Pool(asked.processes, limited, maxtasksperchild=50) as pool:
        for number, (design, ending, broken) in enumerate(pool.imap(built, made), start=1):
            endings[ending] += 1
            if broken:
                failures += 1
                keep(design, broken, number)
            if number % 100 == 0:
                print(f"{number} designs, {time.perf_counter() - started:.0f} s", flush=True)
    print(f"{len(made)} designs in {time.perf_counter() - started:.0f} s, {failures} failed")
    for ending, count in endings.most_common():
        print(f"{count:7d}  {ending}")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
