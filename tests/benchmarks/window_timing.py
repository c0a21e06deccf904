"""How quick the window is: start, slider to draft, panning, upload, stalls, memory. Prints figures, asserts nothing.

`python tests/benchmarks/window_timing.py [--minutes 1] [--families FAMILY ...]`, under a display. With --families only
the slider is measured, on the starting design with some 24 x 6 cells of each family (of all, where none is named).
Without a graphics card OpenGL is software: the time of its own frames is reported apart, as it says nothing about a
real card. Processor time is what the same takes on a machine that does nothing else.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "window")]

import numpy as np  # noqa: E402
from event_pause import pause  # noqa: E402
from PySide6.QtCore import QElapsedTimer, QEventLoop, QTimer  # noqa: E402
from PySide6.QtGui import QPixmap  # noqa: E402
from PySide6.QtTest import QTest  # noqa: E402

from ringtex.basics.progress import Progress  # noqa: E402
from ringtex.basics.resources import demo_folder, resource  # noqa: E402
from ringtex.design.design import Design  # noqa: E402
from ringtex.design.design_file import read_design  # noqa: E402
from ringtex.make_ring import shape_ring  # noqa: E402
from ringtex.pattern.lattice.families import ALL_FAMILIES, LATTICE_FAMILIES, lattice_complex  # noqa: E402
from ringtex.pattern.pattern_options import PatternOptions  # noqa: E402
from ringtex.window.app.application import make_application  # noqa: E402
from ringtex.window.app.main_window import MainWindow  # noqa: E402
from ringtex.window.building.build_worker import DRAFT_MM, MANY_AROUND, MANY_DRAFT_MM  # noqa: E402
from ringtex.window.building.drawable_ring import View, make_view  # noqa: E402
from ringtex.window.ring_view.opengl.gl_program import opengl_kind  # noqa: E402

STEPS = 60
DEEPER_MM = 0.002
"""Change of the depth from step to step of a drag: from 0.2 to 0.32 mm."""
STARTS = 5
SLOW_FRAME_SECONDS = 0.1
ALONE = 12
"""Drafts timed with nothing beside them, at depths spread over the drag: deep pillows take three times as long as
shallow ones."""
START = """
import time
from ringtex.window.app.application import make_application
from ringtex.window.app.main_window import MainWindow
from PySide6.QtWidgets import QApplication
application = make_application(["ringtex"])
window = MainWindow()
window.begin([])
window.show()
def look():
    canvas = window.ring.canvas
    if window.view is not None and canvas.frame_seconds > 0.0 and canvas.upload_seconds > 0.0:
        print(time.time(), flush=True)
        QApplication.quit()
