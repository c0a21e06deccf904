"""Are the meshes that two commits export byte for byte the same?

    python tests/benchmarks/compare_commits.py OLD NEW [--count 200] [--seed 1] [--tolerance 0.03]

Every demo design and COUNT random designs, drawn by the older commit's own strategies and written as files, are made by
both commits through the command line's own entry. A design counts as equal if the STL, or the sentence that refuses it,
is. Both commits are checked out beside each other in a temporary folder; NEW may be `.`, the working tree as it stands.
Exit code 1 if anything differs.
"""

from __future__ import annotations

import argparse
import contextlib
import hashlib
import io
import json
import os
import re
import subprocess
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent


def main() -> int:
    if sys.argv[1:2] in (["--child-draw"], ["--child-make"]):
        # This script's own folder would shadow the checkout's.
        sys.path.pop(0)
    if sys.argv[1:2] == ["--child-draw"]:
        return draw_designs(Path(sys.argv[2]), int(sys.argv[3]), int(sys.argv[4]))
    if sys.argv[1:2] == ["--child-make"]:
        return make_all(Path(sys.argv[2]), sys.argv[3])
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("old")
    parser.add_argument("new")
    parser.add_argument("--count", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--tolerance", default="0.03")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        checkouts = [
            check_out(revision, Path(folder) / name) for revision, name in ((given.old, "a"), (given.new, "b"))
        ]
        designs = Path(folder) / "designs"
        designs.mkdir()
        for demo in sorted((checkouts[0] / "demo_patterns").glob("*.ring.json")):
            (designs / f"demo_{demo.name}").write_bytes(demo.read_bytes())
        child(checkouts[0], ("--child-draw", str(designs), str(given.count), str(given.seed)))
        make = partial(child, arguments=("--child-make", str(designs), given.tolerance))
        with ThreadPoolExecutor() as pool:
            endings = [json.loads(printed) for printed in pool.map(make, checkouts)]
    return tell(*endings)


def check_out(revision: str, folder: Path) -> Path:
    """A checkout of the revision in the folder; `.` is this working tree itself."""
    if revision == ".":
        return ROOT
    archive = subprocess.run(["git", "archive", revision], cwd=ROOT, check=True, capture_output=True).stdout
    folder.mkdir()
    subprocess.run(["tar", "-x"], cwd=folder, input=archive, check=True)
    return folder


def child(root: Path, arguments: tuple[str, ...]) -> str:
    """This script in a process of its own that imports the checkout's ringtex; gives what it prints."""
    places = os.pathsep.join([str(root), str(root / "tests"), str(root / "tests" / "benchmarks")])
    environment = {**os.environ, "PYTHONPATH": places, "OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}
    command = [sys.executable, str(Path(__file__).resolve()), *arguments]
    return subprocess.run(command, cwd=root, env=environment, check=True, stdout=subprocess.PIPE, text=True).stdout


def draw_designs(folder: Path, count: int, seed: int) -> int:
    """Write random designs, half of them from all that may be asked and half from what could be worn."""
    from many_designs import drawn

    from ringtex.design.design_file import write_design

    for worn in (False, True):
        for number, design in enumerate(drawn(count // 2, seed, worn)):
            write_design(design, folder / f"{'worn' if worn else 'any'}_{number:04d}.ring.json")
    return 0


def make_all(folder: Path, tolerance: str) -> int:
    """Make every design of the folder and print, as JSON, each one's digest or its refusal."""
    from ringtex.command.main import run_command

    endings = {}
    with tempfile.TemporaryDirectory() as out:
        for path in sorted(folder.glob("*.ring.json")):
            mesh = Path(out) / "ring.stl"
            mesh.unlink(missing_ok=True)
            errors = io.StringIO()
            with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(errors):
                code = run_command(["make", str(path), "--out", str(mesh), "--tolerance", tolerance])
            written = sorted(Path(out).glob("*.stl"))
            if written:
                endings[path.name] = f"{code} {hashlib.sha256(written[0].read_bytes()).hexdigest()}"
                for file in written:
                    file.unlink()
            else:
                last = errors.getvalue().splitlines()[-1:] or [""]
                endings[path.name] = f"{code} {re.sub(r'[^ ]*/', '', last[0])}"
    print(json.dumps(endings))
    return 0


def tell(old: dict[str, str], new: dict[str, str]) -> int:
    """Print what differs and the counts."""
    differing = [name for name in old if old[name] != new.get(name)]
    for name in differing:
        print(f"{name}\n   old {old[name]}\n   new {new.get(name)}")
    made = sum(len(ending.split()[-1]) == 64 for ending in old.values())
    print(f"{len(old)} designs: {made} made, {len(old) - made} refused; {len(differing)} differ")
    return int(bool(differing))


if __name__ == "__main__":
    sys.exit(main())
