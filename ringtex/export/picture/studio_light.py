"""What the metal looks like and the studio that it reflects. All of it is our own: a few soft boxes round a grey room.

Directions are in the picture's frame (right, up, towards the camera), so that every view is lit alike. Light is linear,
1 is a white wall in full light.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from ringtex.basics.arrays import Singles


@dataclass(frozen=True)
class Finish:
    """How a surface answers light.

    facing: share of red, green, blue that is reflected when seen straight on (metals) or scattered (others).
    metal: reflects with its own colour; otherwise scatters its colour under a clear gloss.
    stripes: mirrors dark and light stripes instead of the studio, to judge a surface by.
    """

    facing: tuple[float, float, float]
    metal: bool = True
    stripes: bool = False


FINISHES: Final = {
    # Reflectances in linear light as usual in rendering (from memory; no source better than 0.05).
    "yellow_gold": Finish((1.00, 0.71, 0.29)),
    "rose_gold": Finish((0.97, 0.62, 0.47)),
    "white_gold": Finish((0.86, 0.83, 0.77)),
    "silver": Finish((0.96, 0.95, 0.92)),
    "wax": Finish((0.05, 0.26, 0.15), metal=False),
    "plaster": Finish((0.62, 0.61, 0.58), metal=False),
    "reflection_lines": Finish((0.92, 0.93, 0.95), stripes=True),
}
"""Every finish by its name."""


@dataclass(frozen=True)
class _SoftBox:
    """A lit rectangle: direction to its middle, half width and height at distance 1, light, width of its soft rim."""

    towards: tuple[float, float, float]
    half_width: float
    half_height: float
    light: float
    rim: float


_BOXES: Final = (
    _SoftBox((-0.62, 0.62, 0.48), 0.50, 0.55, 3.4, 0.22),
    _SoftBox((0.92, 0.18, 0.30), 0.16, 0.75, 2.2, 0.12),
    _SoftBox((0.15, 0.80, -0.55), 0.80, 0.30, 2.0, 0.25),
    _SoftBox((-0.95, -0.10, -0.10), 0.22, 0.60, 1.1, 0.20),
    _SoftBox((0.30, -0.35, 0.85), 0.60, 0.14, 0.45, 0.30),
    _SoftBox((0.55, -0.78, 0.25), 0.45, 0.30, 0.85, 0.50),
)


def studio(x: Singles, y: Singles, z: Singles) -> Singles:
    """(n,) light that comes from unit directions (x, y, z), each (n,)."""
    up = _smooth((y + 0.9) / 1.9)
    light = np.float32(0.16) + np.float32(0.62) * up * up
    # A darker belt at eye level gives the metal its contrast.
    light *= np.float32(1.0) - np.float32(0.38) * np.exp(-(((y - np.float32(0.02)) / np.float32(0.20)) ** 2))
    # The wall behind the camera is what faces turned to the viewer show.
    light += np.float32(0.36) * np.clip(z, 0.0, 1.0) ** 2
    for box in _BOXES:
        light += _box_light(box, x, y, z)
    return light


def soft_studio(x: Singles, y: Singles, z: Singles) -> Singles:
    """(n,) the same studio as a dull surface averages it over half a sphere about unit directions."""
    light: Singles = np.float32(0.46) + np.float32(0.30) * y - np.float32(0.16) * x + np.float32(0.14) * z
    return np.maximum(light, np.float32(0.08))


def _box_light(box: _SoftBox, x: Singles, y: Singles, z: Singles) -> Singles:
    middle = np.array(box.towards)
    middle /= np.linalg.norm(middle)
    side = np.cross((0.0, 1.0, 0.0), middle)
    side /= np.linalg.norm(side)
    upward = np.cross(middle, side)
    forward, across, rise = (
        x * np.float32(axis[0]) + y * np.float32(axis[1]) + z * np.float32(axis[2]) for axis in (middle, side, upward)
    )
    forward = np.maximum(forward, np.float32(1e-3))
    inside = _smooth((box.half_width - np.abs(across) / forward) / box.rim + 0.5)
    inside *= _smooth((box.half_height - np.abs(rise) / forward) / box.rim + 0.5)
    light: Singles = np.float32(box.light) * inside
    return light


def _smooth(share: Singles) -> Singles:
    """The smooth step 3 t^2 - 2 t^3 from 0 to 1."""
    t: Singles = np.clip(share, np.float32(0.0), np.float32(1.0))
    return t * t * (np.float32(3.0) - np.float32(2.0) * t)


def tone_mapped(light: Singles) -> Singles:
    """(n, 3) linear light as picture values 0 to 1: a curve with a shoulder instead of burnt whites, then sRGB.

    Source of the second step: IEC 61966-2-1 (from memory).
    """
    brightest = np.maximum(light.max(axis=1, keepdims=True), np.float32(1e-6))
    # The curve acts on the brightest colour, so that gold keeps its hue; three tenths of it act on each colour, as in a
    # photograph whose lights turn pale.
    kept = light / brightest * _curve(brightest)
    shown = np.float32(0.7) * kept + np.float32(0.3) * _curve(light)
    curved = np.float32(1.055) * np.power(shown, np.float32(1.0 / 2.4)) - np.float32(0.055)
    picture: Singles = np.where(shown <= np.float32(0.0031308), shown * np.float32(12.92), curved)
    return picture


def _curve(light: Singles) -> Singles:
    """Light 0 to infinity as 0 to 1."""
    strong: Singles = np.power(np.maximum(light, np.float32(0.0)), np.float32(1.4))
    return strong / (strong + np.float32(0.46))
