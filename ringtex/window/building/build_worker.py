"""Builds rings beside the window: the newest design wins, a draft at once, the fine mesh when the pointer rests.

Drafts and final meshes have a thread each, so that a draft never waits for a final mesh that is being given up. The
threads touch no widget: what they have to say goes through queued signals, so everything that listens is called in the
window's thread.
"""

from __future__ import annotations

import sys
import threading
import time
from collections.abc import Callable
from typing import Final

from PySide6.QtCore import QObject, Qt, Signal, Slot
from threadpoolctl import threadpool_limits

from ringtex.basics.errors import Cancelled, RingtexError, SelfCheckError
from ringtex.basics.free_memory import return_free_memory
from ringtex.basics.progress import Progress
from ringtex.basics.tolerances import FINAL_CHORD_MM
from ringtex.design.design import Design
from ringtex.make_ring import make_ring, shape_ring
from ringtex.strip.true_size import true_size
from ringtex.window.building.drawable_ring import View, make_view
from ringtex.window.building.prompt_cancel import cancelled_at_calls

__all__ = ["REST_SECONDS", "BuildWorker", "View"]

REST_SECONDS: Final = 0.25
"""The hand rests when no change came for so long: longer than the pause between two steps of a wheel."""


DRAFT_MM: Final = 0.03
"""Largest distance between a draft and the true surface: about a pixel of the ring on the screen. With the core's 0.02
a half-round ring of 60 x 15 cells takes twice as long (82 against 49 ms) and looks the same."""


MANY_AROUND: Final = 40
MANY_DRAFT_MM: Final = 0.05
"""The same with so many repeats or more: small cells bound the error themselves, and a dome of 60 x 15 cells takes 49
in place of 61 ms."""

HELD_SECONDS: Final = 0.05
"""How often it is seen whether a drag that holds the final mesh up is over."""

LATE_SECONDS: Final = 2.0
"""A draft that has taken longer than this gives way to a newer request: nobody waits for what was wanted before."""


class _Job:
    """One build: frozen input, and its own progress, which tells `listener`."""

    def __init__(self, design: Design, is_draft: bool, listener: Callable[[_Job, str, float], None]) -> None:
        self.design = design
        self.is_draft = is_draft
        self.begun = time.monotonic()
        self.progress = Progress(lambda stage, fraction: listener(self, stage, fraction))


