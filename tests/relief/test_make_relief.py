import numpy as np
import pytest

from ringtex.relief.make_relief import make_relief
from ringtex.relief.relief_options import ReliefOptions


def test_without_scatter_all_cells_are_alike() -> None:
    assert np.all(make_relief(50, ReliefOptions(), 0.005).depth_share == 1.0)


def test_the_same_seed_gives_the_same_depths_and_another_seed_others() -> None:
    first, again, other = (
        make_relief(50, ReliefOptions(depth_scatter=0.5, seed=seed), 0.005).depth_share for seed in (7, 7, 8)
    )
    assert np.array_equal(first, again)
    assert not np.array_equal(first, other)


def test_depths_do_not_depend_on_the_tolerance_or_the_form() -> None:
    """So a draft looks like the finished ring."""
    options = ReliefOptions(depth_scatter=1.0, seed=3)
    pillow = ReliefOptions(form="pillow", depth_scatter=1.0, seed=3)
    draft, final, other = (
        make_relief(20, *what).depth_share for what in ((options, 0.02), (options, 0.005), (pillow, 0.005))
    )
    assert np.array_equal(draft, final)
    assert np.array_equal(draft, other)


@pytest.mark.parametrize("scatter", [0.25, 1.0])
def test_scattered_depths_are_spread_evenly_up_to_the_whole(scatter: float) -> None:
    """Uniform on [1 - s, 1]: mean 1 - s / 2, standard deviation s / sqrt(12) (elementary); 4000 draws, 4 sigma."""
    share = make_relief(4000, ReliefOptions(depth_scatter=scatter, seed=5), 0.005).depth_share
    assert share.min() >= 1.0 - scatter
    assert share.max() <= 1.0
    assert share.mean() == pytest.approx(1.0 - scatter / 2.0, abs=4.0 * scatter / np.sqrt(12.0 * 4000.0))
    assert share.std() == pytest.approx(scatter / np.sqrt(12.0), rel=0.05)
