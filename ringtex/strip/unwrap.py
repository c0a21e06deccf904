"""The strip of a band, by the kind of band and the quantity to keep."""

from __future__ import annotations

from typing import Final

from ringtex.band.band import Band
from ringtex.basics.caches import BoundedCache
from ringtex.strip.strip_map import StripMap
from ringtex.strip.strip_options import Keep, StripOptions

CACHED_STRIPS: Final = 8
"""Unwrapped bands remembered: one per design at hand and way to flatten; each takes about 2 MB."""

_cache: Final[BoundedCache[tuple[Band, Keep], StripMap]] = BoundedCache(CACHED_STRIPS)


def unwrap(band: Band, keep: Keep) -> StripMap:
    """The strip of a band, flattened so that lengths, shapes or areas are kept.

    The last few strips are remembered, so asking again for an equal band costs nothing; a second thread that asks for
    the same strip waits for the first.
    Raises: InputError for an unknown way to flatten.
    """
    StripOptions(keep)
    return _cache.found_or_made((band, keep), lambda: _flatten(band, keep))


def _flatten(band: Band, keep: Keep) -> StripMap:
    # Imported here, because a plain band does without scipy.
    if band.is_revolution:
        from ringtex.strip.revolved_strip import RevolvedStrip

        return RevolvedStrip(band, keep)
    from ringtex.strip.varied_strip import VariedStrip

    return VariedStrip(band, keep)
