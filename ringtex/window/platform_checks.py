"""Whether a window can be opened here, found out before Qt is asked, which ends the process where it cannot.

Imports no Qt, so that a machine without it gets a sentence too.
"""

from __future__ import annotations

import ctypes
import importlib.util
import os
import sys
from pathlib import Path
from typing import Final

INSTEAD: Final = "`ringtex make DESIGN --out FILE` makes a ring without it."
DEBIAN_PACKAGES: Final = (
    "libgl1 libegl1 libglib2.0-0 libdbus-1-3 libfontconfig1 libxkbcommon-x11-0 libxcb-cursor0 libxcb-icccm4 "
    "libxcb-keysyms1 libxcb-shape0 libgl1-mesa-dri fonts-dejavu-core"
)

NO_OPENGL: Final = (
    "OpenGL is not available here, so the ring is shown as a still picture. Everything else works as usual."
)


def why_no_window() -> str | None:
    """The sentence that says why no window can be opened here; None where one can."""
    if importlib.util.find_spec("PySide6") is None:
        return f"ringtex: the window needs PySide6. Install it with: pip install 'ringtex[window]'. {INSTEAD}"
    if not sys.platform.startswith("linux"):
        return missing_library(plugin=False)
    if os.environ.get("QT_QPA_PLATFORM", "xcb").split(":")[0] not in ("xcb", "wayland"):
        return missing_library(plugin=False)
    if os.environ.get("WAYLAND_DISPLAY"):
        return missing_library(plugin=False)
    if not os.environ.get("DISPLAY"):
        return f"ringtex: there is no display to open the window on. {INSTEAD}"
    if not _x_server_answers():
        return f"ringtex: the display {os.environ['DISPLAY']} does not answer, so no window can open. {INSTEAD}"
    return missing_library()


def _x_server_answers() -> bool:
    """Whether the X server that DISPLAY names takes connections; where that cannot be tried, Qt will say."""
    try:
        xcb = ctypes.CDLL("libxcb.so.1")
    except OSError:
        return True
    xcb.xcb_connect.restype = ctypes.c_void_p
    xcb.xcb_connect.argtypes = [ctypes.c_char_p, ctypes.c_void_p]
    xcb.xcb_connection_has_error.argtypes = [ctypes.c_void_p]
    xcb.xcb_disconnect.argtypes = [ctypes.c_void_p]
    connection = xcb.xcb_connect(None, None)
    failed = xcb.xcb_connection_has_error(connection)
    xcb.xcb_disconnect(connection)
    return not failed


def missing_library(plugin: bool = True) -> str | None:
    """Load what Qt will load anyway (with `plugin`, what it needs for an X display too).

    Returns the sentence that names the library of the system that is missing; None where all are there.
    """
    try:
        import PySide6
        from PySide6 import QtOpenGLWidgets  # noqa: F401 - loaded to see whether it can be

        if plugin and sys.platform.startswith("linux") and not os.environ.get("QT_QPA_PLATFORM_PLUGIN_PATH"):
            file = Path(PySide6.__file__).parent / "Qt" / "plugins" / "platforms" / "libqxcb.so"
            if file.is_file():
                ctypes.CDLL(str(file))
    except (ImportError, OSError) as error:
        return (
            f"ringtex: the window cannot open, because a library of the system is missing ({error}). On Debian or "
            f"Ubuntu: apt install {DEBIAN_PACKAGES}. {INSTEAD}"
        )
    return None
