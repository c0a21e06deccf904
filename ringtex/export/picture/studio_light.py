"""Materials, the studio that they reflect, and tone mapping. The studio is our own: a few soft boxes round a grey room.

Directions are in the picture's frame (right, up, towards the camera), so that every view is lit alike. Light is linear,
1 is a white wall in full light.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Singles


@dataclass(frozen=True)
class Material:
    """How a surface answers light, in pictures and in the window.

    tint: red, green and blue, 0 to 1, that are reflected at normal incidence (metals) or scattered (others).
    metal: reflects with its own colour; otherwise scatters its colour under a clear gloss.
    diffuse: fraction of light that a metal scatters, 0 for a mirror.
    stripes: reflects dark and light stripes instead of the studio, to judge a surface by.
    """

    tint: tuple[float, float, float]
    metal: bool = True
    diffuse: float = 0.17
    stripes: bool = False


MATERIALS: Final = {
    # Reflectances in linear light as usual in rendering (from memory; no source better than 0.05).
    "yellow_gold": Material((1.00, 0.68, 0.23)),
    "rose_gold": Material((0.97, 0.62, 0.47)),
    "white_gold": Material((0.86, 0.82, 0.74)),
    "silver": Material((0.97, 0.96, 0.94), diffuse=0.14),
    "platinum": Material((0.60, 0.60, 0.62), diffuse=0.26),
    "wax": Material((0.05, 0.26, 0.15), metal=False),
    "plaster": Material((0.62, 0.61, 0.58), metal=False),
    "reflection_lines": Material((0.92, 0.93, 0.95), stripes=True),
}
"""Every material by its name."""

_OF_ALLOYS: Final = {
    "rose": "rose_gold", "white": "white_gold", "gold": "yellow_gold", "brass": "yellow_gold", "bronze": "rose_gold",
    "platinum": "platinum", "palladium": "platinum", "wax": "wax", "resin": "plaster",
}  # fmt: skip


def material_of_alloy(alloy: str) -> str:
    """The material that comes nearest to an alloy's colour; alloy is its key, such as "gold_750_rose"."""
    return next((material for word, material in _OF_ALLOYS.items() if word in alloy), "silver")


@dataclass(frozen=True)
class _SoftBox:
    """A lit rectangle: direction to its middle, half width and height at distance 1, light, width of its soft edge."""

    towards: tuple[float, float, float]
    half_width: float
    half_height: float
    light: float
    edge: float


TONE_POWER: Final = 1.4
TONE_HALF: Final = 0.46
"""Tone mapping: light x is shown as x^p / (x^p + half). The window's shaders use the same numbers."""

Reals = NDArray[np.floating]

STRIPES: Final = 28
"""Dark stripes in a full turn: on a ring a few millimetres apart."""

_STRIPE_SOFTNESS: Final = 0.25
"""Fraction of a stripe over which dark goes over to light."""

_BOXES: Final = (
    _SoftBox((-0.62, 0.62, 0.48), 0.50, 0.55, 3.4, 0.22),
    _SoftBox((0.92, 0.18, 0.30), 0.16, 0.75, 2.2, 0.12),
    _SoftBox((0.15, 0.80, -0.55), 0.80, 0.30, 2.0, 0.25),
    _SoftBox((-0.95, -0.10, -0.10), 0.22, 0.60, 1.1, 0.20),
    _SoftBox((0.30, -0.35, 0.85), 0.60, 0.14, 0.45, 0.30),
    _SoftBox((0.55, -0.78, 0.25), 0.45, 0.30, 0.85, 0.50),
)


def studio(x: Singles, y: Singles, z: Singles) -> Singles:
    """Light that comes from unit directions.

    Parameters:
        x: (n,) to the right in the picture.
        y: (n,) upwards.
        z: (n,) towards the camera.
    Returns: (n,) light.
    """
    up = _smoothstep((y + 0.9) / 1.9)
    light = np.float32(0.16) + np.float32(0.62) * up * up
    # A darker belt at eye level gives the metal its contrast.
    light *= np.float32(1.0) - np.float32(0.38) * np.exp(-(((y - np.float32(0.02)) / np.float32(0.20)) ** 2))
    # The wall behind the camera is what faces turned to the viewer show.
    light += np.float32(0.36) * np.clip(z, 0.0, 1.0) ** 2
    for box in _BOXES:
        light += _box_light(box, x, y, z)
    return light


