"""Shader programs, and whether OpenGL is there at all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any, Final

import numpy as np
from PySide6.QtGui import (
    QGuiApplication,
    QMatrix3x3,
    QMatrix4x4,
    QOffscreenSurface,
    QOpenGLContext,
    QSurfaceFormat,
    QVector2D,
    QVector3D,
    QVector4D,
)
from PySide6.QtOpenGL import QOpenGLShader, QOpenGLShaderProgram

_RENDERER: Final = 0x1F01
_SOFTWARE: Final = ("llvmpipe", "softpipe", "swrast", "software", "swiftshader", "basic render")
"""Parts of the names that software renderers give themselves."""
_SAMPLES: Final = 4


class OpenGLUnusableError(Exception):
    """OpenGL is there, but something that is needed cannot be made; the text says what."""


@dataclass(frozen=True)
class OpenGLKind:
    """What draws: the renderer's own name, and whether it is the processor that does it."""

    name: str
    is_software: bool

    def wanted_format(self) -> QSurfaceFormat:
        """3.3 core with depth and stencil; with several samples for each pixel where they cost nothing."""
        wanted = QSurfaceFormat(QSurfaceFormat.defaultFormat())
        wanted.setRenderableType(QSurfaceFormat.RenderableType.OpenGL)
        wanted.setVersion(3, 3)
        wanted.setProfile(QSurfaceFormat.OpenGLContextProfile.CoreProfile)
        wanted.setDepthBufferSize(24)
        wanted.setStencilBufferSize(8)
        wanted.setSamples(0 if self.is_software else _SAMPLES)
        return wanted


@cache
def opengl_kind() -> OpenGLKind | None:
    """What draws here; None where no context of version 3.3 can be made. Needs a running QGuiApplication.

    Asked before any OpenGL widget is made, because a window with one cannot be shown at all where there is none.
    """
    if QGuiApplication.platformName() in ("offscreen", "minimal", "vnc", "linuxfb"):
        return None
    context, surface = QOpenGLContext(), QOffscreenSurface()
    context.setFormat(OpenGLKind("", True).wanted_format())
    if not context.create() or context.format().version() < (3, 3):
        return None
    surface.setFormat(context.format())
    surface.create()
    if not context.makeCurrent(surface):
        return None
    name = str(context.functions().glGetString(_RENDERER) or "")
    context.doneCurrent()
    return OpenGLKind(name, any(part in name.lower() for part in _SOFTWARE))


class Program:
    """A linked pair of shaders, and its uniforms by name. Its context must be current wherever it is used."""

    def __init__(self, vertex: str, fragment: str) -> None:
        self._program = QOpenGLShaderProgram()
        for stage, text in (
            (QOpenGLShader.ShaderTypeBit.Vertex, vertex),
            (QOpenGLShader.ShaderTypeBit.Fragment, fragment),
        ):
            if not self._program.addShaderFromSourceCode(stage, text):
                raise OpenGLUnusableError(f"a shader does not compile: {self._program.log()}")
        if not self._program.link():
            raise OpenGLUnusableError(f"the shaders do not link: {self._program.log()}")
        self._places: dict[str, int] = {}

    def bind(self) -> QOpenGLShaderProgram:
        """Make it the one in use."""
        self._program.bind()
        return self._program

    def release(self) -> None:
        """Let no program be in use."""
        self._program.release()

    def set(self, **values: float | Sequence[float] | np.ndarray[Any, Any]) -> None:
        """Set uniforms: numbers, sequences of 2, 3 or 4, matrices (3, 3) or (4, 4) by rows. It must be bound."""
        for name, value in values.items():
            place = self._places.get(name)
            if place is None:
                place = self._places[name] = self._program.uniformLocation(name)
            if isinstance(value, (int, float)):
                self._program.setUniformValue1f(place, float(value))
            else:
                self._program.setUniformValue(place, _qt_value(np.asarray(value, dtype=np.float64)))


def _qt_value(value: np.ndarray[Any, Any]) -> Any:
    numbers = value.ravel().tolist()
    makers: dict[int, Any] = {2: QVector2D, 3: QVector3D, 4: QVector4D, 16: QMatrix4x4}
    return QMatrix3x3(numbers) if len(numbers) == 9 else makers[len(numbers)](*numbers)
