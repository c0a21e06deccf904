"""The application object, with OpenGL asked for as the ring's shaders need it."""

from __future__ import annotations

import sys
from collections.abc import Sequence

from PySide6.QtGui import QIcon, QSurfaceFormat
from PySide6.QtWidgets import QApplication

from ringtex.window.appearance.colours import LIGHT
from ringtex.window.appearance.icons import SIZES, icon_picture
from ringtex.window.appearance.theme import even_figures

SWITCH_SECONDS = 0.001
SAMPLES = 0
"""Multisampling is left to the ring view, which knows whether its renderer is a real card or software."""


def make_application(arguments: Sequence[str]) -> QApplication:
    """The one QApplication: OpenGL 3.3 core by default, style, font with figures of equal width, names, icon."""
    # A builder that is deep in Python code hands over after a millisecond instead of five: measured with a 5 ms timer,
    # the longest gaps of the window's thread fall from 40 to 25 ms.
    sys.setswitchinterval(SWITCH_SECONDS)
    shape = QSurfaceFormat()
    shape.setVersion(3, 3)
    shape.setProfile(QSurfaceFormat.OpenGLContextProfile.CoreProfile)
    shape.setDepthBufferSize(24)
    shape.setSamples(SAMPLES)
    QSurfaceFormat.setDefaultFormat(shape)
    application = QApplication(list(arguments))
    application.setStyle("Fusion")
    application.setFont(even_figures(application.font()))
    application.setApplicationName("ringtex")
    application.setApplicationDisplayName("ringtex")
    application.setDesktopFileName("ringtex")
    picture = QIcon()
    for size in SIZES:
        picture.addPixmap(icon_picture("program", size, LIGHT.accent))
    application.setWindowIcon(picture)
    return application
