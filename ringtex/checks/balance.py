"""Weight, height and balance: how the ring wears."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ringtex.checks.alloys import Alloy, weight_g
from ringtex.checks.finding import Finding, Kind, Level
from ringtex.checks.limits import MakingLimits
from ringtex.checks.ring_place import as_place, words_for
from ringtex.solid.ring_mesh import RingMesh

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Balance:
    """Weight in g, centre of mass (x, y, z), its distance from the axis, and the highest place over the bore, mm."""

    weight_g: float
    centre_of_mass: tuple[float, float, float]
    off_axis_mm: float
    height_mm: float
    highest: Floats


def measure_balance(mesh: RingMesh, alloy: Alloy, bore_radius_mm: float) -> Balance:
    """Measure a closed mesh of even density."""
    centre = mesh.centre_of_mass
    radius = np.hypot(mesh.vertices[:, 0], mesh.vertices[:, 1])
    highest = int(np.argmax(radius))
    return Balance(
        weight_g(mesh.volume, alloy),
        as_place(centre),
        math.hypot(float(centre[0]), float(centre[1])),
        float(radius[highest]) - bore_radius_mm,
        mesh.vertices[highest],
    )


def check_balance(balance: Balance, limits: MakingLimits) -> list[Finding]:
    """A head that is high, a ring that is heavy or turns on the finger: matters of wearing, not of making."""
    found = []
    if balance.height_mm >= limits.high_head_mm:
        message = f"The ring stands {balance.height_mm:.1f} mm high over the finger: it wears heavy and catches"
        advice = f"Keep under {limits.high_head_mm:g} mm, or hollow it from inside"
        where, place = words_for(balance.highest), as_place(balance.highest)
        measured, limit = balance.height_mm, limits.high_head_mm
        finding = Finding(Kind.HIGH_HEAD, Level.WARNING, message, advice, measured, limit, where=where, place=place)
        found.append(finding)
    if balance.weight_g > limits.heavy_g:
        message = f"The ring weighs {balance.weight_g:.1f} g"
        advice = "Hollow it from inside, or take a lighter alloy, if it is to be worn daily"
        found.append(Finding(Kind.HEAVY, Level.NOTE, message, advice, balance.weight_g, limits.heavy_g, "g"))
    if balance.off_axis_mm > limits.off_axis_mm:
        message = (
            f"The centre of mass lies {balance.off_axis_mm:.1f} mm off the axis, so that the ring turns on the finger"
        )
        advice = "Make the palm side heavier or the head lighter, or fit the ring snugly"
        measured, limit = balance.off_axis_mm, limits.off_axis_mm
        where = words_for(np.array([*balance.centre_of_mass[:2], 0.0]))
        found.append(Finding(Kind.OFF_BALANCE, Level.NOTE, message, advice, measured, limit, where=where))
    return found
