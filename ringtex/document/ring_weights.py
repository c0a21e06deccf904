"""A built ring's weights."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from ringtex.checks.making.weights import AlloyWeights, Amounts, measure_amounts, weights_in, weights_in_every_alloy
from ringtex.export.mesh_files.casting_pattern import casting_mesh

if TYPE_CHECKING:
    from ringtex.make_ring import BuiltRing


def ring_amounts(built: BuiltRing) -> Amounts:
    """How much metal there is as drawn, as cast and as finished."""
    make = built.design.make
    cast = casting_mesh(built.finished.mesh, built.strip.band, replace(make, shrinkage_percent=0.0))
    return measure_amounts(built.finished, built.solid, cast.volume, make.polish_mm)


def ring_weights(built: BuiltRing) -> AlloyWeights:
    """The weights in the design's own alloy."""
    return weights_in(ring_amounts(built), built.design.make.material, built.report.readings.stones_weight_g)


def ring_weights_in_every_alloy(built: BuiltRing) -> list[AlloyWeights]:
    """The same ring in every metal of the table."""
    return weights_in_every_alloy(ring_amounts(built), built.report.readings.stones_weight_g)
