"""The blur of pictures: a Gaussian, however wide. Reference: scipy's own filter over the picture repeated by hand."""

import numpy as np
import pytest
from scipy import ndimage

from ringtex.pattern.picture.picture_layout import _blurred

GREY = np.random.default_rng(3).random((12, 30))


@pytest.mark.parametrize("joins", [True, False])
@pytest.mark.parametrize("axis", [0, 1])
@pytest.mark.parametrize("sigma", [0.5, 2.5, 9.0])
def test_a_blur_is_that_of_the_picture_repeated(joins: bool, axis: int, sigma: float) -> None:
    pads = [(0, 0), (0, 0)]
    pads[axis] = (100, 100)
    repeated = np.pad(GREY, pads, mode="wrap" if joins else "symmetric")
    wanted = ndimage.gaussian_filter1d(repeated, sigma, axis, truncate=4.0 if sigma < 3.0 else 10.0)
    found = _blurred(GREY, axis, sigma, joins)
    assert found == pytest.approx(np.take(wanted, range(100, 100 + GREY.shape[axis]), axis), abs=1e-9)


@pytest.mark.parametrize("joins", [True, False])
def test_a_blur_wider_than_any_picture_leaves_one_grey_at_once(joins: bool) -> None:
    assert _blurred(GREY, 1, 1e9, joins) == pytest.approx(np.repeat(GREY.mean(axis=1), 30).reshape(12, 30))
