"""Colour scales for values: even steps to the eye, and readable with any kind of colour vision.

All are straight or bent lines in the OKLab space (Ottosson 2020, A perceptual color space for image processing; its
matrices from memory), on the blue-yellow axis, which people who confuse red and green see as all others do. Lightness
alone already tells the value.
"""

from __future__ import annotations

from functools import cache
from typing import Final

import numpy as np

from ringtex.basics.arrays import Bytes, Floats

STEPS: Final = 256

_ANCHORS: Final[dict[str, tuple[tuple[float, float, float], ...]]] = {
    # Lightness, then the two colour axes; evenly spaced.
    "dark_to_light": ((0.26, 0.000, -0.090), (0.585, 0.004, -0.006), (0.91, -0.005, 0.130)),
    "light_to_dark": ((0.91, -0.005, 0.130), (0.585, 0.004, -0.006), (0.26, 0.000, -0.090)),
    "two_sided": (
        (0.36, -0.015, -0.115),
        (0.66, -0.020, -0.070),
        (0.955, 0.0, 0.0),
        (0.66, 0.050, 0.100),
        (0.36, 0.060, 0.066),
    ),
}
"""dark_to_light: more is lighter. light_to_dark: more is darker. two_sided: the middle is neutral, blue below it and
brown above."""

LEVEL_COLOURS: Final = ("#d9d4cc", "#93b7ce", "#c4831b", "#8f2413")
"""Findings: none, note, warning, error. Their lightness falls with the level, and shape and word go with them."""

NO_VALUE: Final = (176, 171, 164)
"""Where there is nothing to show: a warm grey in the middle."""

SCALES: Final = (*_ANCHORS, "levels")


@cache
def scale_table(name: str) -> Bytes:
    """(STEPS, 3) sRGB colours of a scale from its low to its high end. "levels" has one colour for each level."""
    if name == "levels":
        return np.array([[int(text[i : i + 2], 16) for i in (1, 3, 5)] for text in LEVEL_COLOURS], dtype=np.uint8)
    anchors = np.array(_ANCHORS[name])
    at = np.linspace(0.0, 1.0, len(anchors))
    share = np.linspace(0.0, 1.0, STEPS)
    lab = np.stack([np.interp(share, at, anchors[:, i]) for i in range(3)], axis=1)
    return srgb_of_oklab(lab)


def srgb_of_oklab(lab: Floats) -> Bytes:
    """(n, 3) sRGB bytes of OKLab colours; what a screen cannot show is clipped."""
    to_roots = np.array(
        [[1.0, 0.3963377774, 0.2158037573], [1.0, -0.1055613458, -0.0638541728], [1.0, -0.0894841775, -1.2914855480]]
    )
    to_linear = np.array(
        [
            [4.0767416621, -3.3077115913, 0.2309699292],
            [-1.2684380046, 2.6097574011, -0.3413193965],
            [-0.0041960863, -0.7034186147, 1.7076147010],
        ]
    )
    linear = np.clip((lab @ to_roots.T) ** 3 @ to_linear.T, 0.0, 1.0)
    encoded = np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1.0 / 2.4) - 0.055)
    return np.asarray(np.rint(255.0 * encoded), dtype=np.uint8)


def cie_lightness(colours: Bytes) -> Floats:
    """(n,) CIE L* of sRGB colours, 0 to 100. Source: IEC 61966-2-1 and CIE 15 (from memory)."""
    share = np.asarray(colours, dtype=np.float64) / 255.0
    linear = np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)
    luminance = linear @ np.array([0.2126, 0.7152, 0.0722])
    cube = np.where(luminance > (6.0 / 29.0) ** 3, np.cbrt(luminance), luminance * (29.0 / 6.0) ** 2 / 3.0 + 4.0 / 29.0)
    return np.asarray(116.0 * cube - 16.0, dtype=np.float64)
