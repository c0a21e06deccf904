"""How light falls on the drawn relief: a tone for each slope, and the metal's colour for each tone."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Floats

TONES: Final = 128
"""Steps from darkest to brightest: neighbours differ by under two of a screen's 256 levels."""

LEVEL_TONE: Final = 0.52
"""Tone of level metal, whatever the height of the light: the light is turned to see slopes, not to go dark."""

_SHINE: Final = 0.42
_SHINE_SHARPNESS: Final = 22.0
_GROUND_SHADE: Final = 0.16
"""Ground between standing tops sees less of the sky than the tops do, by about this share."""

_RAMPS: Final[dict[str, tuple[str, ...]]] = {
    "yellow_gold": ("#1d1305", "#5b3f10", "#a97c2a", "#dcb45a", "#f6dfa0", "#fffbee"),
    "rose_gold": ("#1f100c", "#633527", "#b0705a", "#dfa68f", "#f6d6c8", "#fffaf7"),
    "white_gold": ("#161411", "#494640", "#8d8980", "#bfbbb1", "#e4e1d9", "#fefdfa"),
    "silver": ("#131416", "#44474b", "#888c91", "#bcc0c4", "#e3e6e8", "#ffffff"),
    "platinum": ("#121317", "#3c3f46", "#777b84", "#a9adb5", "#d5d8dd", "#fbfcff"),
    "plaster": ("#1a1917", "#4c4a46", "#8b8982", "#b5b2ab", "#d8d5ce", "#f5f3ee"),
    "wax": ("#06150d", "#12402a", "#2b7350", "#54a27b", "#95cfb0", "#e8fff2"),
}
"""Six colours from darkest to brightest, evenly spaced in tone; our own mixing. Metals keep their hue in the middle
tones and turn pale in the lights."""


def light_direction(azimuth_deg: float, elevation_deg: float) -> Floats:
    """(3,) towards the light, along u, along v and outwards. Azimuth 0 is the strip's upper edge (+v) and grows
    clockwise as the strip is seen, so that 90 is to the right."""
    azimuth, elevation = math.radians(azimuth_deg), math.radians(elevation_deg)
    flat = math.cos(elevation)
    return np.array([flat * math.sin(azimuth), flat * math.cos(azimuth), math.sin(elevation)])


def tones(normal: Floats, height: Floats, light: tuple[float, float], depth_mm: float) -> Floats:
    """(f,) tone 0 to 1 of faces. Level faces at the highest level have LEVEL_TONE under every light.
    Source of the two parts: Lambert's cosine law; Blinn 1977, Models of light reflection (the half-way vector).

    Parameters:
        normal: (f, 3) unit normals.
        height: (f,) mm over the face.
        light: azimuth and elevation, degrees.
        depth_mm: depth of the relief, mm.
    Returns: (f,) tones, 0 to 1.
    """
    towards = light_direction(*light)
    raised = towards[2]
    facing = normal @ towards
    # Light from above shows slopes little and light from the side much: the level part is taken out and the rest kept.
    gain = 0.62 / (0.35 + 0.65 * raised)
    change = facing - raised
    lit = LEVEL_TONE + gain * np.where(change > 0.0, 0.75 * change, 0.44 * change)
    half = towards + np.array([0.0, 0.0, 1.0])
    half /= np.linalg.norm(half)
    level_shine = half[2] ** _SHINE_SHARPNESS
    shine = np.maximum(normal @ half, 0.0) ** _SHINE_SHARPNESS - level_shine
    lit = lit + _SHINE * np.maximum(shine, -0.2)
    top = max(float(np.max(height, initial=0.0)), 0.0)
    below = np.clip((top - height) / max(depth_mm, 1e-6), 0.0, 1.0)
    return np.asarray(np.clip(lit * (1.0 - _GROUND_SHADE * below), 0.0, 1.0), dtype=np.float64)


def ground_tone(light: tuple[float, float], highest_mm: float, depth_mm: float) -> float:
    """Tone of level metal at height 0 when the highest face is at highest_mm.

    Parameters:
        light: azimuth and elevation, degrees.
        highest_mm: height of the highest face, mm.
        depth_mm: depth of the relief, mm.
    Returns: the tone, 0 to 1.
    """
    normal, height = np.array([[0.0, 0.0, 1.0]] * 2), np.array([0.0, max(highest_mm, 0.0)])
    return float(tones(normal, height, light, depth_mm)[0])


def metal_colours(finish: str) -> NDArray[np.uint8]:
    """(TONES, 3) sRGB colours of a finish from darkest to brightest."""
    ramp = np.array([[int(text[i : i + 2], 16) for i in (1, 3, 5)] for text in _RAMPS[finish]], dtype=np.float64)
    at = np.linspace(0.0, 1.0, len(ramp))
    tone = np.linspace(0.0, 1.0, TONES)
    return np.stack([np.rint(np.interp(tone, at, ramp[:, i])) for i in range(3)], axis=1).astype(np.uint8)


def tone_number(tone: Floats) -> NDArray[np.int64]:
    """(f,) the nearest of the TONES steps."""
    return np.rint(np.asarray(tone) * (TONES - 1)).astype(np.int64)
