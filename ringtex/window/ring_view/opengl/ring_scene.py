"""Draws one picture of the ring with OpenGL: background, metal, the glowing cell, and cut faces."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, Final

import numpy as np
from PySide6.QtGui import QColor, QOpenGLFunctions
from PySide6.QtOpenGL import QOpenGLVertexArrayObject

from ringtex.basics.arrays import Floats
from ringtex.export.picture.camera import Camera
from ringtex.export.picture.studio_light import MATERIALS
from ringtex.window.appearance.colours import Colours
from ringtex.window.building.view_state import FIRST_LIGHT
from ringtex.window.ring_view.opengl.flat_shaders import (
    BACKGROUND_FRAGMENT,
    CAP_FRAGMENT,
    CAP_VERTEX,
    COPY_FRAGMENT,
    WHOLE_VERTEX,
)
from ringtex.window.ring_view.opengl.gl_mesh import GlMesh
from ringtex.window.ring_view.opengl.gl_program import Program
from ringtex.window.ring_view.opengl.metal_shader import RING_FRAGMENT, RING_VERTEX
from ringtex.window.ring_view.opengl.stone_pass import StonePass
from ringtex.window.ring_view.ring_cut import SectionPlane

_DEPTH_BIT, _STENCIL_BIT = 0x0100, 0x0400
_DEPTH_TEST, _STENCIL_TEST, _CULL_FACE, _BLEND, _CLIP = 0x0B71, 0x0B90, 0x0B44, 0x0BE2, 0x3000
_LESS, _LEQUAL, _NOTEQUAL, _ALWAYS = 0x0201, 0x0203, 0x0205, 0x0207
_KEEP, _INCR_WRAP, _DECR_WRAP, _FRONT, _BACK = 0x1E00, 0x8507, 0x8508, 0x0404, 0x0405
_TRIANGLES, _TRIANGLE_STRIP, _TEXTURE_2D = 0x0004, 0x0005, 0x0DE1

RAKING_FROM_DEG: Final = 38.0
"""Below this the light is the lamp's alone, more and more: raking light shows relief only where the room is dim."""
_HATCH_MM: Final = 0.5
_GLOW: Final = 0.68


@dataclass(frozen=True)
class Shot:
    """Everything about a picture but the mesh: camera, size in pixels of the screen, material, light, theme, marks."""

    camera: Camera
    width: int
    height: int
    material: str
    light: tuple[float, float]
    theme: Colours
    radius: float
    bore: tuple[float, float]
    section: SectionPlane | None = None
    seam_line: bool = False
    mark: tuple[tuple[float, ...], tuple[float, ...]] | None = None
    shift: tuple[float, float] = field(default=(0.0, 0.0))
    striped: bool = False


