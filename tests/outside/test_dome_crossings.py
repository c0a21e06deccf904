"""Random dome rings do not cross themselves, by exact arithmetic; bench_dome_crossings.py looks at 200 of them."""

import numpy as np
import pytest
from dome_rings import dome_design
from sample_rings import sample_ring

from ringtex.basics.progress import Progress
from ringtex.basics.tolerances import DRAFT_CHORD_MM
from ringtex.checks.geometry.folding import measure_folding
from ringtex.make_ring import shape_ring


@pytest.mark.parametrize("seed", range(1000, 1005))
def test_no_two_triangles_of_a_dome_ring_cross(seed: int) -> None:
    """Source: libigl's binding of CGAL, for tests only. A relief that folds must say so itself."""
    from igl.copyleft import cgal

    shaped = shape_ring(dome_design(seed), 3.0 * DRAFT_CHORD_MM, Progress())
    mesh = shaped.solid.mesh
    assert mesh.problems() == []
    assert 0.1 <= shaped.relief.options.depth_mm <= 0.5
    found = cgal.remesh_self_intersections(mesh.vertices, mesh.faces.astype(np.int64), detect_only=True)
    assert len(found[2]) == 0 or measure_folding(shaped.solid, shaped.strip).margin < 0.0


def test_low_steps_keep_clear_of_the_top_above_them() -> None:
    """Small shells on the dome have steps 0.019 mm high, less than the draft's tolerance: edges of the top, which the
    tolerance allowed, cut through the step under it."""
    from igl.copyleft import cgal

    mesh = sample_ring("dome", "shells", 8, chord_mm=DRAFT_CHORD_MM, form="step").mesh
    found = cgal.remesh_self_intersections(mesh.vertices, mesh.faces.astype(np.int64), detect_only=True)
    assert len(found[2]) == 0


@pytest.mark.parametrize(
    ("family", "around", "chord_mm"),
    [("waves", 5, 0.03), ("waves", 5, 0.1), ("scale", 9, 0.03), ("intersecting_circles", 5, 0.1)],
)
def test_tops_whose_centre_is_near_a_wall_do_not_dip_under_their_flank(
    family: str, around: int, chord_mm: float
) -> None:
    """Loops lay 0.008 mm beside each other there, with segments of 2 mm: 16, 34 and 11 pairs of triangles crossed."""
    from igl.copyleft import cgal

    mesh = sample_ring("dome", family, around, chord_mm=chord_mm, form="step").mesh
    assert mesh.problems() == []
    found = cgal.remesh_self_intersections(mesh.vertices, mesh.faces.astype(np.int64), detect_only=True)
    assert len(found[2]) == 0
