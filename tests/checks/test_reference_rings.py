from dataclasses import replace
from functools import cache

import igl
import numpy as np
import pytest

from ringtex.band.band_options import BandOptions, Station
from ringtex.band.bore import BoreOptions
from ringtex.band.finger_size import FingerSize
from ringtex.basics.tolerances import DRAFT_CHORD_MM, FINAL_CHORD_MM
from ringtex.checks.finding import Kind, Level
from ringtex.checks.making.thickness import measure_thinnest_metal
from ringtex.design.design import Design
from ringtex.make_ring import BuiltRing, make_ring
from ringtex.relief.relief_options import ReliefOptions

# Trade facts, common practice, no source: finger 54, a dome 9 high at the head and 1.5 at the palm, 24 repeats round,
# relief 0.2, 0.3 or 0.4.
DOME = Design(
    name="dome",
    size=FingerSize("iso", "54"),
    band=BandOptions("half_round", (Station(0.0, 18.0, 9.0, 1.2), Station(180.0, 5.0, 1.5, 1.2))),
)
COMFORT = Design(
    name="comfort",
    size=FingerSize("iso", "54"),
    bore=BoreOptions("comfort", 0.4),
    band=BandOptions("half_round", (Station(0.0, 9.0, 3.0, 1.0), Station(180.0, 5.0, 1.8, 1.0))),
)


@cache
def built(design: Design) -> BuiltRing:
    return make_ring(design, DRAFT_CHORD_MM)


def relief(form: str, depth: float) -> ReliefOptions:
    return ReliefOptions(form=form, depth_mm=depth, wall_width_mm=0.4)


@pytest.mark.parametrize("form", ["raised", "sunk"])
@pytest.mark.parametrize("depth", [0.2, 0.3, 0.4])
def test_dome_is_clean(form: str, depth: float) -> None:
    report = built(replace(DOME, relief=relief(form, depth))).report
    # A solid dome is heavy and top-heavy, which is said as a note and keeps nobody from making it.
    assert {finding.level for finding in report.findings} <= {Level.NOTE}
    assert {finding.kind for finding in report.findings} <= {Kind.HEAVY, Kind.OFF_BALANCE}
    read = report.readings
    assert (read.closed, read.bodies, read.genus, read.seam_gap_mm) == (True, 1, 1, 0.0)
    assert read.seam_normal_deg is not None
    # What a coarse mesh bends by is the same all round; the seam must not stand out.
    assert read.seam_normal_deg < read.seam_elsewhere_deg


@pytest.mark.parametrize("form", ["raised", "sunk"])
def test_a_finished_dome_does_not_bend_at_its_seam(form: str) -> None:
    """Without rails the cells reach the rolled edges, where a mesh bends most."""
    read = make_ring(replace(DOME, relief=relief(form, 0.4)), FINAL_CHORD_MM).report.readings
    assert read.seam_normal_deg is not None
    assert read.seam_normal_deg < 0.5


@pytest.mark.parametrize("design", [DOME, COMFORT], ids=["dome", "comfort"])
def test_thinnest_metal_against_libigl(design: Design) -> None:
    ring = built(replace(design, relief=relief("sunk", 0.3)))
    mesh, bore = ring.solid.mesh, ring.solid.face_ranges["bore"]
    outer = mesh.vertices[: len(ring.solid.strip_positions)]
    squared = igl.point_mesh_squared_distance(outer, mesh.vertices, mesh.faces[bore].astype(np.int64))[0]
    distance = np.sqrt(squared)
    half_width = ring.strip.band.half_width(np.arctan2(-outer[:, 0], outer[:, 1]))
    inner = half_width - np.abs(outer[:, 2]) >= distance
    thin = measure_thinnest_metal(ring.solid, ring.strip.band)
    # libigl measures to the bore's triangles, whose chords lie up to the tolerance inside the true bore.
    assert thin.metal_mm == pytest.approx(float(distance[inner].min()), abs=DRAFT_CHORD_MM)
    assert thin.edge_mm == pytest.approx(float(distance[~inner].min()), abs=DRAFT_CHORD_MM)
