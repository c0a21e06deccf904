"""Progress and cancel, with written semantics.

Cancel is sticky (once cancelled, always cancelled) and may be called from any thread or a signal handler. The
fraction is
monotone: a report of less than was reported before is ignored. `check` raises `Cancelled`; long loops call it at
every step.
"""

from __future__ import annotations

import math
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from ringtex.basics.errors import Cancelled

Listener = Callable[[str, float], None]

LONG_SECONDS, SHORT_SECONDS = 8.0, 2.5
"""A job that is expected to take longer says so before the stage that makes it so; but not for a short stage."""


class Progress:
    """One job's progress: named stages, a fraction from 0 to 1, a cancel flag and the seconds spent in each stage."""

    def __init__(self, listener: Listener | None = None) -> None:
        self._listener = listener
        self._cancelled = threading.Event()
        self._fraction = 0.0
        self._stage = ""
        self._span = (0.0, 1.0)
        self.seconds: dict[str, float] = {}

    @property
    def fraction(self) -> float:
        """The largest fraction reported so far."""
        return self._fraction

    @property
    def cancelled(self) -> bool:
        """True once `cancel` has been called."""
        return self._cancelled.is_set()

    def cancel(self) -> None:
        """Ask the job to stop at its next `check`."""
        self._cancelled.set()

    def check(self) -> None:
        """Raise `Cancelled` if the job was asked to stop."""
        if self._cancelled.is_set():
            raise Cancelled

    def report(self, fraction: float) -> None:
        """Tell the listener how far the job is; also a place where it can be cancelled."""
        self.check()
        self._fraction = max(self._fraction, min(1.0, fraction))
        if self._listener is not None:
            self._listener(self._stage, self._fraction)

    def within(self, share: float) -> None:
        """Report a share, 0 to 1, of the stage that runs: for long stages that know how far they are."""
        begin, end = self._span
        self.report(begin + min(max(share, 0.0), 1.0) * (end - begin))

    def expect(self, seconds: float) -> None:
        """Tell the listener beforehand how long the stage at work will take, where that is long.

        The stage is then called "pattern, about 30 s": processor time where the rates were measured, in fives. Stages
        that have ended count towards what is long.
        """
        if seconds > SHORT_SECONDS and seconds + sum(self.seconds.values()) > LONG_SECONDS:
            self._stage = f"{self._stage.partition(',')[0]}, about {5 * math.ceil(seconds / 5.0)} s"
            self.report(self._fraction)

    @contextmanager
    def stage(self, name: str, until: float) -> Iterator[None]:
        """A named stage that ends at fraction `until`; its seconds are added up under its name."""
        self.check()
        self._stage = name
        self._span = (self._fraction, max(until, self._fraction))
        self.report(self._fraction)
        begin = time.perf_counter()
        try:
            yield
        finally:
            self.seconds[name] = self.seconds.get(name, 0.0) + time.perf_counter() - begin
        self.report(until)
