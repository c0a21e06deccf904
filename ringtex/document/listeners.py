"""Who wants to be told of changes."""

from __future__ import annotations

import sys
from collections.abc import Callable

Callback = Callable[[], None]


class Listeners:
    """Callbacks in the order in which they came."""

    def __init__(self) -> None:
        self._callbacks: dict[object, Callback] = {}

    def add(self, callback: Callback) -> Callback:
        """Call `callback` at every `tell` from now on. Returns the function that ends this; it may be called twice."""
        key = object()
        self._callbacks[key] = callback
        return lambda: (self._callbacks.pop(key, None), None)[1]

    def tell(self) -> None:
        """Call everybody. One that fails does not keep the others from being told: its error goes to
        `sys.excepthook`, like that of any event handler.
        """
        for key, callback in list(self._callbacks.items()):
            if key not in self._callbacks:
                continue
            try:
                callback()
            except Exception as error:
                sys.excepthook(type(error), error, error.__traceback__)