class BuildWorker(QObject):
    """Builds the newest requested design in threads of its own.

    A running draft is finished, unless it takes very long (during a long drag each cancelled draft would leave the
    views standing still); a running final mesh gives way to a new request within milliseconds. The last good View
    stays valid for as long as it is wanted. held: whether a drag is open, during which no final mesh is begun.
    in_true_size: whether the strip is drawn in true size, so that the map for it is made here and not in the window.
    """

    built = Signal(object)
    """A View: first the draft, then the final mesh."""
    failed = Signal(object, object)
    """The design that cannot be built, and the RingtexError that says why."""
    busy = Signal(str, float)
    """The stage at work and the fraction done; ("", 1.0) when nothing is left to do."""

    _finished = Signal(object, object)
    _progressed = Signal(object, str, float)

    def __init__(
        self,
        parent: QObject | None = None,
        held: Callable[[], bool] = lambda: False,
        in_true_size: Callable[[], bool] = lambda: False,
    ) -> None:
        super().__init__(parent)
        self._held = held
        self._in_true_size = in_true_size
        self._modules = 0
        self._condition = threading.Condition()
        self._draft: _Job | None = None
        self._final: _Job | None = None
        self._final_due = 0.0
        self._running: dict[bool, _Job] = {}
        self._stopping = False
        self._finished.connect(self._tell_finished, Qt.ConnectionType.QueuedConnection)
        self._progressed.connect(self._tell_progress, Qt.ConnectionType.QueuedConnection)
        self._threads = [
            threading.Thread(target=self._work, args=(take,), name=name, daemon=True)
            for name, take in (("drafts", self._take_draft), ("final meshes", self._take_final))
        ]
        for thread in self._threads:
            thread.start()

    def request(self, design: Design) -> None:
        """Build this design; it takes the place of whatever was waiting."""
        with self._condition:
            self._draft = _Job(design, True, self._hear_progress)
            self._final = _Job(design, False, self._hear_progress)
            self._final_due = time.monotonic() + REST_SECONDS
            for job in self._running.values():
                if not job.is_draft or time.monotonic() - job.begun > LATE_SECONDS:
                    job.progress.cancel()
            self._condition.notify_all()

    def cancel(self) -> None:
        """Stop what is being built and forget what is waiting; the last View stays."""
        with self._condition:
            self._forget()
        self.busy.emit("", 1.0)

    @property
    def idle(self) -> bool:
        """Nothing is being built and nothing waits."""
        with self._condition:
            return self._draft is None and self._final is None and not self._running

    def stop(self, seconds: float = 10.0) -> bool:
        """End the threads; nothing is told afterwards. Gives False where they did not end in time."""
        until = time.monotonic() + seconds
        with self._condition:
            self._stopping = True
            self._forget()
            self._condition.notify_all()
        for thread in self._threads:
            thread.join(max(until - time.monotonic(), 0.0))
        return not any(thread.is_alive() for thread in self._threads)

    def _forget(self) -> None:
        self._draft = self._final = None
        for job in self._running.values():
            job.progress.cancel()

    def _take_draft(self) -> tuple[_Job | None, float | None]:
        """The draft to begin now, or None and how long to wait (None: until something happens)."""
        job, self._draft = self._draft, None
        return job, None

    def _take_final(self) -> tuple[_Job | None, float | None]:
        """The final mesh to begin now: when no drag is open, nothing changed for a while, and no draft comes first."""
        if self._final is None or self._draft is not None or True in self._running:
            return None, None
        if self._held():
            self._final_due = time.monotonic() + REST_SECONDS
            return None, HELD_SECONDS
        wait = self._final_due - time.monotonic()
        if wait > 0.0:
            return None, wait
        job, self._final = self._final, None
        return job, None

    def _next_job(self, take: Callable[[], tuple[_Job | None, float | None]]) -> _Job | None:
        """Wait for the next thing to build; None at the end."""
        with self._condition:
            while not self._stopping:
                job, wait = take()
                if job is not None:
                    job.begun = time.monotonic()
                    self._running[job.is_draft] = job
                    return job
                self._condition.wait(wait)
        return None

    def _work(self, take: Callable[[], tuple[_Job | None, float | None]]) -> None:
        """One of the threads."""
        while (job := self._next_job(take)) is not None:
            self._say(job, self._build(job))
            is_draft, job = job.is_draft, None
            if not is_draft and self.idle:
                return_free_memory()

    def _say(self, job: _Job, result: View | RingtexError) -> None:
        with self._condition:
            del self._running[job.is_draft]
            if job.is_draft and isinstance(result, RingtexError) and self._final is not None:
                # What cannot be drafted cannot be finished either; only the newest design may keep its final job.
                self._final = None if self._final.design is job.design else self._final
            self._condition.notify_all()
            if self._stopping:
                return
        self._finished.emit(job, result)

    def _build(self, job: _Job) -> View | RingtexError:
        """Build one job; whatever goes wrong comes back as an error with a sentence."""
        self._keep_to_one_thread()
        try:
            if job.is_draft:
                chord = DRAFT_MM if job.design.pattern.around < MANY_AROUND else MANY_DRAFT_MM
                shaped = shape_ring(job.design, chord, job.progress, is_draft=True)
                if self._in_true_size():
                    true_size(shaped.strip)
                return make_view(shaped, is_draft=True)
            with cancelled_at_calls(job.progress):
                built = make_ring(job.design, FINAL_CHORD_MM, job.progress)
                true_size(built.strip)
                return make_view(built, is_draft=False)
        except RingtexError as error:
            # The frames of the trace hold the arrays of the stage that gave up.
            return error if isinstance(error, SelfCheckError) else error.with_traceback(None)
        except MemoryError:
            return RingtexError("There is not enough memory for this ring", "Use fewer cells, or close other programs")
        except Exception as error:
            fault = SelfCheckError("This ring could not be built: a fault of ringtex", "Undo the last change", "")
            fault.__cause__ = error
            return fault

    def _keep_to_one_thread(self) -> None:
        """More threads of linear algebra than one take the cores from the window and from the draft."""
        # Looking through the loaded libraries takes 2 ms, and there are new ones only where modules were imported.
        if len(sys.modules) != self._modules:
            threadpool_limits(limits=1, user_api="blas")
            self._modules = len(sys.modules)

    def _hear_progress(self, job: _Job, stage: str, fraction: float) -> None:
        """In the worker thread: hand progress to the window's thread."""
        if not self._stopping:
            self._progressed.emit(job, stage, fraction)

    @Slot(object, object)
    def _tell_finished(self, job: _Job, result: View | RingtexError) -> None:
        """In the window's thread: pass a result on."""
        if self._stopping:
            return
        if not job.progress.cancelled:
            if isinstance(result, View):
                self.built.emit(result)
            elif not isinstance(result, Cancelled):
                self.failed.emit(job.design, result)
        if self.idle:
            self.busy.emit("", 1.0)

    @Slot(object, str, float)
    def _tell_progress(self, job: _Job, stage: str, fraction: float) -> None:
        """In the window's thread: pass progress on, of the job that runs now."""
        if self._running.get(job.is_draft) is job and not self._stopping:
            self.busy.emit(stage, fraction)
