"""A deliberately bad design: nearly everything that a caster sends back."""

from __future__ import annotations

from typing import Any

from zoo import band, plain_design, station


def bad_design() -> dict[str, Any]:
    """A tall dome with paper-thin edges and hollow, hair-thin ridges, low relief and flanks that no mould lets go."""
    return plain_design(
        name="Sent back by the caster",
        band=band(None, station(0, 18, 11, 0.35), station(180, 5, 1.5, 1.2)),
        pattern={"around": 20},
        relief={"form": "sunk", "depth": 0.12, "wall_width": 0.25, "flank": 88},
        hollow={"wall": 0.6},
        make={"process": "mould_and_cast"},
    )
