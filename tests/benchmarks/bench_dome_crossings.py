"""Does any of 200 random dome rings cross itself? By exact arithmetic (CGAL through libigl, for tests only).

`python tests/benchmarks/bench_dome_crossings.py [count]`: draft tolerance, relief 0.1 to 0.5. Rings whose relief folds
(and that say so as an error) are counted apart.
"""

from __future__ import annotations

import sys
import time
from collections import Counter

import numpy as np
from timing import print_table

from dome_rings import dome_design  # isort: skip
from ringtex.basics.errors import InputError  # isort: skip
from ringtex.basics.progress import Progress  # isort: skip
from ringtex.basics.tolerances import DRAFT_CHORD_MM  # isort: skip
from ringtex.checks.geometry.folding import measure_folding  # isort: skip
from ringtex.make_ring import shape_ring  # isort: skip


def ending(seed: int) -> tuple[str, int]:
    """How one ring ends, and its triangles."""
    from igl.copyleft import cgal

    try:
        shaped = shape_ring(dome_design(seed), DRAFT_CHORD_MM, Progress())
    except InputError as error:
        return f"refused: {error.where}", 0
    mesh = shaped.solid.mesh
    found = cgal.remesh_self_intersections(mesh.vertices, mesh.faces.astype(np.int64), detect_only=True)
    folds = measure_folding(shaped.solid, shaped.strip).margin < 0.0
    word = "crosses itself" if len(found[2]) else "sound"
    return f"{word}{', folds and says so' if folds else ''}", len(mesh.faces)


def main() -> int:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    endings: Counter[str] = Counter()
    triangles, started = 0, time.process_time()
    for seed in range(count):
        how, faces = ending(seed)
        endings[how] += 1
        triangles += faces
        if how == "crosses itself":
            print(f"seed {seed} crosses itself and does not say so", flush=True)
    print_table(f"{count} dome rings", ["ending", "rings"], [[*pair] for pair in endings.most_common()])
    print(f"{triangles / 1e6:.1f} million triangles, {time.process_time() - started:.0f} s of processor time")
    return 1 if endings["crosses itself"] else 0


if __name__ == "__main__":
    sys.exit(main())
