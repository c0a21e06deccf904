import numpy as np
import pytest
import shapely

from ringtex.pattern.tiling import Tiling
from ringtex.solid.cells.edge_events import drop_vanished_walls
from ringtex.solid.cells.offset_loops import wall_frames


class PlainScale:
    """A strip on which every length is true."""

    def metric(self, u: np.ndarray, v: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        return np.ones_like(u), np.zeros_like(u), np.ones_like(u)


def one_cell(corners: list[tuple[float, float]]) -> Tiling:
    number = np.arange(len(corners), dtype=np.int32)
    still = np.zeros(len(corners), dtype=np.int32)
    return Tiling(100.0, 0.0, 10.0, np.array(corners), np.array([0, len(corners)], np.int32), number, still, still - 1)


SHAPES = {
    "one short wall": [(1.0, 1.0), (5.0, 1.0), (5.0, 4.0), (3.2, 5.0), (3.0, 5.0), (1.0, 4.0)],
    "two short walls side by side": [(1.0, 1.0), (5.0, 1.0), (5.2, 1.3), (5.2, 1.6), (3.0, 5.0), (1.0, 4.0)],
    "short walls at both ends": [(1.0, 1.0), (5.0, 1.0), (5.2, 1.2), (5.0, 4.0), (3.0, 5.0), (2.8, 5.0), (1.0, 4.0)],
    "a corner in the middle of a wall": [(1.0, 1.0), (3.0, 1.0), (5.0, 1.0), (5.0, 4.0), (3.2, 5.0), (3.0, 5.0)],
}


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("inset", [0.5, 0.8, 1.1])
def test_what_is_left_is_shapelys_offset(shape: str, inset: float) -> None:
    """Source: shapely's buffer with mitred joins."""
    tiling = one_cell(SHAPES[shape])
    walls = wall_frames(PlainScale(), tiling)  # type: ignore[arg-type]
    corner = np.stack((walls.start, walls.start + inset * walls.mitre), axis=1)
    run = np.einsum("hki,hi->hk", corner[tiling.next_corner] - corner, walls.tangent)
    alive = run > 0.01
    alive[:, 0] = True
    places, living = drop_vanished_walls(
        tiling, corner, alive, walls.tangent, walls.along, np.ones(tiling.cells, dtype=bool)
    )
    wanted = shapely.Polygon(SHAPES[shape]).buffer(-inset, join_style="mitre", mitre_limit=100.0)
    assert shapely.Polygon(places[:, 1]).symmetric_difference(wanted).area < 1e-4
    assert np.array_equal(places[:, 0], walls.start)
    # A vanished side starts where the next living one does.
    for side in np.flatnonzero(~living[:, 1]):
        assert np.allclose(places[side, 1], places[tiling.next_corner[side], 1], atol=1e-9)


def test_at_least_three_sides_stay() -> None:
    tiling = one_cell([(1.0, 1.0), (2.0, 1.0), (2.0, 2.0), (1.0, 2.0)])
    walls = wall_frames(PlainScale(), tiling)  # type: ignore[arg-type]
    corner = np.stack((walls.start, walls.start + 0.4999 * walls.mitre), axis=1)
    alive = np.ones((4, 2), dtype=bool)
    alive[:, 1] = False
    _, living = drop_vanished_walls(
        tiling, corner, alive, walls.tangent, walls.along, np.ones(tiling.cells, dtype=bool)
    )
    assert living[:, 1].sum() == 3
