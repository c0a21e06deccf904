"""Triangles of finished rings beside a quadric decimation of the same ring at equal measured deviation.

    python tests/benchmarks/bench_lean_mesh.py [--decimate]

Deviation is the largest distance from random points of the ring meshed at a tenth of the tolerance to the mesh. With
--decimate, a mesh at a quarter of the tolerance is decimated by fast-simplification (quadric error metrics, Garland and
Heckbert 1997) to the fewest triangles that keep that deviation: `ratio` is ours over theirs. Slivers have an angle
under 1 degree; the least height is that of the flattest triangle.
"""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path

import igl
import numpy as np

ROOT = Path(__file__).resolve().parent.parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from sample_rings import least_angles  # noqa: E402
from timing import print_table  # noqa: E402
from zoo import plain_design  # noqa: E402

from ringtex.basics.caches import clear_all_caches  # noqa: E402
from ringtex.basics.progress import Progress  # noqa: E402
from ringtex.design.design import Design  # noqa: E402
from ringtex.design.design_file import design_from_json, read_design  # noqa: E402
from ringtex.make_ring import shape_ring  # noqa: E402
from ringtex.solid.mesh.ring_mesh import RingMesh  # noqa: E402

TOLERANCE_MM = 0.005
SAMPLES = 40_000
"""Points of the reference on which a deviation is measured."""
SEARCH_STEPS = 7


def designs() -> dict[str, Design]:
    """The demo rings, the starting design, and a flat ring of 60 x 15 cells."""
    found = {
        path.name.split(".")[0]: read_design(path) for path in sorted((ROOT / "demo_patterns").glob("*.ring.json"))
    }
    found["start"] = read_design(ROOT / "resources" / "starting_design.ring.json")
    found["60 x 15"] = design_from_json(plain_design(pattern={"family": "hexagon", "around": 60, "across": 15}))
    return found


def meshed(design: Design, tolerance_mm: float) -> tuple[RingMesh, float]:
    """The finished ring, and the seconds of shaping it from nothing."""
    clear_all_caches()
    start = time.perf_counter()
    mesh = shape_ring(design, tolerance_mm, Progress()).finished.mesh
    return mesh, time.perf_counter() - start


def surface_points(mesh: RingMesh) -> np.ndarray:
    """Random points of the reference, uniform by area."""
    random = np.random.default_rng(1)
    areas = mesh.triangle_areas
    face = random.choice(len(areas), SAMPLES, p=areas / areas.sum())
    first, second = np.sqrt(random.random(SAMPLES)), random.random(SAMPLES)
    weights = np.stack((1.0 - first, first * (1.0 - second), first * second), axis=1)
    return np.einsum("fc,fci->fi", weights, mesh.vertices[mesh.faces[face]])


def deviation(points: np.ndarray, vertices: np.ndarray, faces: np.ndarray) -> float:
    """Largest distance of the points from a mesh, mm."""
    squared = igl.point_mesh_squared_distance(points, vertices, faces.astype(np.int64))[0]
    return float(np.sqrt(squared.max()))


def decimated_count(fine: RingMesh, points: np.ndarray, deviation_mm: float, start: int) -> int:
    """Fewest triangles of a quadric decimation within a deviation, to some 3 per cent."""
    import fast_simplification

    def within(count: int) -> bool:
        vertices, faces = fast_simplification.simplify(
            fine.vertices.astype(np.float32), fine.faces, target_count=count, agg=3
        )
        return deviation(points, vertices.astype(np.float64), faces) <= deviation_mm

    low, high = start // 8, min(2 * start, len(fine.faces))
    for _ in range(SEARCH_STEPS):
        middle = int(np.sqrt(low * high))
        low, high = (low, middle) if within(middle) else (middle, high)
    return high


def least_height(mesh: RingMesh) -> float:
    """Height of the flattest triangle over its longest side, mm."""
    corners = mesh.vertices[mesh.faces]
    longest = np.sqrt(np.max(np.sum((corners - np.roll(corners, 1, axis=1)) ** 2, axis=2), axis=1))
    return float(np.min(2.0 * mesh.triangle_areas / np.maximum(longest, 1e-300)))


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--decimate", action="store_true")
    parser.add_argument("--only", default="")
    given = parser.parse_args()
    rows: list[list[object]] = []
    for name, design in designs().items():
        if given.only not in name:
            continue
        mesh, seconds = meshed(design, TOLERANCE_MM)
        points = surface_points(meshed(design, 0.1 * TOLERANCE_MM)[0])
        off = deviation(points, mesh.vertices, mesh.faces)
        count = len(mesh.faces)
        row: list[object] = [name, count, (84 + 50 * count) / 1e6, 1e3 * off, seconds]
        row += [100.0 * float(np.mean(least_angles(mesh) < 1.0)), least_height(mesh)]
        if given.decimate:
            fewest = decimated_count(meshed(design, 0.25 * TOLERANCE_MM)[0], points, off, count)
            row += [fewest, count / fewest]
        rows.append(row)
        print(*row, flush=True)
    head = ["ring", "triangles", "STL MB", "off um", "s", "slivers %", "height mm", "decimated", "ratio"]
    print_table("Lean meshes", head[: len(rows[0])], rows)


if __name__ == "__main__":
    main()
