"""Triangles of finished rings beside a quadric decimation of the same ring at equal measured deviation.

    python tests/benchmarks/bench_lean_mesh.py [--decimate]

Deviation is the largest distance from random points of the ring meshed at a tenth of the tolerance to the mesh. With
--decimate, a mesh at a quarter of the tolerance is decimated by fast-simplification (quadric error metrics, Garland and
Heckbert 1997) to 24 counts: `ratio` is our triangles over those that are as far off, `time ratio` the processor time of
shaping the ring over that of one such decimation. Slivers have an angle under 1 degree; the least height is that of the
flattest triangle; crossing: pairs by exact arithmetic after all vertices were rounded to 1e-4 mm.
"""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path

import igl
import numpy as np

ROOT = Path(__file__).resolve().parent.parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tests"), str(ROOT / "tests" / "campaigns")]

from ring_judge import crossing_pairs  # noqa: E402
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
SAMPLES = 200_000
"""Points of the reference on which a deviation is measured."""
CURVE = (0.25, 1.3, 24)
"""From and to which fraction of our count a ring is decimated, and how many counts between."""


def designs() -> dict[str, Design]:
    """The demo rings, the starting design, and a flat ring of 60 x 15 cells."""
    found = {
        path.name.split(".")[0]: read_design(path) for path in sorted((ROOT / "demo_patterns").glob("*.ring.json"))
    }
    found["start"] = read_design(ROOT / "resources" / "starting_design.ring.json")
    found["60 x 15"] = design_from_json(plain_design(pattern={"family": "hexagon", "around": 60, "across": 15}))
    return found


def meshed(design: Design, tolerance_mm: float) -> tuple[RingMesh, float]:
    """The finished ring, and the processor time of shaping it from nothing, s."""
    clear_all_caches()
    start = time.process_time()
    mesh = shape_ring(design, tolerance_mm, Progress()).finished.mesh
    return mesh, time.process_time() - start


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


def decimated_count(fine: RingMesh, points: np.ndarray, deviation_mm: float, start: int) -> tuple[float, float]:
    """Triangles of a quadric decimation of a deviation, read from a curve of CURVE counts, and its processor time.

    Deviations of single counts jump; the curve is the least of all counts up to each.
    """
    import fast_simplification

    vertices = fine.vertices.astype(np.float32)
    counts, deviations, spent = [], [], []
    for fraction in np.geomspace(*CURVE):
        begun = time.process_time()
        found = fast_simplification.simplify(vertices, fine.faces, target_count=int(fraction * start), agg=3)
        spent.append(time.process_time() - begun)
        counts.append(len(found[1]))
        deviations.append(deviation(points, found[0].astype(np.float64), found[1]))
    # Of counts that are equally far off the fewest.
    least, first = np.unique(np.minimum.accumulate(deviations), return_index=True)
    fewest = np.exp(np.interp(np.log(deviation_mm), np.log(least), np.log(np.array(counts)[first])))
    return float(fewest), float(np.median(spent))


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
        row.append(crossing_pairs(RingMesh(np.round(mesh.vertices, 4), mesh.faces)))
        if given.decimate:
            fewest, decimating = decimated_count(meshed(design, 0.25 * TOLERANCE_MM)[0], points, off, count)
            row += [fewest, count / fewest, seconds / decimating]
        rows.append(row)
        print(*row, flush=True)
    head = [
        "ring",
        "triangles",
        "STL MB",
        "off um",
        "s",
        "slivers %",
        "height mm",
        "crossing",
        "decimated",
        "ratio",
        "time ratio",
    ]
    print_table("Lean meshes", head[: len(rows[0])], rows)


if __name__ == "__main__":
    main()
