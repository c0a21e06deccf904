import numpy as np
import pytest
from sample_rings import sample_ring

from ringtex.solid.cells.wall_frames import wall_frames


@pytest.mark.parametrize("family", ["hexagon", "brick", "diamond", "cellular"])
@pytest.mark.parametrize("band", ["flat", "dome"])
def test_the_centre_sees_every_wall(band: str, family: str) -> None:
    ring = sample_ring(band, family)
    walls = wall_frames(ring.strip, ring.tiling)
    assert np.all(walls.reach > 0.0)
    assert np.allclose(np.hypot(*walls.tangent.T), 1.0)
    assert np.abs(np.einsum("hi,hi->h", walls.tangent, walls.inward)).max() < 1e-12


def test_scales_of_a_flat_band_are_one_and_of_a_conformal_strip_the_same_both_ways() -> None:
    flat = sample_ring()
    walls = wall_frames(flat.strip, flat.tiling)
    assert walls.across == pytest.approx(1.0, abs=1e-9)
    assert walls.along == pytest.approx(1.0, abs=1e-9)
    dome = sample_ring("dome")
    walls = wall_frames(dome.strip, dome.tiling)
    assert np.maximum(walls.across_start, walls.across_end) == pytest.approx(walls.along, rel=0.01)


def test_a_mitre_moves_both_walls_by_one_millimetre() -> None:
    """On a flat band an inset by 1 mm moves a corner so that it lies 1 mm inside the lines of both its walls."""
    ring = sample_ring("flat", "cellular")
    walls = wall_frames(ring.strip, ring.tiling)
    before = ring.tiling.previous_corner
    for normal in (walls.inward, walls.inward[before]):
        assert np.einsum("hi,hi->h", normal, walls.mitre) == pytest.approx(1.0, abs=1e-9)


def test_the_inset_of_a_regular_hexagon_moves_its_corners_by_two_over_root_three() -> None:
    """Interior angle 120 degrees, so a corner moves 1 / sin 60 = 2 / sqrt 3 (regular hexagon, elementary geometry)."""
    ring = sample_ring("flat", "hexagon", 48, 7)
    full = np.flatnonzero(np.diff(ring.tiling.cell_start) == 6)
    inner = np.isin(ring.tiling.corner_cell, full)
    angle = 2.0 / np.sqrt(3.0)
    length = np.hypot(*wall_frames(ring.strip, ring.tiling).mitre[inner].T)
    # The pattern is stretched a little to fit whole rows.
    assert length.mean() == pytest.approx(angle, rel=0.03)