from PySide6.QtCore import QTimer
timer = QTimer()
timer.timeout.connect(look)
timer.start(2)
application.exec()
window.close_without_asking()
"""


def main() -> int:
    parser = argparse.ArgumentParser(description="Measure the window.")
    parser.add_argument("--minutes", type=float, default=1.0, help="of slider moves for the memory")
    parser.add_argument("--families", nargs="*", help="only the slider with each of these; all where none is named")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        for name in ("XDG_CONFIG_HOME", "XDG_STATE_HOME"):
            os.environ[name] = folder
        if asked.families is None:
            measure_start()
        application = make_application(["ringtex"])
        window = MainWindow()
        window.resize(1280, 720)
        window.begin([])
        window.show()
        QTest.qWaitForWindowExposed(window)
        print(f"OpenGL: {opengl_kind()}; window {window.width()} x {window.height()}")
        if asked.families is None:
            measure_all(window, asked.minutes)
        else:
            for family in asked.families or ALL_FAMILIES:
                measure_slider(window, family, of_family(family))
        window.document.save(Path(folder) / "end.ring.json")
        window.close_without_asking()
        del application
    return 0


def measure_all(window: MainWindow, minutes: float) -> None:
    """Sliders, slow frames, panning, and memory while sliders are moved for so many minutes."""
    for name, design in rings().items():
        measure_slider(window, name, design)
        measure_slowed(window, name, design)
    measure_gaps(window, "half-round 60 x 15", rings()["half-round 60 x 15"])
    measure_pan(window)
    measure_memory(window, minutes)


def of_family(family: str) -> Design:
    """The starting design with about as many cells of a family as 24 x 6 has."""
    base = read_design(resource("starting_design.ring.json"))
    repeat = lattice_complex(family) if family in LATTICE_FAMILIES else None
    around = 24 if repeat is None else max(3, round(24 / len(repeat.faces) ** 0.5))
    return replace(base, pattern=PatternOptions(family, around, 6 if repeat is None else "auto"))


def rings() -> dict[str, Design]:
    """Plain band, half-round and dome, at 24 x 6 and 60 x 15."""
    bases = {
        "flat": read_design(resource("starting_design.ring.json")),
        "half-round": read_design(demo_folder() / "half_round.ring.json"),
        "dome": read_design(demo_folder() / "dome.ring.json"),
    }
    found = {}
    for name, base in bases.items():
        for around, across in ((24, 6), (60, 15)):
            pattern = replace(base.pattern, around=around, across=across)
            relief = replace(base.relief, wall_width_mm=0.25 if around == 60 else base.relief.wall_width_mm)
            found[f"{name} {around} x {across}"] = replace(base, pattern=pattern, relief=relief)
    return found


def told(values: Sequence[float]) -> str:
    """Median, 95th percentile and largest of seconds, in ms."""
    ms = 1e3 * np.asarray(values)
    return f"median {np.median(ms):6.1f}  p95 {np.percentile(ms, 95):6.1f}  max {ms.max():6.1f} ms"


def measure_start() -> None:
    """From starting Python to the first picture of the demo ring in both views."""
    taken = []
    # As on a user's machine, which compiles the program once: here that is a fifth of the start.
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONDONTWRITEBYTECODE": ""}
    for _ in range(STARTS):
        began = time.time()
        ended = subprocess.run(
            [sys.executable, "-c", START], env=environment, capture_output=True, text=True, check=True
        )  # fmt: skip
        taken.append(float(ended.stdout.split()[0]) - began)
    print(f"start to first picture, whole process:     {told(taken)}")


def measure_slider(window: MainWindow, name: str, design: Design) -> None:
    """Drag the depth: from the change until both views have taken the new draft, the strip has painted it and the ring
    has uploaded it. The drawing of OpenGL, and its putting together with the rest of the window, is timed apart.
    """
    window.document.new(design, name)
    wait_final(window)
    canvas, strip = window.ring.canvas, window.strip
    latency: list[float] = []
    processor: list[float] = []
    frames: list[float] = []
    window.document.begin_drag("change the depth")
    for step in range(STEPS):
        moved = _at_depth(design, 0.2 + DEEPER_MM * step)
        waiting = QEventLoop()
        connection = window.worker.built.connect(waiting.quit)
        window.setUpdatesEnabled(False)
        began, worked = time.perf_counter(), time.process_time()
        window.document.change(moved, "change the depth")
        waiting.exec()
        strip.render(QPixmap(strip.size()))
        taken = time.perf_counter() - began
        processor.append(time.process_time() - worked)
        window.worker.built.disconnect(connection)
        began = time.perf_counter()
        window.setUpdatesEnabled(True)
        window.repaint()
        canvas.repaint()
        frames.append(time.perf_counter() - began)
        latency.append(taken + getattr(canvas, "upload_seconds", 0.0))
        QTest.qWait(10)
    window.document.end_drag()
    began = time.perf_counter()
    final = wait_final(window) - began
    view = window.view
    assert view is not None
    print(f"{name:18} change to draft in both views:   {told(latency)}")
    alone = draft_and_views(window, design)
    print(f"{'':18} processor time of the same:      {told(processor)}")
    print(f"{'':18} ... of draft and views alone:    {told(alone)}   "
          f"hand to views / that: {np.median(latency) / np.median(alone):.2f} "
          f"({np.median(processor) / np.median(alone):.2f} in processor time)")  # fmt: skip
    print(f"{'':18} OpenGL and the window's picture: {told(frames)}")
    print(f"{'':18} checked final mesh after {final:.2f} s, {len(view.triangles):,} triangles, "
          f"upload {1e3 * getattr(canvas, 'upload_seconds', 0.0):.1f} ms")  # fmt: skip


def measure_slowed(window: MainWindow, name: str, design: Design) -> None:
    """The same hand, moving all the time, where every frame of OpenGL takes 100 ms: from a change until both views
    have taken its draft and the strip has painted it, against processor time of draft and views alone and one frame.
    """
    window.document.new(design, name)
    wait_final(window)
    alone = float(np.median(draft_and_views(window, design)))
    canvas = window.ring.canvas
    paint = canvas.paintGL
    begun: dict[Design, float] = {}
    latency: list[float] = []
    frames: list[int] = []

    def slow() -> None:
        paint()
        time.sleep(SLOW_FRAME_SECONDS)
        frames.append(1)

    def taken(view: View) -> None:
        window.strip.render(QPixmap(window.strip.size()))
        if view.design in begun:
            latency.append(time.perf_counter() - begun[view.design])

    canvas.paintGL = slow
    # After the window's own slot, which was connected first: both views have taken the draft by then.
    window.worker.built.connect(taken)
    window.document.begin_drag("change the depth")
    for step in range(STEPS):
        moved = _at_depth(design, 0.2 + DEEPER_MM * step)
        begun[moved] = time.perf_counter()
        window.document.change(moved, "change the depth")
        pause(16)
    window.document.end_drag()
    window.worker.built.disconnect(taken)
    canvas.paintGL = paint
    wait_final(window)
    print(f"{name:18} frames slowed to {1e3 * SLOW_FRAME_SECONDS:.0f} ms:       {told(latency)}   "
          f"hand to views / draft, views and one frame: {np.median(latency) / (alone + SLOW_FRAME_SECONDS):.2f} "
          f"({len(latency)} drafts of {STEPS} moves, {len(frames)} frames)")  # fmt: skip


def _at_depth(design: Design, depth_mm: float) -> Design:
    return replace(design, relief=replace(design.relief, depth_mm=depth_mm))


def draft_and_views(window: MainWindow, design: Design) -> list[float]:
    """Processor time of a draft, of laying it out and of both views taking it, with nothing beside it, at depths of the
    drag; seconds.
    """
    strip, taken = window.strip, []
    for step in range(ALONE):
        moved = _at_depth(design, 0.2 + DEEPER_MM * (STEPS / ALONE * step + 0.5))
        chord = DRAFT_MM if moved.pattern.around < MANY_AROUND else MANY_DRAFT_MM
        window.setUpdatesEnabled(False)
        worked = time.thread_time()
        view = make_view(shape_ring(moved, chord, Progress(), is_draft=True), is_draft=True)
        strip.show_view(view)
        window.ring.show_view(view)
        strip.render(QPixmap(strip.size()))
        taken.append(time.thread_time() - worked)
        window.setUpdatesEnabled(True)
        window.repaint()
        taken[-1] += getattr(window.ring.canvas, "upload_seconds", 0.0)
    return taken


def measure_gaps(window: MainWindow, name: str, design: Design) -> None:
    """How long the window's thread is kept waiting while the 60 x 15 ring is drafted and finished again and again."""
    window.document.new(design, name)
    gaps: list[float] = []
    clock, ticker = QElapsedTimer(), QTimer()
    ticker.timeout.connect(lambda: gaps.append(clock.restart() / 1e3))
    # Nothing is painted meanwhile: it is the builder's share that is asked for.
    window.setUpdatesEnabled(False)
    clock.start()
    ticker.start(5)
    for step in range(10):
        window.document.change(replace(design, relief=replace(design.relief, depth_mm=0.2 + 0.01 * step)), "depth")
        QTest.qWait(500)
    ticker.stop()
    window.setUpdatesEnabled(True)
    wait_final(window)
    print(f"{name:18} gap of a 5 ms timer while building: {told(gaps)}")


