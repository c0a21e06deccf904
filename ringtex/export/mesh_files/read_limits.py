"""What a mesh file of others may ask for: a small one can declare any amount of work.

Every format's reader looks at the bytes before trimesh does. It hands on what trimesh needs, without materials,
pictures and names, and the number of triangles that must come back, since trimesh drops what it does not understand
without a word.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from ringtex.basics.errors import InputError

MAX_READ_TRIANGLES: Final = 4_000_000
"""Reading and checking take up to 350 bytes a triangle, so that this many stay under 1.5 GB."""

MAX_CORNERS: Final = 64
"""Corners of one polygon. Rings are exported as triangles, and sometimes as quadrilaterals."""

MAX_INSTANCES: Final = 10_000
"""Placed copies of objects in one file."""

MAX_DEPTH: Final = 64
"""Objects within objects."""

MAX_TEXT: Final = 60_000_000
"""Bytes of text: 1.5 million triangles as OBJ, some 10 seconds and 1 GB."""

MAX_BYTES: Final = 100_000_000
"""Of a model unpacked from a package, and of a scene's arrays all together."""

AGAIN: Final = "Export the mesh again"
AS_BINARY: Final = "Export it as binary STL or PLY"
COARSER: Final = "Export the mesh coarser, and as one plain object"


@dataclass(frozen=True)
class Guarded:
    """Bytes that trimesh may read, and how many triangles they hold."""

    data: bytes
    triangles: int


def refuse_many(triangles: int) -> None:
    """Raise InputError where more triangles are declared, or come out of copies, than are read."""
    if triangles > MAX_READ_TRIANGLES:
        raise InputError(
            f"The file holds {triangles} triangles, more than {MAX_READ_TRIANGLES // 10**6} million", COARSER
        )


def refuse_long_text(data: bytes) -> None:
    """Raise InputError where text is longer than is read."""
    if len(data) > MAX_TEXT:
        raise InputError(f"The file is text of more than {MAX_TEXT // 10**6} MB", AS_BINARY)


def counted_copies(roots: list[Any], own: dict[Any, int], within: dict[Any, list[Any]]) -> int:
    """Triangles of all roots and of what they hold, copies counted.

    Parameters:
        roots: the names of the objects that are built.
        own: by name, the triangles of each object itself.
        within: by name, the names of what each object holds.
    Returns: how many.
    Raises: InputError: too many, objects that hold each other without an end, or that are not there.
    """
    counted: dict[Any, tuple[int, int]] = {}

    def count(name: Any, depth: int) -> tuple[int, int]:
        """Triangles and instances of one object."""
        if depth > MAX_DEPTH:
            raise InputError("The objects of the file hold each other without an end", COARSER)
        if name not in own:
            raise InputError("The file builds an object that it does not hold", AGAIN)
        if name not in counted:
            parts = [count(part, depth + 1) for part in within[name]]
            counted[name] = own[name] + sum(part[0] for part in parts), 1 + sum(part[1] for part in parts)
        return counted[name]

    totals = [count(root, 0) for root in roots]
    refuse_many(sum(total[0] for total in totals))
    if sum(total[1] for total in totals) > MAX_INSTANCES:
        raise InputError(f"The file places more than {MAX_INSTANCES:,} copies of objects", COARSER)
    return sum(total[0] for total in totals)
