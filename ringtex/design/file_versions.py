"""Versions of our files: what a file says it is, and the pure steps that bring an old one up to date.

To change a format: append one pure step (old dict in, new dict out, the argument untouched) to STEPS, which raises the
version that is written, and keep a sample of the old version in `tests/old_files/`, where a test reads them all.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import Any, Final

from ringtex.basics.errors import InputError
from ringtex.design.json_text import json_kind

DESIGN_KIND: Final = "ringtex.design"
PATTERN_KIND: Final = "ringtex.pattern"

Step = Callable[[Mapping[str, Any]], dict[str, Any]]


def name_wall_width(old: Mapping[str, Any]) -> dict[str, Any]:
    """From version 1 to 2: `relief.ridge` is the level strip along every wall, which between raised cells is a groove,
    so it is called `relief.wall_width`.

    Raises: InputError where the old and the new key are both there.
    """
    relief = old.get("relief")
    if not isinstance(relief, dict) or "ridge" not in relief:
        return dict(old)
    if "wall_width" in relief:
        message = "ridge and wall_width are the old and the new name of one key"
        raise InputError(message, "Keep wall_width", "relief.ridge")
    return {**old, "relief": {"wall_width" if key == "ridge" else key: value for key, value in relief.items()}}


STEPS: Final[Mapping[str, Sequence[Step]]] = {DESIGN_KIND: (name_wall_width,), PATTERN_KIND: (name_wall_width,)}
"""For each kind of file, the step from version 1 to 2, from 2 to 3, and so on."""

_OLD_KEYS: Final = {1: {"relief.wall_width": "relief.ridge"}}
"""By version, the key of a file of that version for a key of the current one, where they differ."""


def current_version(kind: str, steps: Mapping[str, Sequence[Step]] = STEPS) -> int:
    """The version that is written now: one more than there are steps."""
    return len(steps[kind]) + 1


def upgraded(data: Mapping[str, Any], kind: str, steps: Mapping[str, Sequence[Step]] = STEPS) -> dict[str, Any]:
    """The data as the current version would have it, without `kind` and `version`; the argument is untouched.

    Parameters:
        data: the object of the file.
        kind: the kind of file that is expected.
        steps: upgrade steps of each kind.
    Returns: a new object of the current version, without kind and version.
    Raises: InputError for a file of another kind, without a version, or from a newer version of ringtex.
    """
    _refuse_other_kind(data, kind)
    version = _version(data)
    newest = current_version(kind, steps)
    if version > newest:
        message = f"this file is of version {version}, and this ringtex reads versions up to {newest}"
        raise InputError(message, "Open it with a newer ringtex", "version")
    body = {key: value for key, value in data.items() if key not in ("kind", "version")}
    for step in steps[kind][version - 1 :]:
        body = step(body)
    return body


@contextmanager
def old_key_names(data: Mapping[str, Any]) -> Iterator[None]:
    """Give errors of the block the keys that stand in the file `data`, which may be of an older version."""
    try:
        yield
    except InputError as error:
        where = _OLD_KEYS.get(data["version"], {}).get(error.where, error.where)
        raise InputError(error.message, error.advice, where) from None


def _refuse_other_kind(data: Mapping[str, Any], kind: str) -> None:
    given = data.get("kind")
    if given == kind:
        return
    if given == PATTERN_KIND:
        advice = "Make a design from it with `ringtex new --from PATTERN --out FILE`"
        raise InputError("this is a pattern, not a whole design", advice, "kind")
    if given == DESIGN_KIND:
        raise InputError("this is a whole design, not a pattern", "Name a *.pattern.json file", "kind")
    shown = "it is missing" if "kind" not in data else f"not {json_kind(given)}"
    raise InputError(f'"{kind}" was expected, {shown}', "Check that this is a ringtex file", "kind")


def _version(data: Mapping[str, Any]) -> int:
    version = data.get("version")
    if not isinstance(version, int) or isinstance(version, bool) or version < 1:
        shown = "it is missing" if "version" not in data else f"not {json_kind(version)}"
        raise InputError(
            f"a whole number from 1 was expected, {shown}",
            f'Write "version": {current_version(DESIGN_KIND)}',
            "version",
        )
    return version
