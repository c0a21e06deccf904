"""Names out of a closed list, and what is said of one that is not in it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Final

from ringtex.basics.errors import InputError

ALIKE: Final = 0.72
"""Least similarity (difflib's ratio) of a name that is offered: slips of the keyboard and plurals have 0.8 and more,
words of another kind up to 0.71 ("nothing" and "bunting"); they get the whole list."""

MIN_PART: Final = 3
"""Letters of a part of a name ("pebbles" of "river_pebbles") that is enough to find it."""


def unknown_name(
    message: str,
    given: object,
    known: Iterable[str],
    where: str = "",
    otherwise: str = "",
    titles: Mapping[str, str] | None = None,
) -> InputError:
    """The refusal of a name that is not in a closed list: it offers the nearest one, else it lists them all.

    Parameters:
        message: what is wrong, one sentence without a full stop.
        given: what was given.
        known: the names that can be used.
        where: key path or argument.
        otherwise: advice where no name is near, in place of the list.
        titles: what the screen calls some of the names; who gives a title is offered its name.
    Returns: the error to raise.
    """
    names = list(known)
    near = nearest_name(given, names, titles)
    listed = otherwise or f"Choose one of {', '.join(names)}"
    return InputError(message, f"Did you mean {near!r}?" if near else listed, where)


def nearest_name(
    given: object, known: Iterable[str], titles: Mapping[str, str] | None = None, alike: float = ALIKE
) -> str:
    """The known name most like the given one, or the only one that it is a part of, whatever its case, spaces and
    hyphens; "" where none is alike.

    Parameters:
        given: what was given.
        known: the names that can be used.
        titles: what the screen calls some of them.
        alike: least similarity, 0 to 1.
    Returns: one of the known names, or "".

    >>> known = ["flat", "knife_edge", "river_pebbles", "phyllotaxis"]
    >>> [nearest_name(given, known, {"phyllotaxis": "spiral rows"}) for given in ("Knife-Edge", "falt", "pebbles")]
    ['knife_edge', 'flat', 'river_pebbles']
    >>> nearest_name("spiral row", known, {"phyllotaxis": "spiral rows"}), nearest_name("pony", known)
    ('phyllotaxis', '')
    """
    if not isinstance(given, str) or len(given) > 100:
        return ""
    names = list(known)
    spelt = {plain_name((titles or {}).get(name, name)): name for name in reversed(names)}
    spelt.update((plain_name(name), name) for name in names)
    from difflib import get_close_matches

    near = get_close_matches(plain_name(given), spelt, n=1, cutoff=alike)
    if near:
        return spelt[near[0]]
    parts = (
        {name for spelling, name in spelt.items() if plain_name(given) in spelling} if len(given) >= MIN_PART else set()
    )
    return parts.pop() if len(parts) == 1 else ""


def plain_name(name: str) -> str:
    """A name without what two spellings of it differ by: case, hyphens and underscores."""
    return name.casefold().replace("_", " ").replace("-", " ").strip()
