"""Building beside the window: order, newest wins, failures, cancel, and a window that goes on."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import QTimer
from pytestqt.qtbot import QtBot

from ringtex.basics.errors import Cancelled, InputError, RingtexError
from ringtex.basics.progress import Progress
from ringtex.basics.resources import resource
from ringtex.design.design import Design
from ringtex.design.design_file import read_design
from ringtex.make_ring import BuiltRing, ShapedRing, make_ring, shape_ring
from ringtex.window.building import build_worker
from ringtex.window.building.build_worker import REST_SECONDS, BuildWorker
from ringtex.window.building.drawable_ring import View
from ringtex.window.building.prompt_cancel import cancelled_at_calls


@pytest.fixture
def design() -> Design:
    return read_design(resource("starting_design.ring.json"))


@pytest.fixture
def worker(qtbot: QtBot, final_tolerance: None, monkeypatch: pytest.MonkeyPatch) -> Iterator[BuildWorker]:
    """As in the program, whose pauses are those of a hand."""
    monkeypatch.setattr(build_worker, "REST_SECONDS", REST_SECONDS)
    made = BuildWorker()
    yield made
    assert made.stop()


def deeper(design: Design, depth_mm: float) -> Design:
    return replace(design, relief=replace(design.relief, depth_mm=depth_mm))


def collect(worker: BuildWorker) -> list[View]:
    views: list[View] = []
    worker.built.connect(views.append)
    return views


def test_a_draft_and_then_the_finished_ring(qtbot: QtBot, worker: BuildWorker, design: Design) -> None:
    views = collect(worker)
    worker.request(design)
    qtbot.waitUntil(lambda: len(views) == 2)
    draft, final = views
    assert (draft.is_draft, final.is_draft) == (True, False)
    assert draft.report is None
    assert final.report is not None
    assert len(draft.triangles) <= len(final.triangles)


def test_the_view_holds_the_mesh_that_is_exported(qtbot: QtBot, worker: BuildWorker, design: Design) -> None:
    views = collect(worker)
    worker.request(design)
    qtbot.waitUntil(lambda: len(views) == 2)
    mesh = make_ring(design).solid.mesh
    view = views[-1]
    corners = view.positions[view.triangles]
    np.testing.assert_allclose(corners, mesh.vertices[mesh.faces], atol=2e-6)
    np.testing.assert_allclose(np.linalg.norm(view.normals, axis=1), 1.0, atol=1e-3)
    assert np.unique(view.cell_of_triangle).tolist() == list(range(-1, view.built.pattern.tiling.cells))


def test_signals_come_in_the_windows_thread(qtbot: QtBot, worker: BuildWorker, design: Design) -> None:
    threads: set[threading.Thread] = set()
    worker.built.connect(lambda _: threads.add(threading.current_thread()))
    worker.busy.connect(lambda *_: threads.add(threading.current_thread()))
    with qtbot.waitSignal(worker.built, timeout=10_000):
        worker.request(design)
    assert threads == {threading.main_thread()}


def test_the_newest_request_wins(qtbot: QtBot, worker: BuildWorker, design: Design) -> None:
    views = collect(worker)
    depths = np.linspace(0.2, 0.4, 30)
    for depth in depths:
        worker.request(deeper(design, float(depth)))
    qtbot.waitUntil(lambda: bool(views) and not views[-1].is_draft, timeout=10_000)
    assert len(views) < 8
    assert views[-1].design.relief.depth_mm == depths[-1]


def test_drafts_keep_coming_while_the_hand_moves(qtbot: QtBot, worker: BuildWorker, design: Design) -> None:
    """Requests every 10 ms, faster than drafts can be built: no draft is thrown away half-way for the next one."""
    views = collect(worker)
    for step in range(60):
        worker.request(deeper(design, 0.2 + 0.003 * step))
        qtbot.wait(10)
    seen = len(views)
    assert seen >= 4
    assert all(view.is_draft for view in views[:seen])


def test_what_cannot_be_made_says_so_and_the_next_ring_comes(qtbot: QtBot, worker: BuildWorker, design: Design) -> None:
    failures: list[tuple[Design, RingtexError]] = []
    worker.failed.connect(lambda wanted, error: failures.append((wanted, error)))
    views = collect(worker)
    impossible = replace(design, rails=replace(design.rails, lower_mm=4.5, upper_mm=4.5))
    worker.request(impossible)
    qtbot.waitUntil(lambda: worker.idle and bool(failures))
    assert [(wanted, type(error)) for wanted, error in failures] == [(impossible, InputError)]
    assert failures[0][1].advice
    assert views == []
    worker.request(design)
    qtbot.waitUntil(lambda: len(views) == 2)


def test_cancel_leaves_nothing_waiting(qtbot: QtBot, worker: BuildWorker, design: Design) -> None:
    views = collect(worker)
    failures: list[object] = []
    worker.failed.connect(lambda *told: failures.append(told))
    for depth in (0.2, 0.25, 0.3):
        worker.request(deeper(design, depth))
    worker.cancel()
    qtbot.waitUntil(lambda: worker.idle)
    qtbot.wait(400)
    assert [view for view in views if not view.is_draft] == []
    assert failures == []


def test_a_fault_inside_becomes_a_sentence(
    qtbot: QtBot, worker: BuildWorker, design: Design, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object, **__: object) -> None:
        raise ZeroDivisionError("no")

    monkeypatch.setattr("ringtex.window.building.build_worker.shape_ring", broken)
    with qtbot.waitSignal(worker.failed, timeout=10_000) as told:
        worker.request(design)
    error = told.args[1]
    assert "fault of ringtex" in str(error)
    assert isinstance(error.__cause__, ZeroDivisionError)


def test_the_window_goes_on_while_a_ring_is_built(
    qtbot: QtBot, worker: BuildWorker, design: Design, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every build waits for a tick of a timer in the window's thread: were that thread held up, none would end."""
    ticked, builders = threading.Event(), set()

    def wait_for_the_window(*given: object, **named: object) -> ShapedRing:
        builders.add(threading.get_ident())
        ticked.clear()
        assert ticked.wait(30.0)
        return shape_ring(*given, **named)  # type: ignore[arg-type]

    monkeypatch.setattr(build_worker, "shape_ring", wait_for_the_window)
    timer = QTimer()
    timer.timeout.connect(ticked.set)
    views = collect(worker)
    timer.start(5)
    worker.request(design)
    qtbot.waitUntil(lambda: len(views) == 2, timeout=60_000)
    timer.stop()
    assert builders
    assert threading.get_ident() not in builders


