"""What `ringtex make` tells of weights and cost."""

from __future__ import annotations

from typing import Any

from ringtex.checks.making.weights import metal_cost
from ringtex.document.ring_weights import ring_weights, ring_weights_in_every_alloy
from ringtex.make_ring import BuiltRing


def weight_values(built: BuiltRing, price_per_g: float | None) -> dict[str, Any]:
    """Weights as cast and as finished, in the design's alloy and in every other; the cost where a price is given.

    Raises: InputError for a price that is none.
    """
    own = ring_weights(built)
    return {
        "weights": {
            "as_cast_g": own.cast_g,
            "finished_g": own.finished_g,
            "with_stones_g": own.with_stones_g,
            "polish_mm": built.design.make.polish_mm,
        },
        "alloys": {
            each.alloy.key: {"as_cast_g": each.cast_g, "finished_g": each.finished_g}
            for each in ring_weights_in_every_alloy(built)
        },
        "metal_cost": None if price_per_g is None else metal_cost(own, price_per_g),
    }


def weight_lines(built: BuiltRing, values: dict[str, Any]) -> list[str]:
    """The same for a person, where it says more than the weight as drawn."""
    lines = []
    weights = values["weights"]
    if built.design.make.polish_mm > 0.0:
        lines.append(f"{weights['as_cast_g']:.2f} g as cast, {weights['finished_g']:.2f} g when finished")
    if values["metal_cost"] is not None:
        lines.append(f"The metal as cast costs {values['metal_cost']:.2f} at that price, without sprue and loss")
    return lines
