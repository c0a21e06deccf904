"""Bounded caches: the last few results by what they were computed from, all emptied by one call."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from functools import lru_cache
from typing import Any, Generic, ParamSpec, TypeVar, cast

Key = TypeVar("Key", bound=Hashable)
Value = TypeVar("Value")
Given = ParamSpec("Given")

_clearers: list[Callable[[], None]] = []


class BoundedCache(Generic[Key, Value]):
    """The values of the last `size` keys used; safe to use from several threads.

    Made at module level, one for each kind of result: it lives as long as the program.

    >>> squares: BoundedCache[int, int] = BoundedCache(2)
    >>> [squares.found_or_made(n, lambda: n * n) for n in (1, 2, 3)]
    [1, 4, 9]
    >>> squares.get(1), squares.get(3)
    (None, 9)
    """

    def __init__(self, size: int) -> None:
        self._size = size
        self._values: OrderedDict[Key, Value] = OrderedDict()
        self._lock = threading.Lock()
        self._making = threading.Lock()
        _clearers.append(self.clear)

    def get(self, key: Key) -> Value | None:
        """The value of a key, which then counts as just used; None where there is none."""
        with self._lock:
            if key in self._values:
                self._values.move_to_end(key)
            return self._values.get(key)

    def put(self, key: Key, value: Value) -> None:
        """Set the value of a key; the one not used for longest goes."""
        with self._lock:
            self._values[key] = value
            self._values.move_to_end(key)
            while len(self._values) > self._size:
                self._values.popitem(last=False)

    def found_or_made(self, key: Key, make: Callable[[], Value]) -> Value:
        """The value of a key, made where there is none; a second thread that asks meanwhile waits for the first."""
        with self._making:
            value = self.get(key)
            if value is None:
                value = make()
                self.put(key, value)
            return value

    def clear(self) -> None:
        """Forget all values."""
        with self._lock:
            self._values.clear()


def cached(size: int) -> Callable[[Callable[Given, Value]], Callable[Given, Value]]:
    """Decorator: a function of hashable arguments gives its last `size` results again (`functools.lru_cache`)."""

    def decorate(function: Callable[Given, Value]) -> Callable[Given, Value]:
        wrapped: Any = lru_cache(maxsize=size)(function)
        _clearers.append(wrapped.cache_clear)
        return cast(Callable[Given, Value], wrapped)

    return decorate


def clear_all_caches() -> None:
    """Empty every cache, so that the same input is computed anew: what a test of determinism needs."""
    for clear in _clearers:
        clear()
