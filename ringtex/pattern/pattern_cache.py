"""Patterns kept for re-use while only the relief changes."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Hashable
from typing import Final

from ringtex.pattern.patterned_part import Pattern

KEPT_RESULTS: Final = 8
"""One of 1000 cells takes about 0.3 MB."""


class PatternCache:
    """The last few patterns by what they were asked for with; safe to use from several threads."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._kept: OrderedDict[Hashable, Pattern] = OrderedDict()

    def get(self, key: Hashable) -> Pattern | None:
        """The pattern kept under the key, which then counts as just used."""
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
            return self._kept.get(key)

    def put(self, key: Hashable, pattern: Pattern) -> None:
        """Keep a pattern; the one not used for longest goes."""
        with self._lock:
            self._kept[key] = pattern
            while len(self._kept) > KEPT_RESULTS:
                self._kept.popitem(last=False)
