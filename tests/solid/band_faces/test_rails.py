import numpy as np
import pytest
from sample_rings import BANDS, sample_ring

from ringtex.solid.band_faces.rails import border_row, make_rail
from ringtex.solid.cells.cell_faces import wall_points


@pytest.mark.parametrize("upper", [False, True])
@pytest.mark.parametrize("family", ["hexagon", "brick", "cellular"])
def test_the_border_row_walks_once_round_the_ring_in_the_order_of_u(family: str, upper: bool) -> None:
    tiling = sample_ring("flat", family).tiling
    count = np.full(len(tiling.twin), 3)
    places, ids = wall_points(tiling, count)
    row = border_row(tiling, ids, count, upper)
    assert np.all(np.diff(row.u) > 0.0)
    assert row.width.sum() == pytest.approx(tiling.length)
    assert np.all(places[row.ids, 1] == (tiling.upper if upper else tiling.lower))
    away = places[row.ids, 0] - row.point_u(row.count)
    assert np.abs(away - tiling.length * np.rint(away / tiling.length)).max() < 1e-9


@pytest.mark.parametrize("band", BANDS)
def test_rails_are_level_cover_the_border_and_end_on_the_edge(band: str) -> None:
    ring = sample_ring(band)
    faces = ring.mesh.faces[ring.solid.parts["rails"]]
    places = ring.solid.strip_places[faces]
    assert np.all(places[..., 2] == 0.0)
    u = places[..., 0] - ring.strip.length * np.rint((places[..., 0] - places[:, :1, 0]) / ring.strip.length)
    v = places[..., 1]
    area = 0.5 * ((u[:, 1] - u[:, 0]) * (v[:, 2] - v[:, 0]) - (u[:, 2] - u[:, 0]) * (v[:, 1] - v[:, 0]))
    assert np.all(area > 0.0)
    assert area.sum() == pytest.approx(ring.strip.length * 1.0, rel=1e-9)
    assert v.min() == 0.0
    assert v.max() == ring.strip.width


def test_without_a_rail_the_pattern_itself_ends_on_the_edge() -> None:
    ring = sample_ring(rail_mm=0.0)
    assert ring.solid.parts["rails"].start == ring.solid.parts["rails"].stop
    tiling = ring.tiling
    count = np.full(len(tiling.twin), 2)
    _, ids = wall_points(tiling, count)
    row = border_row(tiling, ids, count, False)
    rail = make_rail(ring.strip, row, 0.0, 0.0, 0.005, 1000)
    assert len(rail.faces) == len(rail.places) == 0
    assert np.array_equal(rail.edge_ids, row.ids)
    assert ring.mesh.problems() == []


def test_a_wide_rail_is_followed_across_its_bend() -> None:
    """Rows lie closer where the surface bends: a half-round edge needs more of them than a flat one."""
    flat, rounded = (sample_ring(band, rail_mm=1.5) for band in ("flat", "half_round"))
    rows = [
        len(np.unique(ring.solid.strip_places[ring.mesh.faces[ring.solid.parts["rails"]]][..., 1].round(9)))
        for ring in (flat, rounded)
    ]
    assert rows[1] > rows[0]