def wait_final(window: MainWindow) -> float:
    """Wait for the finished ring of the document in both views; gives when it was there."""
    while True:
        view = window.view
        if view is not None and not view.is_draft and view.design == window.document.design and window.worker.idle:
            break
        QTest.qWait(2)
    there = time.perf_counter()
    QTest.qWait(300)
    return there


def measure_pan(window: MainWindow) -> None:
    """Pan the strip with 5,000 cells by 17 pixels a frame."""
    base = read_design(resource("starting_design.ring.json"))
    pattern = replace(base.pattern, around=140, across=36)
    relief = replace(base.relief, wall_width_mm=0.08, depth_mm=0.1, corner_mm=0.02)
    window.document.new(replace(base, pattern=pattern, relief=relief), "5,000 cells")
    wait_final(window)
    view = window.view
    assert view is not None
    frames = []
    for _ in range(200):
        began = time.perf_counter()
        window.strip.state.look(window.strip.state.viewport.panned(-17, 0))
        window.strip.repaint()
        frames.append(time.perf_counter() - began)
        QTest.qWait(4)
    print(f"panning {view.built.pattern.tiling.cells:,} cells, a frame:             {told(frames)}")


def measure_memory(window: MainWindow, minutes: float) -> None:
    """Move the slider for a while, with rests in between, and compare the memory."""
    design = rings()["half-round 24 x 6"]
    window.document.new(design, "memory")
    wait_final(window)
    moves, begun = 0, 0.0
    for part in (0.25, minutes):
        before, begun = resident_mb(), time.monotonic()
        while time.monotonic() - begun < 60.0 * part:
            window.document.begin_drag("change the depth")
            for step in range(40):
                depth = 0.2 + 0.004 * ((step + moves) % 40)
                moved = replace(design, relief=replace(design.relief, depth_mm=depth))
                window.document.change(moved, "change the depth")
                QTest.qWait(16)
                moves += 1
            window.document.end_drag()
            QTest.qWait(600)
    print(f"memory: {before:.0f} MB, after {minutes:g} minutes of slider moves {resident_mb():.0f} MB ({moves} moves)")


def resident_mb() -> float:
    """What the process holds of the memory, where the system tells it."""
    try:
        pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])
    except OSError:
        return float("nan")
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


if __name__ == "__main__":
    sys.exit(main())
