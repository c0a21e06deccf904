"""Cells at the very edge of a band whose section rolls over there."""

import igl
import numpy as np

from ringtex.basics.progress import Progress
from ringtex.basics.resources import demo_folder
from ringtex.design.design_file import read_design
from ringtex.make_ring import shape_ring

ROLL_MM = 0.14


def test_cells_follow_the_roll_of_the_edge_within_the_tolerance() -> None:
    """Points of the strip map, at height 0 in the level strip along the edge, against the mesh by libigl's distance;
    0.0077 mm before edges there were split."""
    ring = shape_ring(read_design(demo_folder() / "dome.ring.json"), 0.005, Progress())
    strip, mesh = ring.strip, ring.finished.mesh
    random = np.random.default_rng(3)
    u, away = random.uniform(0.0, strip.length, 20_000), random.uniform(0.0, ROLL_MM, 20_000)
    upper = random.random(20_000) < 0.5
    inside = np.where(upper, 0.98, 0.02) * strip.width
    v = away / np.sqrt(strip.metric(u, inside)[2])
    points = strip.shell_map(u, np.where(upper, strip.width - v, v), np.zeros(len(u)))
    squared = igl.point_mesh_squared_distance(points, mesh.vertices, mesh.faces.astype(np.int64))[0]
    assert np.sqrt(squared.max()) < 0.005
    assert mesh.problems() == []
