"""Every lattice family by its name in the design. A new family is one entry in one of the tables joined here."""

from __future__ import annotations

from typing import Final

from ringtex.basics.caches import cached
from ringtex.pattern.grown.grown_families import GROWN_FAMILIES, GrownFamily
from ringtex.pattern.lattice import (
    archimedean_tilings,
    curved_tilings,
    laves_tilings,
    petal_tilings,
    star_tilings,
    straight_rows,
)
from ringtex.pattern.lattice.cell_complex import CellComplex
from ringtex.pattern.lattice.lattice_family import MIN_STEPS, LatticeFamily

LATTICE_FAMILIES: Final[dict[str, LatticeFamily]] = {
    **straight_rows.FAMILIES,
    **archimedean_tilings.FAMILIES,
    **laves_tilings.FAMILIES,
    **star_tilings.FAMILIES,
    **curved_tilings.FAMILIES,
    **petal_tilings.FAMILIES,
}
"""In the order in which they are shown."""

ALL_FAMILIES: Final[dict[str, LatticeFamily | GrownFamily]] = {**LATTICE_FAMILIES, **GROWN_FAMILIES}
"""Those that can be asked for by name: lattices, then grown cells."""


def family_label(family: str) -> str:
    """What the screen and the sheet call a family: its label; "motif" has none."""
    return ALL_FAMILIES[family].label if family in ALL_FAMILIES else family


@cached(128)
def lattice_complex(family: str, steps: int = 0) -> CellComplex:
    """The cell complex of a family of `LATTICE_FAMILIES`; curved walls in so many straight steps, at least two."""
    known = LATTICE_FAMILIES[family]
    return known.make(max(steps, MIN_STEPS)) if known.sagitta else known.make()
