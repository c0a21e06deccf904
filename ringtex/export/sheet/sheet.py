"""What stands on a workshop sheet, whatever paper or screen it is laid out on."""

from __future__ import annotations

import base64
import io
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ringtex.export.sheet.drawing import Drawing


@dataclass(frozen=True, eq=False)
class SheetPicture:
    """A picture (h, w, 3) uint8 and what it shows."""

    pixels: NDArray[np.uint8]
    caption: str

    def png(self) -> bytes:
        """The picture as a PNG file."""
        from PIL import Image

        stream = io.BytesIO()
        Image.fromarray(self.pixels).save(stream, format="PNG", compress_level=6)
        return stream.getvalue()

    def data_uri(self) -> str:
        """The picture as an address that holds it."""
        return "data:image/png;base64," + base64.b64encode(self.png()).decode("ascii")


@dataclass(frozen=True)
class SheetRow:
    """One row of a block: what it is, and its value; strong rows are what the eye must find first."""

    name: str
    value: str
    strong: bool = False


@dataclass(frozen=True)
class SheetBlock:
    """A titled list of rows. wide: as wide as the page, for sentences."""

    title: str
    rows: tuple[SheetRow, ...]
    wide: bool = False


@dataclass(frozen=True, eq=False)
class Sheet:
    """A workshop sheet. Equal sheets give equal bytes; nothing in it depends on clock or machine.

    title, subtitle  the design's name; size, alloy and process in one line.
    date             as it was given, or empty.
    pictures         in one row. drawing: the ring with its dimensions; flat: its pattern laid flat.
    blocks           tables and lists, in order.
    """

    title: str
    subtitle: str
    date: str
    pictures: tuple[SheetPicture, ...]
    drawing: Drawing
    flat: Drawing
    blocks: tuple[SheetBlock, ...]
