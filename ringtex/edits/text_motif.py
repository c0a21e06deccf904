"""A line of text as the outline of a motif."""

from __future__ import annotations

from typing import Final

import numpy as np

from ringtex.basics.errors import InputError
from ringtex.pattern.motif.import_motif import ImportedMotif
from ringtex.pattern.motif.motif_options import MAX_TEXT, MotifOptions
from ringtex.pattern.motif.motif_outline import GRID, cleaned, filled, outline_text
from ringtex.solid.finishing.inscription_options import PACKAGED_FONT
from ringtex.solid.finishing.letter_outlines import text_outlines

CAPITALS_MM: Final = 10.0
"""Height of capital letters of the page; only its proportion counts."""

CHORD_MM: Final = 0.005
"""Of the letters' curves on that page: 0.002 mm where letters are 4 mm high on the ring."""


def text_motif(text: str, font: str = PACKAGED_FONT) -> ImportedMotif:
    """The motif that a line of text makes: its outlines joined, as large as they are.

    Raises: InputError for a text or font that cannot be used.
    """
    text = text.strip()
    if not text or len(text) > MAX_TEXT or not text.isprintable():
        message = "this text cannot be a motif" if text else "there is no text"
        raise InputError(message, f"Write at most {MAX_TEXT} ordinary characters on one line", "motif text")
    try:
        lines = text_outlines(text, font, CAPITALS_MM, CHORD_MM)
    except InputError as error:
        where = error.where.replace("inscription.", "motif ")
        raise InputError(error.message, error.advice, where) from None
    if not lines:
        raise InputError("this text has no letters that are seen", "Write some", "motif text")
    points = np.concatenate(lines)
    low, size = points.min(axis=0), np.ptp(points, axis=0)
    scale = GRID / float(size.max())
    outline = cleaned(filled([(line - low) * scale for line in lines], "nonzero", "motif text"), "motif text")
    width, height = size.tolist()
    return ImportedMotif(MotifOptions(outline_text(outline), text[:60], width, height, text=text, font=font), ())