class RingScene:
    """Programs and mesh; every call needs the context current in which it was made."""

    def __init__(self) -> None:
        self._ring = Program(RING_VERTEX, RING_FRAGMENT)
        self._background = Program(WHOLE_VERTEX, BACKGROUND_FRAGMENT)
        self._cap = Program(CAP_VERTEX, CAP_FRAGMENT)
        self._copy = Program(WHOLE_VERTEX, COPY_FRAGMENT)
        self._nothing = QOpenGLVertexArrayObject()
        self._nothing.create()
        self.mesh = GlMesh()
        self.stones = StonePass()

    def destroy(self) -> None:
        """Give everything back to the card."""
        self.mesh.destroy()
        self.stones.destroy()
        self._nothing.destroy()

    def draw(self, gl: QOpenGLFunctions, shot: Shot) -> None:
        """Draw into the bound framebuffer."""
        gl.glViewport(0, 0, shot.width, shot.height)
        gl.glDisable(_BLEND)
        gl.glDisable(_CULL_FACE)
        gl.glDepthMask(True)
        gl.glColorMask(True, True, True, True)
        gl.glStencilMask(0xFF)
        gl.glClear(_DEPTH_BIT | _STENCIL_BIT)
        gl.glDisable(_DEPTH_TEST)
        self._background.bind()
        self._background.set(middle_colour=rgb(shot.theme.field), edge_colour=rgb(shot.theme.window))
        self._draw_bare(gl, _TRIANGLES, 3)
        if self.mesh.triangles:
            self._draw_ring(gl, shot)
        gl.glDisable(_DEPTH_TEST)
        self._ring.release()

    def copy(self, gl: QOpenGLFunctions, texture: int) -> None:
        """Draw a texture over the whole of the bound framebuffer."""
        gl.glDisable(_DEPTH_TEST)
        gl.glBindTexture(_TEXTURE_2D, texture)
        self._copy.bind()
        self._draw_bare(gl, _TRIANGLES, 3)
        self._copy.release()
        gl.glBindTexture(_TEXTURE_2D, 0)

    def _draw_ring(self, gl: QOpenGLFunctions, shot: Shot) -> None:
        to_clip = shot.camera.projection(shot.width, shot.height, shot.radius, shot.shift) @ shot.camera.view_matrix()
        gl.glEnable(_DEPTH_TEST)
        gl.glDepthFunc(_LESS)
        program = self._ring.bind()
        self._set_ring_uniforms(shot, to_clip)
        if shot.section is not None:
            gl.glEnable(_CLIP)
        self.mesh.draw(gl, program)
        gl.glDepthFunc(_LEQUAL)
        self._ring.set(glow=(*_brightened(rgb(shot.theme.accent)), _GLOW))
        self.mesh.draw_chosen(gl, program)
        gl.glDepthFunc(_LESS)
        if shot.section is not None:
            self._fill_cut(gl, shot, to_clip, lambda: self.mesh.draw(gl, program))
            gl.glEnable(_CLIP)
        self.stones.draw(gl, **self._shared_uniforms(shot, to_clip), edge_colour=rgb(shot.theme.text))
        gl.glDisable(_CLIP)

    def _shared_uniforms(self, shot: Shot, to_clip: Floats) -> dict[str, Any]:
        """Camera, cut and light: the same for metal and stones."""
        azimuth, elevation = np.radians(shot.light)
        flat = np.cos(elevation)
        raking = min(max(1.0 - (shot.light[1] - 6.0) / (RAKING_FROM_DEG - 6.0), 0.0), 1.0)
        return {
            "to_clip": to_clip,
            "to_camera": shot.camera.axes,
            "eye": shot.camera.eye,
            "cut": (0.0, 0.0, 0.0, 1.0) if shot.section is None else (*shot.section.kept_side.tolist(), 0.0),
            "light": (flat * np.sin(azimuth), flat * np.cos(azimuth), np.sin(elevation)),
            "raking": raking,
        }

    def _set_ring_uniforms(self, shot: Shot, to_clip: Floats) -> None:
        material = MATERIALS[shot.material]
        mark, mark_normal = shot.mark or ((0.0, 0.0, 0.0, 0.0), (0.0, 0.0, 1.0))
        self._ring.set(
            **self._shared_uniforms(shot, to_clip),
            tint=material.tint,
            metal=1.0 if material.metal else 0.0,
            diffuse_fraction=material.diffuse,
            bore=shot.bore,
            glow=(0.0, 0.0, 0.0, 0.0),
            stripes=1.0 if shot.striped else 0.0,
            stripe_turn=float(np.radians(FIRST_LIGHT[0] - shot.light[0])),
            seam_line=(*rgb(shot.theme.accent), 0.9 if shot.seam_line else 0.0),
            mark=mark,
            mark_normal=mark_normal,
            mark_colour=rgb(shot.theme.accent),
        )

    def _fill_cut(self, gl: QOpenGLFunctions, shot: Shot, to_clip: Floats, draw_mesh: Callable[[], None]) -> None:
        """Fill the metal where the plane cuts it: a ray that leaves through more back faces than front faces crossed
        the plane inside. Source: McReynolds and Blythe 2005, Advanced graphics programming, capping clipped solids."""
        assert shot.section is not None
        gl.glEnable(_STENCIL_TEST)
        gl.glDisable(_DEPTH_TEST)
        gl.glDepthMask(False)
        gl.glColorMask(False, False, False, False)
        gl.glStencilFunc(_ALWAYS, 0, 0xFF)
        gl.glStencilOpSeparate(_FRONT, _KEEP, _KEEP, _DECR_WRAP)
        gl.glStencilOpSeparate(_BACK, _KEEP, _KEEP, _INCR_WRAP)
        draw_mesh()
        gl.glColorMask(True, True, True, True)
        gl.glDepthMask(True)
        gl.glEnable(_DEPTH_TEST)
        gl.glDisable(_CLIP)
        gl.glStencilFunc(_NOTEQUAL, 0, 0xFF)
        gl.glStencilOp(_KEEP, _KEEP, _KEEP)
        # A cap that looks away from the eye lies inside the metal and is never seen.
        if float(shot.camera.eye @ shot.section.kept_side) < 0.0:
            self._cap.bind()
            self._cap.set(
                to_clip=to_clip, along=shot.section.radial, across=(0.0, 0.0, 1.0), reach=1.5 * shot.radius,
                cap_colour=cap_colour(shot.theme), hatch_colour=rgb(shot.theme.field), hatch_mm=_HATCH_MM,
            )  # fmt: skip
            self._draw_bare(gl, _TRIANGLE_STRIP, 4)
        gl.glDisable(_STENCIL_TEST)

    def _draw_bare(self, gl: QOpenGLFunctions, kind: int, vertices: int) -> None:
        """Draw with a program that makes its own vertices."""
        self._nothing.bind()
        gl.glDrawArrays(kind, 0, vertices)
        self._nothing.release()


def rgb(text: str) -> tuple[float, float, float]:
    """ "#rrggbb" as three shares."""
    colour = QColor(text)
    return colour.redF(), colour.greenF(), colour.blueF()


def _brightened(colour: tuple[float, float, float]) -> tuple[float, ...]:
    """Half way to a full light of the same hue: what glows is brighter than what is lit."""
    most = max(*colour, 1e-3)
    return tuple(0.45 * share + 0.55 * (0.25 + 0.75 * share / most) for share in colour)


def cap_colour(theme: Colours) -> tuple[float, float, float]:
    """The flat colour of cut metal: the accent, which is no metal's colour and alarms nobody."""
    return rgb(theme.accent)