def diffuse_studio(x: Singles, y: Singles, z: Singles) -> Singles:
    """The same studio as a diffuse surface averages it over half a sphere about unit directions.

    Parameters:
        x: (n,) to the right in the picture.
        y: (n,) upwards.
        z: (n,) towards the camera.
    Returns: (n,) light.
    """
    light: Singles = np.float32(0.46) + np.float32(0.30) * y - np.float32(0.16) * x + np.float32(0.14) * z
    return np.maximum(light, np.float32(0.08))


def fresnel(cosine: Singles) -> Singles:
    """(n,) how far reflectance rises towards 1 at grazing view; cosine (n,) of the angle of incidence.

    Source: Schlick 1994, An inexpensive BRDF model for physically-based rendering.
    """
    grazing: Singles = (np.float32(1.0) - np.clip(cosine, np.float32(0.0), np.float32(1.0))) ** 5
    return grazing


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
    inside = _smoothstep((box.half_width - np.abs(across) / forward) / box.edge + 0.5)
    inside *= _smoothstep((box.half_height - np.abs(rise) / forward) / box.edge + 0.5)
    light: Singles = np.float32(box.light) * inside
    return light


def _smoothstep(value: Singles) -> Singles:
    """3 t^2 - 2 t^3 from 0 to 1."""
    t: Singles = np.clip(value, np.float32(0.0), np.float32(1.0))
    return t * t * (np.float32(3.0) - np.float32(2.0) * t)


def tone_mapped(light: Singles) -> Singles:
    """(n, 3) linear light as picture values 0 to 1: tone mapping with a shoulder instead of burnt whites, then sRGB.

    Source of the sRGB encoding: IEC 61966-2-1 (from memory).
    """
    brightest = np.maximum(light.max(axis=1, keepdims=True), np.float32(1e-6))
    # The curve acts on the brightest colour, so that gold keeps its hue; three tenths of it act on each colour, as in a
    # photograph whose lights turn pale.
    same_hue = light / brightest * _tone_curve(brightest)
    mapped = np.float32(0.7) * same_hue + np.float32(0.3) * _tone_curve(light)
    encoded = np.float32(1.055) * np.power(mapped, np.float32(1.0 / 2.4)) - np.float32(0.055)
    picture: Singles = np.where(mapped <= np.float32(0.0031308), mapped * np.float32(12.92), encoded)
    return picture


def _tone_curve(light: Singles) -> Singles:
    """Light 0 to infinity as 0 to 1."""
    strong: Singles = np.power(np.maximum(light, np.float32(0.0)), np.float32(TONE_POWER))
    return strong / (strong + np.float32(TONE_HALF))


def reflection_values(
    normals: Reals,
    towards_eye: Reals,
    along: Reals,
    stripes: int = STRIPES,
) -> Reals:
    """Reflection lines: how straight stripes of light lie on the metal. Where they kink the surface does, where they
    have corners its curvature jumps; on a fair surface they flow (Klass 1980; from memory).

    Parameters:
        normals: (n, 3) unit, outwards.
        towards_eye: (n, 3) or (3,), unit.
        along: (3,) direction of the stripes, which lie on a far round wall about it.
        stripes: dark ones in a full turn.
    Returns: (n,) 0 in dark to 1 in light stripes.
    """
    facing = np.sum(normals * towards_eye, axis=-1, keepdims=True)
    return stripes_on_wall(2.0 * facing * normals - towards_eye, along, stripes)


def stripes_on_wall(directions: Reals, along: Reals, stripes: int = STRIPES) -> Reals:
    """The wall of stripes.

    Parameters:
        directions: (n, 3) unit.
        along: (3,) direction of the stripes.
        stripes: dark ones in a full turn.
    Returns: (n,) 0 dark to 1 light.
    """
    along = np.asarray(along) / np.linalg.norm(along)
    # Any two directions square to the stripes; the least part of `along` says which axis is well off it.
    first = np.cross(along, np.eye(3)[int(np.argmin(np.abs(along)))])
    first /= np.linalg.norm(first)
    second = np.cross(along, first)
    angle = np.arctan2(directions @ second, directions @ first)
    return np.asarray(np.clip(0.5 + np.sin(stripes * angle) / (2.0 * _STRIPE_SOFTNESS), 0.0, 1.0))
