"""The ring's triangles on the graphics card, filled straight from numpy's memory."""

from __future__ import annotations

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray
from PySide6.QtGui import QOpenGLFunctions
from PySide6.QtOpenGL import QOpenGLBuffer, QOpenGLShaderProgram, QOpenGLVertexArrayObject
from shiboken6 import Shiboken

from ringtex.window.ring_view.opengl.gl_program import OpenGLUnusableError
from ringtex.window.ring_view.opengl.metal_shader import NORMAL, OPEN, OVERLAY, PLACE

_FLOAT, _UBYTE, _UINT, _TRIANGLES = 0x1406, 0x1401, 0x1405, 0x0004
_LAYOUT: Final = {PLACE: (_FLOAT, 3), NORMAL: (_FLOAT, 3), OVERLAY: (_UBYTE, 4), OPEN: (_FLOAT, 1)}


class GlMesh:
    """Buffers of one mesh and of some of its triangles that are drawn once more.

    Every call needs the context current in which it was made. `destroy` before the context goes.
    """

    def __init__(self) -> None:
        self._attributes = {number: _made(QOpenGLBuffer.Type.VertexBuffer) for number in _LAYOUT}
        self._all, self._some = (_Elements(self._attributes) for _ in range(2))
        self._overlaid = False

    @property
    def triangles(self) -> int:
        """Number of triangles that `draw` draws."""
        return self._all.count // 3

    def upload(
        self,
        positions: NDArray[np.float32],
        normals: NDArray[np.float32],
        triangles: NDArray[np.uint32],
        visibility: NDArray[np.float32],
    ) -> None:
        """Take a new mesh; forget what was chosen.

        Parameters:
            positions: (n, 3) mm.
            normals: (n, 3) unit.
            triangles: (m, 3).
            visibility: (n,) 0 to 1, how much of the room each position sees.
        """
        for number, values in ((PLACE, positions), (NORMAL, normals), (OPEN, visibility)):
            _fill(self._attributes[number], values)
        self._all.fill(triangles)
        self._some.count = 0
        self._overlaid = False

    def upload_overlay(self, colours: NDArray[np.uint8] | None) -> None:
        """Lay colours (n, 4) with their strength over the mesh, or none."""
        self._overlaid = colours is not None
        if colours is not None:
            _fill(self._attributes[OVERLAY], colours)

    def choose(self, triangles: NDArray[np.uint32]) -> None:
        """Name the triangles (k, 3) that `draw_chosen` draws."""
        if len(triangles):
            self._some.fill(triangles)
        self._some.count = triangles.size

    def draw(self, functions: QOpenGLFunctions, program: QOpenGLShaderProgram) -> None:
        """Draw everything with a bound program."""
        self._all.draw(functions, program, self._overlaid)

    def draw_chosen(self, functions: QOpenGLFunctions, program: QOpenGLShaderProgram) -> None:
        """Draw the chosen triangles with a bound program."""
        self._some.draw(functions, program, self._overlaid)

    def destroy(self) -> None:
        """Give everything back to the card."""
        for buffer in self._attributes.values():
            buffer.destroy()
        self._all.destroy()
        self._some.destroy()


class _Elements:
    """A list of triangles with the vertex array that knows where their vertices are."""

    def __init__(self, attributes: dict[int, QOpenGLBuffer]) -> None:
        self._attributes = attributes
        self._buffer = _made(QOpenGLBuffer.Type.IndexBuffer)
        self._array = QOpenGLVertexArrayObject()
        self._ready = False
        self.count = 0
        if not self._array.create():
            raise OpenGLUnusableError("no vertex array can be made")

    def fill(self, triangles: NDArray[np.uint32]) -> None:
        # No vertex array may be bound here, else its own index buffer would change.
        _fill(self._buffer, triangles)
        self.count = triangles.size

    def draw(self, functions: QOpenGLFunctions, program: QOpenGLShaderProgram, overlaid: bool) -> None:
        if self.count == 0:
            return
        self._array.bind()
        if not self._ready:
            self._describe(program)
        if overlaid:
            program.enableAttributeArray(OVERLAY)
        else:
            program.disableAttributeArray(OVERLAY)
            functions.glVertexAttrib4f(OVERLAY, 0.0, 0.0, 0.0, 0.0)
        functions.glDrawElements(_TRIANGLES, self.count, _UINT, Shiboken.VoidPtr(0))  # type: ignore[arg-type]
        self._array.release()

    def _describe(self, program: QOpenGLShaderProgram) -> None:
        for number, (kind, size) in _LAYOUT.items():
            self._attributes[number].bind()
            program.setAttributeBuffer(number, kind, 0, size)
            if number != OVERLAY:
                program.enableAttributeArray(number)
            self._attributes[number].release()
        self._buffer.bind()
        self._ready = True

    def destroy(self) -> None:
        self._buffer.destroy()
        self._array.destroy()


def _made(kind: QOpenGLBuffer.Type) -> QOpenGLBuffer:
    buffer = QOpenGLBuffer(kind)
    if not buffer.create():
        raise OpenGLUnusableError("no buffer can be made")
    buffer.setUsagePattern(QOpenGLBuffer.UsagePattern.DynamicDraw)
    return buffer


def _fill(buffer: QOpenGLBuffer, values: NDArray[Any]) -> None:
    flat = np.ascontiguousarray(values)
    buffer.bind()
    # Qt's stubs know neither VoidPtr's sources nor that it may be given here; it saves a copy of everything.
    memory: Any = Shiboken.VoidPtr(flat, flat.nbytes, False) if flat.nbytes else b""  # type: ignore[arg-type, call-arg]
    buffer.allocate(memory, flat.nbytes)
    buffer.release()
