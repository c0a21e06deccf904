"""Accumulation buffer: a finer picture while nothing moves, the mean of several shifted by parts of a pixel."""

from __future__ import annotations

from typing import Final

from PySide6.QtGui import QOpenGLContext
from PySide6.QtOpenGL import QOpenGLFramebufferObject, QOpenGLFramebufferObjectFormat

from ringtex.window.ring_view.opengl.ring_scene import RingScene, Shot

_COLOUR_BIT, _BLEND = 0x4000, 0x0BE2
_CONSTANT_ALPHA, _ONE_MINUS_CONSTANT_ALPHA = 0x8003, 0x8004
_RGBA16F: Final = 0x881A
_NEAREST: Final = 0x2600

SHIFTS: Final = (
    (0.0625, -0.1875), (-0.0625, 0.1875), (0.3125, 0.0625), (-0.1875, -0.3125),
    (-0.3125, 0.3125), (-0.4375, -0.0625), (0.1875, 0.4375), (0.4375, -0.4375),
)  # fmt: skip
"""Places in the pixel, one on each of eight rows and columns, so that edges of any slope get eight steps."""


class AccumulationBuffer:
    """Adds pictures up, one at each `add`, so that events get through between them."""

    def __init__(self, width: int, height: int) -> None:
        shape = QOpenGLFramebufferObjectFormat()
        shape.setAttachment(QOpenGLFramebufferObject.Attachment.CombinedDepthStencil)
        self._one = QOpenGLFramebufferObject(width, height, shape)
        fine = QOpenGLFramebufferObjectFormat()
        fine.setInternalTextureFormat(_RGBA16F)
        self._sum = QOpenGLFramebufferObject(width, height, fine)
        self.size = (width, height)
        self.count = 0

    @property
    def usable(self) -> bool:
        """Both framebuffers could be made."""
        return self._one.isValid() and self._sum.isValid()

    @property
    def complete(self) -> bool:
        """Every place in the pixel was drawn."""
        return self.count >= len(SHIFTS)

    def restart(self) -> None:
        """Forget what was added."""
        self.count = 0

    def add(self, context: QOpenGLContext, scene: RingScene, shot: Shot) -> None:
        """Draw the next picture and add it.

        Parameters:
            context: current.
            scene: draws it.
            shot: already with the shift that is due.
        """
        gl = context.functions()
        self._one.bind()
        scene.draw(gl, shot)
        self._sum.bind()
        gl.glEnable(_BLEND)
        share = 1.0 / (self.count + 1)
        gl.glBlendColor(share, share, share, share)
        gl.glBlendFunc(_CONSTANT_ALPHA, _ONE_MINUS_CONSTANT_ALPHA)
        scene.copy(gl, self._one.texture())
        gl.glDisable(_BLEND)
        self._sum.release()
        self.count += 1

    def show(self, context: QOpenGLContext, scene: RingScene) -> None:
        """Draw the mean into the bound framebuffer."""
        gl = context.functions()
        gl.glDisable(_BLEND)
        gl.glViewport(0, 0, *self.size)
        scene.copy(gl, self._sum.texture())
