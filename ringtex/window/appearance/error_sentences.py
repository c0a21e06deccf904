"""Errors as sentences."""

from __future__ import annotations

from ringtex.basics.errors import RingtexError


def sentence_of(error: RingtexError) -> str:
    """What went wrong and what to do, beginning with a capital and ending with a full stop."""
    text = str(error).strip()
    if not text.endswith((".", "?", "!")):
        text += "."
    return text if error.where else text[:1].upper() + text[1:]
