"""The ring's view where there is no OpenGL at all: in a process of its own, on Qt's offscreen platform."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]

SCRIPT = """
import sys, time
from pathlib import Path
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
application = QApplication([])
from ringtex.basics.progress import Progress
from ringtex.design.design_file import read_design
from ringtex.make_ring import shape_ring
from ringtex.window.ring_view.picture_canvas import WHY
from ringtex.window.ring_view.ring_view import RingView
from ringtex.window.building.drawable_ring import make_view
from ringtex.window.building.view_state import ViewState

state = ViewState()
ring = RingView(state)
ring.resize(300, 260)
ring.show()
assert not ring.has_opengl
assert ring.camera is None
made = []
ring.canvas.made.connect(lambda: made.append(ring.picture().copy()))

def wait_for(count):
    until = time.monotonic() + 60
    while len(made) < count and time.monotonic() < until:
        application.processEvents()
        time.sleep(0.01)  # QTest.qWait holds Python's lock, so that the picture's thread starves
    assert len(made) >= count, "no picture came"

ring.show_view(make_view(shape_ring(read_design(Path(sys.argv[1])), 0.02, Progress()), False))
wait_for(1)
picture = ring.grab().toImage()
colours = {picture.pixelColor(x, y).name() for x in range(0, 300, 3) for y in range(0, 200, 3)}
assert len(colours) > 300, "the view is blank"
assert "OpenGL" in WHY and ring.canvas.accessibleDescription() == WHY
QTest.mouseClick(ring.row.buttons["head"], Qt.MouseButton.LeftButton)
wait_for(2)
assert made[1] != made[0], "another view gives another picture"
state.set_finish("platinum")
wait_for(3)
middle = [made[2].pixelColor(x, made[2].height() // 2) for x in range(60, 240)]
assert max(abs(c.red() - c.blue()) for c in middle) < 60, "platinum is grey"
QTest.keyClick(ring.canvas, Qt.Key.Key_3)
wait_for(4)
assert made[3] != made[2]
state.set_overlay("stretch")
state.show_place((3.0, 2.0))
state.show_seam()
wait_for(5)
ring.release()
print("shown", len(made))
"""


def test_without_opengl_there_is_a_picture() -> None:
    environment = {**os.environ, "QT_QPA_PLATFORM": "offscreen", "PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-W", "error", "-c", SCRIPT, str(ROOT / "demo_patterns" / "plain_flat.ring.json")]
    done = subprocess.run(command, env=environment, capture_output=True, text=True, timeout=200, check=False)
    assert done.returncode == 0, done.stderr
    assert "shown" in done.stdout
