"""What cuts leave in the mesh, and what is left once thin triangles are removed.

    python tests/benchmarks/bench_clean_cuts.py [--random 20] [--seed 1] [--only NAME]

Two lines a ring: as the cuts leave it, and cleaned. Slivers have an angle under 1 degree; `low` counts triangles lower
than 1e-4 mm over their longest side; `cross` and `rounded` are pairs of triangles that cross, by exact arithmetic, as
built and with all vertices rounded to 1e-4 mm; `moved` is the largest distance from vertices and random points of
either mesh to the other. The seconds are processor time of the whole ring.
"""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path
from unittest.mock import patch

import igl
import numpy as np

ROOT = Path(__file__).resolve().parent.parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tests"), str(ROOT / "tests" / "campaigns")]

from design_space import random_design  # noqa: E402
from ring_judge import crossing_pairs  # noqa: E402
from sample_rings import least_angles  # noqa: E402
from timing import print_table  # noqa: E402
from zoo import DOME, plain_design  # noqa: E402

from ringtex.basics.arrays import Ints  # noqa: E402
from ringtex.basics.caches import clear_all_caches  # noqa: E402
from ringtex.basics.errors import InputError, SelfCheckError  # noqa: E402
from ringtex.basics.progress import Progress  # noqa: E402
from ringtex.basics.tolerances import DRAFT_CHORD_MM, FINAL_CHORD_MM  # noqa: E402
from ringtex.design.design import Design  # noqa: E402
from ringtex.design.design_file import design_from_json, read_design  # noqa: E402
from ringtex.make_ring import shape_ring  # noqa: E402
from ringtex.solid.mesh.ring_mesh import RingMesh  # noqa: E402
from ringtex.solid.mesh.thin_triangles import FINAL_LIMITS  # noqa: E402
from ringtex.solid.mesh.triangle_patch import shapes_of  # noqa: E402

STEP_MM = 1e-4
SAMPLES = 40_000
MAX_TRIANGLES = 400_000
"""Random rings that are larger as a draft are left out: the exact test takes minutes for them."""


def designs() -> dict[str, Design]:
    """Rings with every kind of cut."""
    on_dome = {"band": DOME, "rails": {"lower": 0.5, "upper": 0.5}, "pattern": {"across": "auto"}}
    stones = [{"u": 0.5, "v": 0.5, "diameter": 3, "collar": 0.5}, {"u": 0.62, "v": 0.55, "diameter": 2}]
    close = [
        {"u": 0.5, "v": 0.5, "diameter": 2},
        {"u": 0.5, "v": 0.62, "diameter": 1.8},
        {"u": 0.53, "v": 0.45, "diameter": 1.5},
    ]
    letters = {"text": "Ring 24 – Åse", "height": 0.6, "depth": 0.2, "angle": 180}
    given = {
        "collided stones": plain_design(stones=close),
        "letters": plain_design(inscription={"text": "Ring 24 – für Åse", "height": 1.2}),
        "letters in a hollow": plain_design(**on_dome, hollow={}, inscription=letters),
        "dome with stones": plain_design(**on_dome, stones=stones),
        "recess": plain_design(plain=[{"u": 0, "v": 0.5, "width": 6, "height": 20}]),
    }
    found = {
        name: read_design(ROOT / "demo_patterns" / f"{name}.ring.json") for name in ("pierced_signet", "hollow_dome")
    }
    return {**found, **{name: design_from_json(data) for name, data in given.items()}}


def random_designs(seed: int, count: int) -> dict[str, Design]:
    """Random designs that are cut, can be made, do not cross themselves before they are cut, and are not too large."""
    found: dict[str, Design] = {}
    number = 0
    while len(found) < count:
        number += 1
        try:
            design = random_design(seed, number)
            ring = shape_ring(design, DRAFT_CHORD_MM, Progress())
        except (InputError, SelfCheckError):
            continue
        is_small = len(ring.finished.mesh.faces) < MAX_TRIANGLES
        if ring.finished.mesh is not ring.solid.mesh and is_small and not crossing_pairs(ring.solid.mesh):
            found[f"random {seed}-{number}"] = design
    return found


def made(design: Design) -> tuple[RingMesh, float]:
    """The finished ring, and the processor seconds that it takes."""
    clear_all_caches()
    start = time.process_time()
    mesh = shape_ring(design, FINAL_CHORD_MM, Progress()).finished.mesh
    return mesh, time.process_time() - start


def _unchanged(mesh: RingMesh, original_id: Ints, face_id: Ints, *_: object) -> tuple[RingMesh, Ints, Ints]:
    return mesh, original_id, face_id


def distance(first: RingMesh, second: RingMesh) -> float:
    """Largest distance from places of one mesh to another, mm."""
    random = np.random.default_rng(1)
    face = random.choice(len(first.faces), SAMPLES, p=first.triangle_areas / first.area)
    points = np.einsum("fc,fci->fi", random.dirichlet((1, 1, 1), SAMPLES), first.vertices[first.faces[face]])
    places = np.concatenate((first.vertices, points))
    return float(
        np.sqrt(igl.point_mesh_squared_distance(places, second.vertices, second.faces.astype(np.int64))[0].max())
    )


def measured(mesh: RingMesh) -> list[object]:
    """Triangles, slivers, low ones and the lowest, pairs that cross as built and rounded."""
    height = shapes_of(mesh.vertices.T, mesh.faces, FINAL_LIMITS).height
    rounded = RingMesh(np.rint(mesh.vertices / STEP_MM) * STEP_MM, mesh.faces)
    slivers = 100.0 * float(np.mean(least_angles(mesh) < 1.0))
    low, least = int(np.sum(height < STEP_MM)), float(height.min())
    return [len(mesh.faces), slivers, low, least, crossing_pairs(mesh), crossing_pairs(rounded)]


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--random", type=int, default=0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", default="")
    given = parser.parse_args()
    rows: list[list[object]] = []
    for name, design in {**designs(), **random_designs(given.seed, given.random)}.items():
        if given.only not in name:
            continue
        try:
            with patch("ringtex.solid.finishing.outer_cuts.remove_thin_triangles", _unchanged):
                before, seconds_before = made(design)
            mesh, seconds = made(design)
        except (InputError, SelfCheckError):
            continue
        moved = 1e3 * max(distance(before, mesh), distance(mesh, before))
        kept = "yes" if mesh.closed and mesh.oriented and mesh.euler == before.euler else "NO"
        rows += [[name, *measured(before), 0.0, "", seconds_before], ["", *measured(mesh), moved, kept, seconds]]
        for row in rows[-2:]:
            print(*row, flush=True)
    head = ["ring", "triangles", "slivers %", "low", "least mm", "cross", "rounded", "moved um", "topology kept", "s"]
    print_table("Clean cuts", head, rows)


if __name__ == "__main__":
    main()
