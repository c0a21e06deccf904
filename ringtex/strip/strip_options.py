"""How the band is flattened into the strip."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

from ringtex.basics.known_names import unknown_name

Keep = Literal["length", "shape", "area"]


@dataclass(frozen=True)
class StripOptions:
    """How the band is flattened.

    keep  what the strip keeps of the band: lengths round and across, the shape of small cells, or their area.
    """

    keep: Keep = "shape"

    def __post_init__(self) -> None:
        if self.keep not in get_args(Keep):
            raise unknown_name(f'"{self.keep}" cannot be kept', self.keep, get_args(Keep), "strip.keep")
