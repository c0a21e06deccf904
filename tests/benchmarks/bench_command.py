"""`ringtex make` as a whole process, from the shell and back. Aim: under 1.5 s for a plain band, most of it imports."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

from timing import ROOT, print_table, seconds


def process_seconds(*arguments: str) -> float:
    command = [sys.executable, *arguments]
    return seconds(lambda: subprocess.run(command, cwd=ROOT, check=False, capture_output=True), 5)


def main() -> None:
    rows: list[tuple[object, ...]] = [
        ("python -c pass", 1e3 * process_seconds("-c", "pass"), ""),
        ("python -c 'import numpy'", 1e3 * process_seconds("-c", "import numpy"), ""),
    ]
    with tempfile.TemporaryDirectory() as folder:
        for name, aim in (("plain_flat", 1500.0), ("half_round", ""), ("dome", "")):
            design = str(ROOT / "demo_patterns" / f"{name}.ring.json")
            taken = process_seconds("-m", "ringtex", "make", design, "--out", str(Path(folder) / f"{name}.stl"))
            rows.append((f"ringtex make {name}", 1e3 * taken, aim))
    print_table("Whole processes", ("command", "median ms", "aim"), rows)


if __name__ == "__main__":
    main()
