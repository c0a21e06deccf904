"""Pictures put beside each other in one file, with words under them."""

from __future__ import annotations

import os
from collections.abc import Sequence
from typing import Final

import numpy as np

from ringtex.basics.arrays import Bytes
from ringtex.basics.safe_files import written_beside

TEXT_SHARE: Final = 0.05
"""Height of the words as a share of a picture's side."""

INK: Final = (40, 40, 44)


def write_side_by_side(
    rows: Sequence[Sequence[Bytes]], captions: Sequence[Sequence[str]], path: str | os.PathLike[str]
) -> None:
    """Write rows of equally large pictures (h, w, 3) as one PNG, each column's lines of words below it.

    Raises: OutputError where the file cannot be written.
    """
    from PIL import Image, ImageDraw, ImageFont

    height, width = rows[0][0].shape[:2]
    size = max(10, round(TEXT_SHARE * width))
    font = ImageFont.load_default(size)
    lines = max(len(caption) for caption in captions)
    body = np.concatenate([np.concatenate(list(row), axis=1) for row in rows], axis=0)
    foot = np.full((round(1.4 * size * (lines + 1)), body.shape[1], 3), 255, dtype=np.uint8)
    sheet = Image.fromarray(np.concatenate([body, foot], axis=0))
    draw = ImageDraw.Draw(sheet)
    for column, caption in enumerate(captions):
        for line, words in enumerate(caption):
            at = (column * width + size, len(rows) * height + round(1.4 * size * (line + 0.5)))
            draw.text(at, words, fill=INK, font=font)
    with written_beside(path) as beside:
        sheet.save(beside, format="PNG")
