"""Points from which cells grow."""

from __future__ import annotations

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.pattern.patterned_part import PatternedPart


def random_sites(part: PatternedPart, count: int, seed: int) -> Floats:
    """(count, 2) points strewn evenly at random over the patterned part (a Poisson process of known count), mm.

    The generator is PCG64, whose stream is the same on every machine.
    """
    places = random_places(count, seed)
    return np.column_stack([places[:, 0] * part.length, part.lower + places[:, 1] * part.width])


def random_places(count: int, seed: int) -> Floats:
    """(count, 2) points spread evenly over the unit square."""
    return np.random.Generator(np.random.PCG64(seed)).random((count, 2))


def wrap_sites(part: PatternedPart, sites: Floats) -> Floats:
    """Sites with u in [0, length) and v kept off the borders by a hair, so that each keeps a cell of its own."""
    hair = 1e-6 * part.width
    u = np.mod(sites[:, 0], part.length)
    u[u >= part.length] = 0.0
    return np.column_stack([u, np.clip(sites[:, 1], part.lower + hair, part.upper - hair)])


def random_disc(count: int, seed: int) -> Floats:
    """(count, 2) points spread evenly over the unit disc, from PCG64."""
    draw = np.random.Generator(np.random.PCG64(seed)).random((count, 2))
    radius, angle = np.sqrt(draw[:, 0]), 2.0 * np.pi * draw[:, 1]
    return np.column_stack([radius * np.cos(angle), radius * np.sin(angle)])