def test_stop_ends_the_thread_in_the_middle_of_a_ring(qtbot: QtBot, design: Design) -> None:
    worker = BuildWorker()
    views = collect(worker)
    worker.request(replace(design, pattern=replace(design.pattern, around=120, across=30)))
    qtbot.wait(30)
    assert worker.stop()
    qtbot.wait(50)
    assert views == []


def test_a_draft_does_not_wait_for_a_final_mesh_that_is_given_up(
    qtbot: QtBot, worker: BuildWorker, design: Design, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The checks of a large ring cannot be stopped half-way; here they last until the new draft is there."""
    inside, go_on = threading.Event(), threading.Event()

    def slow(wanted: Design, tolerance_mm: float, progress: Progress) -> BuiltRing:
        inside.set()
        assert go_on.wait(20.0)
        return make_ring(wanted, tolerance_mm)

    monkeypatch.setattr("ringtex.window.building.build_worker.make_ring", slow)
    views = collect(worker)
    worker.request(design)
    qtbot.waitUntil(inside.is_set)
    newer = deeper(design, 0.35)
    worker.request(newer)
    qtbot.waitUntil(lambda: bool(views) and views[-1].design == newer)
    assert views[-1].is_draft
    monkeypatch.undo()
    go_on.set()
    qtbot.waitUntil(lambda: not views[-1].is_draft)
    assert [view.design for view in views if not view.is_draft] == [newer]


def test_a_very_slow_draft_gives_way_to_a_newer_one(
    qtbot: QtBot, worker: BuildWorker, design: Design, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Held up for ever in a place that can be cancelled, as 28,800 cells are for a while."""
    views, held = collect(worker), threading.Event()
    slow = deeper(design, 0.41)

    def held_up(asked: Design, tolerance_mm: float, progress: Progress, is_draft: bool) -> ShapedRing:
        while asked is slow:
            held.set()
            progress.check()
            time.sleep(0.01)
        return shape_ring(asked, tolerance_mm, progress, is_draft)

    monkeypatch.setattr(build_worker, "shape_ring", held_up)
    monkeypatch.setattr(build_worker, "LATE_SECONDS", 0.3)
    worker.request(slow)
    qtbot.waitUntil(held.is_set)
    qtbot.wait(400)
    worker.request(design)
    qtbot.waitUntil(lambda: bool(views), timeout=60_000)
    assert views[0].design == design


def test_no_final_mesh_is_begun_while_a_drag_is_open(qtbot: QtBot, design: Design) -> None:
    held = True
    worker = BuildWorker(held=lambda: held)
    views = collect(worker)
    worker.request(design)
    qtbot.waitUntil(lambda: len(views) == 1, timeout=30_000)
    qtbot.wait(round(3000 * build_worker.REST_SECONDS))
    assert [view.is_draft for view in views] == [True]
    held = False
    qtbot.waitUntil(lambda: len(views) == 2, timeout=30_000)
    assert not views[1].is_draft
    assert worker.stop()


def test_a_cancelled_job_stops_at_its_next_call() -> None:
    progress, called = Progress(), []

    def work() -> None:
        with cancelled_at_calls(progress):
            Progress().check()
            called.append("before")
            progress.cancel()
            Progress().check()
            called.append("after")

    with pytest.raises(Cancelled):
        work()
    assert called == ["before"]
    # The thread is as it was: a cancelled progress of another job does no harm.
    Progress().check()


def test_a_lock_that_is_held_is_let_go() -> None:
    progress, lock = Progress(), threading.Lock()

    def work() -> None:
        with cancelled_at_calls(progress), lock:
            progress.cancel()
            Progress().check()

    with pytest.raises(Cancelled):
        work()
    assert lock.acquire(blocking=False)
