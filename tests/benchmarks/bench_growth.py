"""Time and memory from 24 x 6 to 480 x 120 cells at final tolerance.

Aims: ten times the cells in at most eleven times the time; at the peak at most twelve times the bytes of the mesh.
"""

from __future__ import annotations

import tracemalloc

from timing import print_table, seconds

from sample_rings import SampleRing, sample_ring  # isort: skip

from ringtex.solid.build_solid import build_solid  # isort: skip

COUNTS = ((24, 6), (48, 12), (76, 19), (152, 38), (240, 60), (480, 120))


def build(ring: SampleRing) -> object:
    return build_solid(ring.strip, ring.tiling, ring.relief, 0.005)


def peak_bytes(ring: SampleRing) -> int:
    """Most memory taken at once while building, without what was there before."""
    tracemalloc.start()
    build(ring)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return peak


def main() -> None:
    rows = []
    before = (0, 0.0)
    for around, across in COUNTS:
        sample_ring.cache_clear()
        # Shallow and a share of the cell, so that cells of an eighth of a millimetre hold it too.
        ring = sample_ring(
            "flat",
            "hexagon",
            around,
            across,
            wall_width_mm=None,
            top_size=0.6,
            flank_deg=85.0,
            depth_mm=0.05,
            corner_mm=0.0,
        )
        taken = seconds(lambda ring=ring: build(ring), 5 if around < 200 else 3)  # type: ignore[misc]
        mesh = ring.mesh.vertices.nbytes + ring.mesh.faces.nbytes
        cells, triangles = ring.tiling.cells, len(ring.mesh.faces)
        growth = taken / before[1] / (cells / before[0]) if before[0] else ""
        times = (1e3 * taken, 1e6 * taken / cells, 1e9 * taken / triangles, growth)
        shrunk = int(ring.solid.shrunk.sum())
        rows.append((f"{around} x {across}", cells, triangles, *times, mesh / 1e6, peak_bytes(ring) / mesh, shrunk))
        before = (cells, taken)
    head = "grid,cells,triangles,ms,us a cell,ns a triangle,times linear,mesh MB,peak / mesh,shrunk"
    print_table("Growth of the solid", head.split(","), rows)


if __name__ == "__main__":
    main()
