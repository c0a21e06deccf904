"""Weight, height and balance: how the ring wears."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.checks.finding import Finding, Kind, Level
from ringtex.checks.making.alloys import Alloy, weight_g
from ringtex.checks.making.making_limits import MakingLimits
from ringtex.checks.ring_position import as_place, words_for
from ringtex.solid.finishing.stone_seats import SetStone
from ringtex.solid.mesh.ring_mesh import RingMesh


@dataclass(frozen=True)
class Balance:
    """Weight in g, centre of mass (x, y, z), its distance from the axis, and the highest place over the bore, mm.

    weight_g is the metal's; stones_g the stones', which count in the centre of mass. moment_g_mm: of the whole ring's
    weight about the finger's middle. holding_friction: least friction between ring and finger at which a loose ring
    stays as it was put, whichever way the hand turns; None where none would hold it. width_mm: along the finger, where
    the ring is widest.
    """

    weight_g: float
    centre_of_mass: tuple[float, float, float]
    off_axis_mm: float
    height_mm: float
    highest: Floats
    stones_g: float = 0.0
    moment_g_mm: float = 0.0
    holding_friction: float | None = 0.0
    width_mm: float = 0.0


def measure_balance(mesh: RingMesh, alloy: Alloy, bore_radius_mm: float, stones: tuple[SetStone, ...] = ()) -> Balance:
    """Measure a closed mesh of even density, and the stones in it by their estimated weights.

    A loose ring hangs on the finger by one place of its bore. Friction f holds it while its weight falls within
    atan(f) of the line from that place to the axis, so for every way of turning the hand sin(atan(f)) must be at least
    the centre of mass's distance from the axis over the bore's radius (statics of a body on a rough peg).

    Parameters:
        mesh: the ring's mesh.
        alloy: of the ring.
        bore_radius_mm: of the finger hole, mm.
        stones: in their seats.
    Returns: weight, centre of mass and the friction that holds the ring.
    """
    metal = weight_g(mesh.volume, alloy)
    loads = np.array([metal, *(each.stone.weight_g for each in stones)])
    centre = loads @ np.array([mesh.centre_of_mass, *(each.body.centre_of_mass for each in stones)]) / np.sum(loads)
    off_axis = math.hypot(float(centre[0]), float(centre[1]))
    share = off_axis / bore_radius_mm
    radius = np.hypot(mesh.vertices[:, 0], mesh.vertices[:, 1])
    highest = int(np.argmax(radius))
    return Balance(
        metal,
        as_place(centre),
        off_axis,
        float(radius[highest]) - bore_radius_mm,
        mesh.vertices[highest],
        float(np.sum(loads[1:])),
        float(np.sum(loads)) * off_axis,
        share / math.sqrt(1.0 - share * share) if share < 1.0 else None,
        float(np.ptp(mesh.vertices[:, 2])),
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
    if balance.width_mm > limits.wide_head_mm:
        message = f"The ring covers {balance.width_mm:.1f} mm of the finger, so that its joint cannot bend freely"
        advice = f"Keep within {limits.wide_head_mm:g} mm at the widest, or taper it towards the palm"
        found.append(Finding(Kind.WIDE_HEAD, Level.NOTE, message, advice, balance.width_mm, limits.wide_head_mm))
    if balance.weight_g > limits.heavy_g:
        message = f"The ring weighs {balance.weight_g:.1f} g"
        advice = "Hollow it from inside, or take a lighter alloy, if it is to be worn daily"
        found.append(Finding(Kind.HEAVY, Level.NOTE, message, advice, balance.weight_g, limits.heavy_g, "g"))
    if balance.off_axis_mm > limits.off_axis_mm:
        held = balance.holding_friction
        message = (
            f"The centre of mass lies {balance.off_axis_mm:.1f} mm off the axis ({balance.moment_g_mm:.0f} g mm), so "
            f"that the ring turns on the finger unless friction of {held:.2f} or a snug fit holds it"
            if held is not None
            else f"The centre of mass lies {balance.off_axis_mm:.1f} mm off the axis, past the finger: the ring turns"
        )
        advice = "Make the palm side heavier or the head lighter, hollow it, or fit the ring snugly"
        measured, limit = balance.off_axis_mm, limits.off_axis_mm
        where = words_for(np.array([*balance.centre_of_mass[:2], 0.0]))
        found.append(Finding(Kind.OFF_BALANCE, Level.NOTE, message, advice, measured, limit, where=where))
    return found
