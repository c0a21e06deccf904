"""A finger size in words, as the option --size takes it."""

from __future__ import annotations

from ringtex.band.finger_size import SCALES, FingerSize
from ringtex.basics.errors import InputError


def size_from_words(words: str) -> FingerSize:
    """ "56" is ISO; otherwise the scale comes first: "us 6.75", "uk L 1/2".

    Raises: InputError with what the scale expects.
    """
    first, _, rest = words.strip().partition(" ")
    scale, value = (first.lower(), rest.strip()) if first.lower() in SCALES else ("iso", words.strip())
    try:
        return FingerSize(scale, value)
    except InputError as error:
        advice = f'{error.advice}; for another scale write it first, as in "us 6.75" ({", ".join(SCALES)})'
        raise InputError(error.message, advice, "--size") from None
