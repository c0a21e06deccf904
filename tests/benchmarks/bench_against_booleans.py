"""The direct mesh against the same ring united from prisms by manifold3d, and against merely writing it to disk.

The reference: a sloped hexagonal prism per cell, all refined and warped round the finger in one call each, and united
once with the band. The longest edge of its refined prisms is searched so that its chord error, measured the same way,
is that of our mesh: the reference is never finer than it need be. Its time leaves that search out; all times are
processor time. Of both, the error that 99 per cent of the triangles keep is taken: unions leave a few slivers that no
edge length brings down.
"""

from __future__ import annotations

import tempfile
import time
from pathlib import Path

import numpy as np
from timing import print_table, seconds

from ringtex.basics.arrays import Floats

import manifold3d  # isort: skip
from sample_rings import BORE_MM, SampleRing, chord_errors, sample_ring  # isort: skip

from ringtex.solid.build_solid import build_solid  # isort: skip


WIDTH_MM, OUTER_MM = 8.0, BORE_MM + 1.6
TOP_SIZE = 0.6
SUNK_MM = 0.05
"""How far the prisms reach into the band, so that faces never coincide."""


def round_the_finger(flat: Floats) -> Floats:
    """(u, v, h) to (x, y, z) on the flat band."""
    theta, radius = flat[:, 0] / OUTER_MM - np.pi, OUTER_MM + flat[:, 2]
    return np.column_stack((-radius * np.sin(theta), radius * np.cos(theta), flat[:, 1] - 0.5 * WIDTH_MM))


def cell_prisms(ring: SampleRing) -> list[Floats]:
    """Corner points of every cell's raised part, in (u, v, h)."""
    tiling, flank, depth = ring.tiling, ring.relief.profile.flank_mm, ring.relief.options.depth_mm
    prisms = []
    for cell in range(tiling.cells):
        corners = tiling.corners[tiling.cell_start[cell] : tiling.cell_start[cell + 1]]
        middle = tiling.kernel[0][cell]
        top = middle + TOP_SIZE * (corners - middle)
        grown = manifold3d.CrossSection([top]).offset(flank * (1.0 + SUNK_MM / depth), manifold3d.JoinType.Miter, 10.0)
        rows = ((grown.to_polygons()[0], -SUNK_MM), (top, depth))
        prisms.append(np.concatenate([np.column_stack((flat, np.full(len(flat), h))) for flat, h in rows]))
    return prisms


def united(prisms: list[Floats], edge_mm: float) -> manifold3d.Manifold:
    """Refine, warp, and unite once with the band."""
    cells = manifold3d.Manifold.compose([manifold3d.Manifold.hull_points(points) for points in prisms])
    cells = cells.refine_to_length(edge_mm).warp_batch(round_the_finger)
    segments = int(np.ceil(2.0 * np.pi * OUTER_MM / edge_mm))
    band = manifold3d.Manifold.cylinder(WIDTH_MM, OUTER_MM, OUTER_MM, segments, True)
    bore = manifold3d.Manifold.cylinder(WIDTH_MM + 1.0, BORE_MM, BORE_MM, segments, True)
    ring = (band - bore) + cells
    assert ring.status() == manifold3d.Error.NoError
    assert ring.num_tri() > 0
    return ring


def chord_of(ring: manifold3d.Manifold) -> float:
    """The radial distance that 99 per cent of the outer triangles keep from their true surface, at their edges."""
    mesh = ring.to_mesh64()
    corners = np.asarray(mesh.vert_properties)[:, :3][np.asarray(mesh.tri_verts)]
    radius = np.hypot(corners[..., 0], corners[..., 1])
    # The flat sides of the band have corners on its outer edge too.
    outside = np.all(radius > BORE_MM + 1.0, axis=1) & (np.ptp(corners[..., 2], axis=1) > 1e-6)
    middle = 0.5 * (corners + np.roll(corners, 1, axis=1))[outside]
    wanted = 0.5 * (radius + np.roll(radius, 1, axis=1))[outside]
    error = np.max(np.abs(np.hypot(middle[..., 0], middle[..., 1]) - wanted), axis=1)
    return float(np.quantile(error, 0.99))


def fitting_edge(prisms: list[Floats], chord_mm: float) -> float:
    """The longest edge that gives no larger chord error, to a few per cent."""
    short, long = 0.05, 4.0
    for _ in range(8):
        edge = float(np.sqrt(short * long))
        if chord_of(united(prisms, edge)) > chord_mm:
            long = edge
        else:
            short = edge
    return short


def write_stl(ring: SampleRing, path: Path) -> None:
    """What numpy takes at least: normals left zero, one array, one write."""
    record = np.zeros(len(ring.mesh.faces), dtype=[("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("flags", "<u2")])
    record["corners"] = ring.mesh.vertices.astype(np.float32)[ring.mesh.faces]
    with path.open("wb") as file:
        file.write(b"\0" * 80 + np.uint32(len(record)).tobytes())
        record.tofile(file)


def measured(around: int, across: int, folder: str) -> list[tuple[object, ...]]:
    """One row for ours, one for the reference."""
    ring = sample_ring(
        "flat", "hexagon", around, across, wall_width_mm=None, top_size=TOP_SIZE, flank_deg=85.0, corner_mm=0.0
    )
    ours = seconds(lambda: build_solid(ring.strip, ring.tiling, ring.relief, 0.005), 15, time.process_time)
    writing = seconds(lambda: write_stl(ring, Path(folder) / "ring.stl"), 15, time.process_time)
    chord = float(np.quantile(chord_errors(ring, most=10**9), 0.99))
    prisms = cell_prisms(ring)
    edge = fitting_edge(prisms, chord)
    made = united(prisms, edge)
    theirs = seconds(lambda: united(prisms, edge), 3, time.process_time)
    name, triangles = f"{around} x {across}", len(ring.mesh.faces)
    return [
        (name, "direct", triangles, 1e3 * chord, ring.mesh.volume, 1e3 * ours, 1.0, 1e3 * writing, ours / writing),
        (
            "",
            f"booleans, {edge:.2f} mm",
            made.num_tri(),
            1e3 * chord_of(made),
            made.volume(),
            1e3 * theirs,
            theirs / ours,
            "",
            "",
        ),
    ]


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        rows = [row for counts in ((24, 6), (60, 15)) for row in measured(*counts, folder)]
    head = ("cells", "way", "triangles", "chord um", "volume", "ms", "times ours", "STL ms", "ours / STL")
    print_table(
        "Hexagons on 54 x 8 x 1.6, final tolerance; processor time; aims: 40 and 60 times, within twice the STL",
        head,
        rows,
    )


if __name__ == "__main__":
    main()
