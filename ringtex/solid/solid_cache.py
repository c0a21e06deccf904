"""Cache of the last unfinished rings, for changes of stones, plain places, letters, hollow or making alone."""

from __future__ import annotations

import hashlib
from dataclasses import fields, is_dataclass
from typing import Any, Final

import numpy as np

from ringtex.basics.caches import BoundedCache
from ringtex.basics.progress import Progress
from ringtex.pattern.patterned_part import Pattern
from ringtex.relief.make_relief import Relief
from ringtex.solid.build_solid import build_solid
from ringtex.solid.mesh.ring_mesh import RingSolid
from ringtex.strip.strip_map import StripMap

CACHED_SOLIDS: Final = 2
"""A draft and a fine mesh."""

_cache: Final[BoundedCache[tuple[Any, ...], RingSolid]] = BoundedCache(CACHED_SOLIDS)


def cached_solid(strip: StripMap, pattern: Pattern, relief: Relief, chord_mm: float, progress: Progress) -> RingSolid:
    """The result of `build_solid`, or of `build_free_form` for an own motif, cached by the contents of its inputs.

    Parameters:
        strip, pattern, relief: those of one ring.
        chord_mm: chord tolerance, mm.
        progress: where cancelling is looked for.
    Returns: the ring's mesh with its regions.
    Raises: Cancelled; InputError as `build_solid` and `build_free_form`.
    """
    key = (strip, _digest(pattern.tiling), _digest(pattern.motif), _digest(relief), chord_mm)
    solid = _cache.get(key)
    if solid is None:
        solid = _built(strip, pattern, relief, chord_mm, progress)
        _cache.put(key, solid)
    return solid


def _built(strip: StripMap, pattern: Pattern, relief: Relief, chord_mm: float, progress: Progress) -> RingSolid:
    if pattern.motif is None:
        return build_solid(strip, pattern.tiling, relief, chord_mm, progress)
    from ringtex.solid.free_form.build_free_form import build_free_form

    return build_free_form(strip, pattern.motif, relief, chord_mm, progress)


def _digest(value: Any) -> bytes:
    """A digest of every field, arrays by their bytes."""
    digest = hashlib.blake2b(digest_size=16)
    _add(digest, value)
    return digest.digest()


def _add(digest: Any, value: Any) -> None:
    if isinstance(value, np.ndarray):
        digest.update(repr((value.shape, value.dtype.str)).encode())
        digest.update(np.ascontiguousarray(value).data)
    elif is_dataclass(value):
        for field in fields(value):
            digest.update(field.name.encode())
            _add(digest, getattr(value, field.name))
    else:
        digest.update(repr(value).encode())
