"""What the window's tests share: a display, settings of their own, an application and a window."""

from __future__ import annotations

import atexit
import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from zoo import plain_design

from ringtex.basics.tolerances import FINAL_CHORD_MM
from ringtex.design.design_file import design_from_json

if TYPE_CHECKING:
    from even_hands import Column
    from PySide6.QtWidgets import QApplication
    from pytestqt.qtbot import QtBot

    from ringtex.design.design import Design
    from ringtex.window.app.main_window import MainWindow
    from ringtex.window.settings.sections.pattern_section import PatternSection

HERE = Path(__file__).resolve().parent
PATIENCE_MS = 30_000
COARSE_MM = 0.05
REST_SECONDS = 0.03


def _take_a_display_of_ones_own() -> None:
    """Give each of several test processes its own display: on one they would take focus and pointer from each other."""
    if "PYTEST_XDIST_WORKER" not in os.environ or not os.environ.get("DISPLAY") or not shutil.which("Xvfb"):
        return
    told, tells = os.pipe()
    screen = ["-screen", "0", "2560x1440x24", "+extension", "GLX"]
    server = subprocess.Popen(
        ["Xvfb", "-displayfd", str(tells), *screen],
        pass_fds=[tells],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    os.close(tells)
    atexit.register(server.terminate)
    with os.fdopen(told) as answer:
        number = answer.readline().strip()
    if number:
        os.environ["DISPLAY"] = f":{number}"


_take_a_display_of_ones_own()


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Without a display the window's tests are skipped, except where the gate promises one."""
    if os.environ.get("RINGTEX_NEEDS_DISPLAY") or not sys.platform.startswith("linux"):
        return
    if any(os.environ.get(name) for name in ("DISPLAY", "WAYLAND_DISPLAY")):
        return
    skip = pytest.mark.skip(reason="no display: start Xvfb (24 bits deep, GLX) and set DISPLAY")
    for item in items:
        if HERE in item.path.parents:
            item.add_marker(skip)


@pytest.fixture(scope="session")
def qapp() -> QApplication:
    """The application as the program makes it."""
    from PySide6.QtGui import QCursor

    from ringtex.window.app.application import make_application

    made = make_application(["ringtex"])
    _build_coarser()
    if "PYTEST_XDIST_WORKER" in os.environ:
        # A display of one's own: its pointer stands in the middle of the screen, and windows open under it.
        QCursor.setPos(made.primaryScreen().geometry().bottomRight())
    return made


def _build_coarser() -> None:
    """Rings of the window's tests are finished within 0.05 mm: what is shown of them does not depend on it.

    Exports keep the dialog's own tolerance; tests that compare with those use `final_tolerance`.
    """
    from ringtex.window.building import build_worker
    from ringtex.window.dialogs import proposing
    from ringtex.window.ring_view.opengl import gl_canvas
    from ringtex.window.strip_editor.interaction import idle_refinement

    # Nor are rings at rest drawn eight times for a finer picture; tests of that give it its time.
    gl_canvas._CHEAP_SECONDS = 0.0  # type: ignore[misc]
    for module in (build_worker, proposing):
        module.FINAL_CHORD_MM = COARSE_MM  # type: ignore[misc]
    # A draft to the same tolerance is the finished ring without its checks, so that each ring is built once.
    build_worker.DRAFT_MM = build_worker.MANY_DRAFT_MM = COARSE_MM  # type: ignore[misc]
    # A test waits for rest after each step, and its hand has no pauses that are none.
    build_worker.REST_SECONDS = REST_SECONDS  # type: ignore[misc]
    idle_refinement.REST_MS = round(1000 * REST_SECONDS)  # type: ignore[misc]


@pytest.fixture
def final_tolerance(qapp: QApplication, monkeypatch: pytest.MonkeyPatch) -> None:
    """The window finishes rings as the program does."""
    monkeypatch.setattr("ringtex.window.building.build_worker.FINAL_CHORD_MM", FINAL_CHORD_MM)


@pytest.fixture(autouse=True)
def _own_settings(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No test reads or writes what the user's own window remembers."""
    _remember_in(tmp_path, monkeypatch)


def _remember_in(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from PySide6.QtCore import QSettings

    for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_CACHE_HOME"):
        monkeypatch.setenv(name, str(folder / name.lower()))
    QSettings.setPath(QSettings.Format.IniFormat, QSettings.Scope.UserScope, str(folder / "settings"))


@pytest.fixture(autouse=True)
def _delete_closed_widgets() -> Iterator[None]:
    """Closed widgets go at once; without an event loop they stay, and hundreds of columns make every event slow."""
    yield
    if "PySide6.QtCore" in sys.modules:
        from PySide6.QtCore import QCoreApplication, QEvent

        if QCoreApplication.instance() is not None:
            QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


@pytest.fixture
def window(qtbot: QtBot) -> Iterator[MainWindow]:
    """A window at 1280 x 720 with a finished small ring in it: dozens of tests build it, and change it."""
    yield from _opened(qtbot, _small_ring())


@pytest.fixture
def new_window(qtbot: QtBot) -> Iterator[MainWindow]:
    """The same where a file's other tests share one."""
    yield from _opened(qtbot, _small_ring())


@pytest.fixture
def first_window(qtbot: QtBot) -> Iterator[MainWindow]:
    """A window at 1280 x 720 with the finished first ring in it, the dome."""
    yield from _opened(qtbot, None)


@pytest.fixture(scope="module")
def one_window(
    request: pytest.FixtureRequest, qapp: QApplication, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[MainWindow]:
    """One window for a whole module: making one takes a second."""
    yield from _opened_for_long(request, tmp_path_factory, _small_ring())


@pytest.fixture(scope="module")
def window_as_it_opens(
    request: pytest.FixtureRequest, qapp: QApplication, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[MainWindow]:
    """The same with the finished first ring in it, the dome."""
    yield from _opened_for_long(request, tmp_path_factory, None)


def _opened_for_long(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory, design: Design | None
) -> Iterator[MainWindow]:
    from pytestqt.qtbot import QtBot

    with pytest.MonkeyPatch.context() as monkeypatch:
        _remember_in(tmp_path_factory.mktemp("one_window"), monkeypatch)
        yield from _opened(QtBot(request), design)


@pytest.fixture
def same_window(one_window: MainWindow, qtbot: QtBot) -> MainWindow:
    """The module's window with the small ring in it, as `window` gives a new one."""
    from PySide6.QtWidgets import QApplication, QDialog

    for dialog in one_window.findChildren(QDialog):
        dialog.close()
    popup = QApplication.activePopupWidget()
    if popup is not None:
        popup.close()
    one_window.proposing.end()
    one_window.state.set_brush(None)
    one_window.state.set_pen(None)
    one_window.state.finishing.set_placing(None)
    one_window.state.set_overlay("none")
    one_window.document.new(_small_ring())
    one_window.settings.set_folded(one_window.remembering.folded)
    one_window.resize(1280, 720)
    if not one_window.start_row.isVisible():
        one_window.toggle_start_row()
    one_window.activateWindow()
    qtbot.waitActive(one_window)
    settle(qtbot, one_window)
    return one_window


@pytest.fixture(scope="module")
def one_column(qapp: QApplication) -> Iterator[Column]:
    """One column of settings on the screen for a whole module: making one takes half a second."""
    from even_hands import Column, dome_design

    made = Column(None, dome_design())
    yield made
    made.close()


@pytest.fixture
def column(one_column: Column) -> Column:
    """The module's column as it opens, with the dome in it; `begin` takes another design."""
    from even_hands import dome_design

    one_column.begin(dome_design())
    return one_column


def _small_ring() -> Design:
    return design_from_json(plain_design(pattern={"around": 16, "across": 4}))


def _opened(qtbot: QtBot, design: Design | None) -> Iterator[MainWindow]:
    from ringtex.window.app.main_window import MainWindow

    made = MainWindow()
    # What is shown at rest, four times as fine, is looked at in tests of the strip alone.
    made.strip._refinement._timer.setInterval(3_600_000)
    if design is not None:
        made.document.new(design)
    made.resize(1280, 720)
    made.begin([])
    made.show()
    # Without a window manager nobody else makes it the active one, which keys ask for.
    made.activateWindow()
    qtbot.waitActive(made)
    settle(qtbot, made)
    yield made
    made.close_without_asking()
    made.deleteLater()


@pytest.fixture
def pattern(window: MainWindow, settled: Callable[[], None]) -> PatternSection:
    """The section Pattern, the only one unfolded, of the demo flat band begun with by its picture."""
    from even_hands import click
    from test_dome_by_mouse import tool

    from ringtex.window.settings.sections.pattern_section import PatternSection

    if not window.start_row.isVisible():
        click(tool(window, "begin"))
    click(window.start_row.buttons["plain_flat"])
    settled()
    window.settings.set_folded(["Finger", "Band", "Relief", "Finish", "Making"])
    section = window.settings.section("Pattern")
    assert isinstance(section, PatternSection)
    return section


@pytest.fixture
def settled(qtbot: QtBot, window: MainWindow) -> Callable[[], None]:
    """Wait until the window shows the finished ring of its document."""
    return lambda: settle(qtbot, window)


def settle(qtbot: QtBot, window: MainWindow) -> None:
    """Wait until the window shows the finished ring of its document."""

    def finished() -> bool:
        view = window.view
        return view is not None and not view.is_draft and view.design == window.document.design and window.worker.idle

    qtbot.waitUntil(finished, timeout=PATIENCE_MS)
