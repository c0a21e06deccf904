"""Without a display: a sentence. Without OpenGL: the window opens, says so, and pictures the ring."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]

OFFSCREEN = """
import sys, threading, time
from ringtex.window.app.application import make_application
from ringtex.window.app.main_window import MainWindow
from ringtex.window.building import build_worker
from ringtex.window.building.background_job import BackgroundJob
build_worker.FINAL_CHORD_MM = 0.05  # what is shown does not depend on it
application = make_application(["ringtex"])
window = MainWindow()
window.begin([])
window.show()
end = time.monotonic() + 60
while time.monotonic() < end and (window.view is None or window.view.is_draft or window.ring.picture().isNull()):
    application.processEvents()
    time.sleep(0.01)
colour = window.ring.picture().pixelColor(window.ring.picture().rect().center())
golden = colour.red() > colour.blue()
print(window.ring.has_opengl, "|", window.notices.text("opengl"), "|", window.isVisible(), "|", golden)
def long_job(progress):
    while True:
        progress.check()
        time.sleep(0.01)
BackgroundJob(long_job, "long job", window).start()
window.ring.show_from("palm")
application.processEvents()
window.close_without_asking()
print([thread.name for thread in threading.enumerate()[1:] if not isinstance(thread, threading._DummyThread)])
# As the program ends.
del window, application
"""


def run(arguments: list[str], **changes: str | None) -> subprocess.CompletedProcess[str]:
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    for name, value in changes.items():
        environment.pop(name, None)
        if value is not None:
            environment[name] = value
    return subprocess.run(
        [sys.executable, *arguments], env=environment, capture_output=True, text=True, check=False, timeout=240
    )


def test_the_window_opens_without_opengl_and_says_so() -> None:
    ended = run(["-c", OFFSCREEN], QT_QPA_PLATFORM="offscreen")
    assert ended.returncode == 0, ended.stderr
    shown, threads = ended.stdout.strip().splitlines()[-2:]
    has_opengl, said, visible, golden = shown.split(" | ")
    assert has_opengl == "False"
    assert "OpenGL is not available" in said
    assert (visible, golden) == ("True", "True")
    # A thread inside a library that the interpreter takes down crashes now and then: none outlives the window.
    assert threads == "[]"


def test_without_a_display_a_sentence_points_to_make() -> None:
    ended = run(["-m", "ringtex"], DISPLAY=None, WAYLAND_DISPLAY=None, QT_QPA_PLATFORM=None)
    assert ended.returncode == 2
    assert "no display" in ended.stderr
    assert "ringtex make" in ended.stderr
    assert len(ended.stderr.strip().splitlines()) == 1


def test_a_dead_display_is_a_sentence_and_no_abort() -> None:
    ended = run(["-m", "ringtex"], DISPLAY=":4711", WAYLAND_DISPLAY=None, QT_QPA_PLATFORM=None)
    assert ended.returncode == 2
    assert ":4711 does not answer" in ended.stderr


def test_without_pyside6_a_sentence_names_the_extra() -> None:
    """The blocker of the core's own test stands in for an installation without the extra."""
    script = (
        "import sys, importlib.util as util; found = util.find_spec\n"
        "util.find_spec = lambda name, *rest: None if name == 'PySide6' else found(name, *rest)\n"
        "sys.argv = ['ringtex']; from ringtex.__main__ import main; sys.exit(main())"
    )
    ended = run(["-c", script])
    assert ended.returncode == 2
    assert "ringtex[window]" in ended.stderr
