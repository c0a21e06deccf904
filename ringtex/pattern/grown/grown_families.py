"""Every family that is not a lattice by its name in the design: its cells grow from sites, so that it has no rows that
could climb or slide across."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True)
class GrownFamily:
    """One family of grown cells.

    label          its name on the screen.
    hint           one line about its cells.
    is_random      whether the seed says where its cells stand, also without scatter.
    sample_around  cells round a strip of 24 mm that show it well in a small picture.
    usual_around   cells with which it begins, as for a lattice family.
    usual_scatter  with which it begins: relaxed cells without any are hexagons.
    spans_cells    whether what it shows is larger than a cell: fibres, veins, rings.
    has_cells      whether it is made of cells; else of outlines over the whole strip, as own motifs are.
    """

    label: str
    hint: str
    is_random: bool = True
    sample_around: int = 16
    usual_around: int = 24
    usual_scatter: float = 0.0
    spans_cells: bool = False
    has_cells: bool = True


GROWN_FAMILIES: Final[dict[str, GrownFamily]] = {
    "cellular": GrownFamily("cellular", "Irregular cells, as of foam, mud cracks or pebbles", usual_scatter=0.7),
    "phyllotaxis": GrownFamily(
        "spiral rows", "Spirals by the golden angle, as of pine cones", is_random=False, sample_around=20
    ),
    "blue_noise": GrownFamily("blue noise", "Scattered, none too close to another: with rounding 1, dots"),
    "cracked": GrownFamily("cracked clay", "Plates of dried mud, cracked into smaller ones"),
    "bark": GrownFamily(
        "bark",
        "Long plates across the band, cracked as of an old tree",
        sample_around=20,
        usual_around=30,
        spans_cells=True,
    ),
    "leaf_veins": GrownFamily(
        "leaf veins",
        "A midrib round the ring, side veins and a net of fine ones, as of a leaf",
        sample_around=24,
        usual_around=32,
        spans_cells=True,
    ),
    "wood_grain": GrownFamily(
        "wood grain",
        "Long fibres round the ring that flow in slow waves",
        sample_around=20,
        usual_around=16,
        spans_cells=True,
    ),
    "growth_rings": GrownFamily(
        "growth rings",
        "Wavy rings round a few piths, as of sawn logs",
        sample_around=20,
        usual_around=16,
        spans_cells=True,
        has_cells=False,
    ),
}
"""In the order in which they are shown, after the lattices."""

OUTLINE_FAMILIES: Final = {name: family.label for name, family in GROWN_FAMILIES.items() if not family.has_cells}
"""Those without cells, with their labels."""
