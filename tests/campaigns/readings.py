"""Ridge, groove and least metal of random rings against a measure of their exported meshes alone.

    PYTHONPATH=. python3 tests/campaigns/readings.py [RINGS] [--seed SEED] [--first NUMBER] [--tolerance MM]
                                                     [--cells CELLS]

Rings have sharp corners and level tops or floors, for the measure finds them by their creases (`mesh_widths.py`); the
least metal is the distance of the outside from the bore by libigl's tree. A ring whose creases cannot be told apart is
counted and left out. Prints a line for each reading that is off by more than 2 per cent, then the quantiles, also when
it is interrupted. Ends with 1 where there is one.
"""

from __future__ import annotations

import argparse
import contextlib
import random
import sys
import tempfile
from dataclasses import replace
from pathlib import Path

import igl
import numpy as np

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests"), str(ROOT / "tests" / "checks")]

from design_space import random_design  # noqa: E402
from mesh_widths import NoWidthsError, mesh_widths, regions  # noqa: E402

from ringtex.basics.errors import InputError, SelfCheckError  # noqa: E402
from ringtex.basics.progress import Progress  # noqa: E402
from ringtex.checks.finding import Kind  # noqa: E402
from ringtex.design.design import Design  # noqa: E402
from ringtex.export.mesh_files.mesh_files import read_mesh, write_mesh  # noqa: E402
from ringtex.make_ring import BuiltRing, make_ring  # noqa: E402
from ringtex.pattern.make_pattern import make_pattern  # noqa: E402
from ringtex.pattern.pattern_options import CELL_FAMILIES  # noqa: E402
from ringtex.solid.mesh.ring_mesh import RingMesh  # noqa: E402
from ringtex.strip.unwrap import unwrap  # noqa: E402

OFF = 0.02
MAX_CELLS = 700
MIN_FLANK_DEG = 62.0
NEAR_MM = 0.06
"""Walls narrower than this are left out: about a printer's pixel, and near the facets of an edge that rolls over."""


def measurable(seed: int, number: int) -> Design:
    """A random design with the corners sharp, nothing done after the relief, and measured before polishing.

    Raises: InputError where options refuse each other.
    """
    design, draw = random_design(seed, number), random.Random(f"{seed}+{number}")
    pattern = design.pattern
    if pattern.family not in CELL_FAMILIES:
        pattern = replace(pattern, family=draw.choice(CELL_FAMILIES), motif=None, evenness=0.0, density=None)
    relief = replace(
        design.relief,
        form=draw.choice(("raised", "sunk")),
        corner_mm=0.0,
        rounding=0.0,
        flank_deg=max(design.relief.flank_deg, MIN_FLANK_DEG),
        depth_mm=max(design.relief.depth_mm, 0.15),
        fade=None,
    )
    made = replace(design.make, polish_mm=0.0, shrinkage_percent=0.0)
    plain = replace(design, hollow=None, stones=(), plain=(), inscription=None, panels=())
    return replace(plain, pattern=pattern, relief=relief, make=made)


def cells_of(design: Design) -> int:
    """How many cells its pattern has.

    Raises: InputError where it cannot be made.
    """
    strip = unwrap(design.make_band(), design.strip.keep)
    own = {"edits": design.edits.sites, "zones": design.zones, "panels": design.panels}
    return make_pattern(strip, design.pattern, design.rails, Progress(), **own).tiling.cells


def least_metal(mesh: RingMesh) -> float | None:
    """Least distance of the outside from the bore, mm; None where all of it is edge.

    The bore is the region of smooth faces that looks at the axis. What is nearer to the plane of its rim than to it is
    edge, where metal may be a wedge.
    """
    region = regions(mesh)
    corners = mesh.vertices[mesh.faces]
    middle = corners.mean(axis=1)
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    inwards = -np.einsum("fi,fi->f", normal[:, :2], middle[:, :2]) / np.hypot(middle[:, 0], middle[:, 1])
    bore = int(np.argmax(np.bincount(region, np.maximum(inwards, 0.0))))
    at_bore, others = (np.unique(mesh.faces[chosen]) for chosen in (region == bore, region != bore))
    outside, rim = np.setdiff1d(others, at_bore), np.intersect1d(at_bore, others)
    place = mesh.vertices[outside]
    half_width = np.interp(*_turned(place, mesh.vertices[rim]), period=2.0 * np.pi)
    to_bore = np.sqrt(
        igl.point_mesh_squared_distance(place, mesh.vertices, mesh.faces[region == bore].astype(np.int64))[0]
    )
    inner = to_bore <= half_width - np.abs(place[:, 2])
    return float(np.min(to_bore[inner])) if np.any(inner) else None


