import numpy as np
import pytest
from plain_rings import PlainBand, PlainStrip, level, plain_ring

from ringtex.checks.finding import Kind, Level
from ringtex.checks.geometry.folding import check_folding, measure_folding, relief_faces
from ringtex.solid.mesh.ring_mesh import RingSolid


class HollowStrip(PlainStrip):
    """As if the face were concave across with radius 0.4."""

    def curvatures(self, u, v):  # type: ignore[no-untyped-def]
        return np.full_like(u, 1.0 / self.band.outer_mm), np.full_like(u, -1.0 / 0.4)


def waves(u, v):  # type: ignore[no-untyped-def]
    return 0.3 * np.sin(v) ** 2 + 0.0 * u


def test_plain_face_has_full_margin() -> None:
    strip = PlainStrip()
    fold = measure_folding(plain_ring(strip, level), strip)
    assert (fold.margin, fold.backward) == (1.0, 0)
    assert check_folding(fold) == []


def test_raised_relief_on_a_convex_face_cannot_fold_and_sunk_loses_little() -> None:
    strip = PlainStrip()
    assert measure_folding(plain_ring(strip, waves), strip).margin == 1.0
    sunk = measure_folding(plain_ring(strip, lambda u, v: -waves(u, v), rows=61), strip)
    # 1 - h / r on a cylinder (offset of a circle).
    assert sunk.margin == pytest.approx(1.0 - 0.3 / strip.band.outer_mm, abs=1e-4)


@pytest.mark.parametrize(("depth", "level_found"), [(0.3, None), (0.33, Level.WARNING), (0.4, Level.ERROR)])
def test_relief_in_a_hollow_folds_at_its_radius(depth: float, level_found: Level | None) -> None:
    strip = HollowStrip()
    ring = plain_ring(strip, lambda u, v: np.full_like(u, depth))
    fold = measure_folding(ring, strip)
    assert fold.margin == pytest.approx(1.0 - depth / 0.4)
    found = check_folding(fold)
    assert [finding.level for finding in found] == ([] if level_found is None else [level_found])
    assert all(finding.kind is Kind.FOLDED_RELIEF for finding in found)


def test_backward_triangles_are_counted_even_across_the_seam() -> None:
    strip = PlainStrip()
    ring = plain_ring(strip, level)
    assert measure_folding(ring, strip).backward == 0
    places = ring.strip_positions.copy()
    places[144 * 6, 0] = -0.9  # the seam's vertex in row 6, pushed over its neighbour on the left
    moved = RingSolid(ring.mesh, places, ring.face_ranges, ring.face_cell, ring.shrunk)
    fold = measure_folding(moved, strip)
    assert fold.backward == 2
    (finding,) = check_folding(fold)
    assert finding.level is Level.ERROR
    assert "palm side" in finding.where


def test_relief_faces_leave_out_what_does_not_lie_on_the_face() -> None:
    ring = plain_ring(PlainStrip(PlainBand()), level)
    assert len(relief_faces(ring)) == 2 * 144 * 12
    assert relief_faces(ring).max() < len(ring.strip_positions)
