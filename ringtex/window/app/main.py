"""Opening the window."""

from __future__ import annotations

import gc
import sys
from collections.abc import Sequence
from pathlib import Path

from ringtex.window.platform_checks import why_no_window

NO_WINDOW = 2
"""Exit code where no window can be opened."""

SETTLED_MS = 5000
"""By then everything is imported and the first ring is finished."""


def open_window(arguments: Sequence[str] = ()) -> int:
    """Open the window, with the design file named or the demo, and give the exit code when it is closed."""
    reason = why_no_window()
    if reason is not None:
        print(reason, file=sys.stderr)
        return NO_WINDOW
    from PySide6.QtCore import QTimer
    from PySide6.QtWidgets import QApplication

    from ringtex.window.app.application import make_application
    from ringtex.window.app.interrupts import Interrupts
    from ringtex.window.app.main_window import MainWindow

    application = make_application(sys.argv[:1])
    window = MainWindow()
    window.errors.install()
    interrupts = Interrupts(window.close_without_asking, window)
    window.begin([Path(name) for name in arguments])
    window.show()
    # What a window consists of lives as long as the program: a full collection takes 1 ms without it, and 90 with it.
    QTimer.singleShot(SETTLED_MS, gc.freeze)
    code = QApplication.exec()
    window.errors.uninstall()
    del interrupts, window, application
    return code
