"""A finger size in words, as the option --size takes it."""

from __future__ import annotations

from ringtex.band.finger_size import SCALES, FingerSize
from ringtex.basics.errors import InputError


def scale_and_value(words: str, otherwise: str = "iso") -> tuple[str, str]:
    """The scale that stands before a value, as in "us 6.75"; where none does, the other one."""
    first, _, rest = words.strip().partition(" ")
    return (first.lower(), rest.strip()) if first.lower() in SCALES else (otherwise, words.strip())


def size_from_words(words: str) -> FingerSize:
    """ "56" is ISO; otherwise the scale comes first: "us 6.75", "uk L 1/2".

    Raises: InputError with what the scale expects.
    """
    scale, value = scale_and_value(words)
    try:
        return FingerSize(scale, value)
    except InputError as error:
        advice = f'{error.advice}; for another scale write it first, as in "us 6.75" ({", ".join(SCALES)})'
        raise InputError(error.message, advice, "--size") from None
