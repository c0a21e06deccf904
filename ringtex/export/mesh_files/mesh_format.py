"""What the program knows of a kind of mesh file. Each format gives its record in a file of its own."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import BinaryIO, Final

from ringtex.export.mesh_files.number_text import ROUNDING_MM
from ringtex.export.mesh_files.read_back import Rounding
from ringtex.solid.mesh.ring_mesh import RingMesh


@dataclass(frozen=True)
class MeshFormat:
    """How one kind of mesh file is written and read, how far it rounds, and what it is good for, in a few words.

    recognise: a quicker reading of what was just written, which gives None for all but exactly that; None for none.
    """

    name: str
    ending: str
    write: Callable[[RingMesh, BinaryIO], None]
    read: Callable[[bytes, bool], RingMesh]
    rounding: Rounding
    about: str
    recognise: Callable[[RingMesh, bytes], RingMesh | None] | None = None


FLOAT32_ROUNDING: Final = Rounding(share=2.0**-24)
"""Of coordinates written as 32-bit floating point numbers."""

TEXT_ROUNDING: Final = Rounding(absolute_mm=ROUNDING_MM)
"""Of coordinates written as decimal numbers."""