def _turned(places: np.ndarray, rim: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Angles of places, and angles and half-widths of the rim."""
    return np.arctan2(places[:, 1], places[:, 0]), np.arctan2(rim[:, 1], rim[:, 0]), np.abs(rim[:, 2])


def compared(ring: BuiltRing, mesh: RingMesh) -> dict[str, tuple[float, float]]:
    """By name, what the report reads and what the mesh measures, mm.

    Raises: NoWidthsError where the mesh's creases do not show the cells.
    """
    found, report = mesh_widths(mesh), ring.report.readings
    if found.cells != ring.pattern.tiling.cells:
        raise NoWidthsError(f"{found.cells} insides of {ring.pattern.tiling.cells} cells")
    if not NEAR_MM < found.wall_mm < np.inf:
        raise NoWidthsError("no feet of two cells, or none that are apart")
    raised = ring.design.relief.form == "raised"
    ridge, groove = (found.inside_mm, found.wall_mm) if raised else (found.wall_mm, found.inside_mm)
    read = {
        "ridge": (report.thinnest_ridge_mm, ridge),
        "groove": (report.thinnest_groove_mm, groove),
        "metal": (report.thinnest_metal_mm, least_metal(mesh)),
    }
    return {name: (first, second) for name, (first, second) in read.items() if first and second}


def exported(ring: BuiltRing, folder: Path) -> RingMesh:
    """The ring's mesh as a file holds it."""
    write_mesh(ring.finished.mesh, folder / "ring.ply")
    return read_mesh(folder / "ring.ply")


def main() -> int:
    """Run; the number of readings that are off."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("rings", type=int, nargs="?", default=200)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--first", type=int, default=1, help="design of the seed to begin with")
    parser.add_argument("--tolerance", type=float, default=0.004)
    parser.add_argument("--cells", type=int, default=MAX_CELLS, help="at most, on a ring")
    given = parser.parse_args()
    off: dict[str, list[float]] = {"ridge": [], "groove": [], "metal": []}
    number, measured, unclear, refused = given.first - 1, 0, 0, 0
    with contextlib.suppress(KeyboardInterrupt), tempfile.TemporaryDirectory() as name:
        while measured < given.rings:
            number += 1
            try:
                design = measurable(given.seed, number)
                if cells_of(design) > given.cells:
                    refused += 1
                    continue
                ring = make_ring(design, given.tolerance)
                kinds = {finding.kind for finding in ring.report.findings}
                if Kind.FOLDED_RELIEF in kinds or Kind.SMALL_CELLS in kinds:
                    refused += 1
                    continue
                readings = compared(ring, exported(ring, Path(name)))
            except (InputError, SelfCheckError):
                refused += 1
                continue
            except NoWidthsError as error:
                unclear += 1
                print(f"{number}: {error}; {design.pattern.family} {design.band.section}", flush=True)
                continue
            measured += 1
            for kind, (read, seen) in readings.items():
                off[kind].append(read / seen - 1.0)
                if abs(off[kind][-1]) > OFF:
                    print(
                        f"{number}: {kind} reads {read:.4f}, measured {seen:.4f} mm; {design.pattern.family}, "
                        f"{design.relief.form}, {design.band.section}",
                        flush=True,
                    )
    print(f"To design {number}: {measured} measured, {unclear} whose creases do not show the cells, ", end="")
    print(f"{refused} refused, folded or too large")
    for kind, values in off.items():
        size = np.abs(values or [np.nan])
        print(f"{kind}: {len(values)}, over 2 per cent {np.sum(size > OFF)}, median {np.median(size):.5f}, ", end="")
        print(f"0.9 {np.quantile(size, 0.9):.5f}, largest {size.max():.5f}")
    return int(sum(np.sum(np.abs(values) > OFF) for values in off.values()) > 0)


if __name__ == "__main__":
    sys.exit(main())
