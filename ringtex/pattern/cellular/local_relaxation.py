"""How the neighbours of sites that came, went or moved make room, while all beyond stays as it is."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.basics.progress import Progress
from ringtex.pattern.cellular.lloyd_relaxation import OVER_RELAXATION, cell_sums
from ringtex.pattern.cellular.site_edits import apart
from ringtex.pattern.cellular.sites import wrap_sites
from ringtex.pattern.patterned_part import GrownSites, PatternedPart

MAX_STEPS: Final = 12
"""Relaxing steps at scatter 0; after these the neighbours hardly move."""

REACH: Final = 3.0
"""How far a change is felt, in usual distances of sites."""

HAIR: Final = 0.01
"""A site that is held within this share of the usual distance from where it grew has not moved."""


def settled(part: PatternedPart, sites: GrownSites, scatter: float, progress: Progress) -> GrownSites:
    """The sites after those near a change have made room by Lloyd's steps, the fewer the more scatter is asked for.

    Held sites stay where they are. Raises Cancelled.
    """
    weights = _weights(part, sites)
    steps = MAX_STEPS * (1.0 - scatter) ** 2 if np.any(weights > 0.0) else 0.0
    places = sites.places
    for step in range(math.ceil(steps)):
        progress.check()
        share = OVER_RELAXATION * min(1.0, steps - step) * weights[:, None]
        moved = places + share * (cell_sums(part, places).centroids - places)
        places = np.where(weights[:, None] > 0.0, wrap_sites(part, moved), places)
    return replace(sites, places=places)


def _weights(part: PatternedPart, sites: GrownSites) -> Floats:
    """(n,) how fully each site follows: 1 beside a change, 0 beyond its reach and for held sites."""
    spacing = math.sqrt(part.area / len(sites.places))
    weights = np.zeros(len(sites.places))
    for place in _changes(part, sites, HAIR * spacing):
        away = np.hypot(*apart(part, sites.places - place).T) / (REACH * spacing)
        np.maximum(weights, np.clip(1.0 - away * away, 0.0, 1.0), out=weights)
    weights[sites.fixed] = 0.0
    return weights


def _changes(part: PatternedPart, sites: GrownSites, hair_mm: float) -> Floats:
    """(k, 2) where a site came or went, and the old and the new place of each that moved."""
    known = np.flatnonzero(sites.origin >= 0)
    before = sites.grown[sites.origin[known]]
    moved = np.hypot(*apart(part, sites.places[known] - before).T) > hair_mm
    gone = np.setdiff1d(np.arange(len(sites.grown)), sites.origin[known])
    added = sites.places[sites.origin < 0]
    return np.concatenate([before[moved], sites.places[known[moved]], sites.grown[gone], added])
