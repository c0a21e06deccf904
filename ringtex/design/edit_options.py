"""What was done by hand to single cells and sites."""

from __future__ import annotations

from dataclasses import dataclass, field

from ringtex.basics.errors import InputError
from ringtex.pattern.cellular.site_edits import SiteEdits
from ringtex.relief.cell_edits import MAX_CELL_EDITS, CellEdit


@dataclass(frozen=True)
class EditOptions:
    """Edits of a design: depths of single cells, and sites that were moved, pinned, added or removed.

    cells  depths of single cells.
    sites  of patterns that grow from sites.

    All are named by places on the strip, as shares of its length and width, so they stay where they are on the ring
    when the pattern around them changes.
    """

    cells: tuple[CellEdit, ...] = ()
    sites: SiteEdits = field(default_factory=SiteEdits)

    def __post_init__(self) -> None:
        if len(self.cells) > MAX_CELL_EDITS:
            message = f"{len(self.cells)} cells are more than can be changed one by one"
            raise InputError(message, f"Give at most {MAX_CELL_EDITS}, or change the relief as a whole", "edits.cells")

    def __bool__(self) -> bool:
        return bool(self.cells or self.sites)
