"""What every measure of a ring found, as drawn and as finishing leaves it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from ringtex.checks.finding import Finding, Kind
from ringtex.checks.geometry.folding import FoldMargin
from ringtex.checks.geometry.seam import SeamReading
from ringtex.checks.making.balance import Balance
from ringtex.checks.making.bore_size import BoreSize
from ringtex.checks.making.detail import FinestDetail
from ringtex.checks.making.thickness import HollowWall, LettersMetal, ThinnestMetal

THINNED_BY_POLISHING: Final = {Kind.THIN_METAL, Kind.THIN_RIDGE}
"""Findings about what finishing makes thinner."""


@dataclass(frozen=True)
class Measures:
    """Of one ring. wall: of a hollow; letters, letters_size: of an inscription; None where there is none."""

    metal: ThinnestMetal
    wall: HollowWall | None
    fold: FoldMargin
    seam: SeamReading
    detail: FinestDetail
    size: BoreSize
    balance: Balance
    letters: LettersMetal | None
    letters_size: BoreSize | None

    @property
    def thinnest(self) -> ThinnestMetal | LettersMetal:
        """The thinnest metal over the finger hole, letters counted."""
        if self.letters is not None and self.letters.metal_mm < self.metal.metal_mm:
            return self.letters
        return self.metal

    def after_polishing(self, loss_mm: float) -> Measures:
        """The same when finishing has taken loss_mm off every face of the outside.

        What it takes off the bore is made up for in the pattern, and no hollow is reached, so that metal loses it once;
        a ridge loses it on both flanks, and a groove is wider by as much.
        """
        if loss_mm == 0.0:
            return self
        metal = replace(self.metal, metal_mm=self.metal.metal_mm - loss_mm, edge_mm=self.metal.edge_mm - loss_mm)
        wall = replace(self.wall, wall_mm=self.wall.wall_mm - loss_mm) if self.wall is not None else None
        letters = self.letters and replace(self.letters, metal_mm=self.letters.metal_mm - loss_mm)
        ridge, groove = self.detail.ridge_mm, self.detail.groove_mm
        detail = replace(
            self.detail,
            ridge_mm=ridge - 2.0 * loss_mm if ridge is not None else None,
            groove_mm=groove + 2.0 * loss_mm if groove is not None else None,
        )
        return replace(self, metal=metal, wall=wall, letters=letters, detail=detail)


def annotate_finishing(finding: Finding, loss_mm: float) -> Finding:
    """The finding, saying that it holds after finishing, where that makes a difference."""
    if loss_mm == 0.0 or finding.kind not in THINNED_BY_POLISHING:
        return finding
    return replace(finding, message=f"{finding.message}, once finishing has taken {loss_mm:g} mm off each face")
