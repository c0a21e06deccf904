"""Build many designs from the whole design space and count how they end.

`python tests/benchmarks/many_designs.py 2000 [--seed 1] [--worn]` (half an hour). Each accepted design must give a
sound ring, each refused one a sentence; what fails is written to out/failed_designs as a design file, to be kept in
tests/corpus once it is put right. Exit code 1 if anything failed.
"""

from __future__ import annotations

import argparse
import sys
import time
import traceback
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from hypothesis import HealthCheck, Phase, given, seed, settings  # noqa: E402
from ring_promises import broken_promises  # noqa: E402
from strategies import designs, worn_designs  # noqa: E402

from ringtex.design.design import Design  # noqa: E402
from ringtex.design.design_file import write_design  # noqa: E402

FAILED = ROOT / "out" / "failed_designs"


def main() -> int:
    parser = argparse.ArgumentParser(description="Build many designs and count how they end.")
    parser.add_argument("count", type=int, nargs="?", default=2000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--worn", action="store_true", help="only designs that could be worn: nearly all are built")
    asked = parser.parse_args()
    endings: Counter[str] = Counter()
    failures: Counter[str] = Counter()
    started = time.perf_counter()

    def build(design: Design) -> None:
        try:
            ending, broken = broken_promises(design)
        except Exception:
            ending, broken = "crashed", [traceback.format_exc(limit=-2)]
        endings[ending] += 1
        if broken:
            FAILED.mkdir(parents=True, exist_ok=True)
            path = FAILED / f"{sum(endings.values()):05d}.ring.json"
            write_design(design, path)
            failures.update(sentence.split(":")[0][:60] for sentence in broken)
            print(path.name, "; ".join(broken)[:600], flush=True)
        if sum(endings.values()) % 50 == 0:
            spent = time.perf_counter() - started
            print(f"{sum(endings.values())} designs, {spent:.0f} s: {dict(endings.most_common())}", flush=True)

    options = settings(
        max_examples=asked.count,
        deadline=None,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    seed(asked.seed)(options(given(worn_designs() if asked.worn else designs())(build)))()
    print(f"{sum(endings.values())} designs in {time.perf_counter() - started:.0f} s")
    for ending, count in [*endings.most_common(), *((f"FAILED {name}", n) for name, n in failures.most_common())]:
        print(f"{count:7d}  {ending}")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
