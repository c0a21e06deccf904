"""Draws stones over the ring: clear brilliants, their back facets first and their front facets over them."""

from __future__ import annotations

from typing import Any, Final

import numpy as np
from PySide6.QtGui import QOpenGLFunctions

from ringtex.solid.finishing.stone_seats import SetStone
from ringtex.window.ring_view.opengl.brilliant import stone_triangles
from ringtex.window.ring_view.opengl.gl_mesh import GlMesh
from ringtex.window.ring_view.opengl.gl_program import Program
from ringtex.window.ring_view.opengl.metal_shader import STUDIO

_CULL_FACE, _BLEND, _FRONT, _BACK = 0x0B44, 0x0BE2, 0x0404, 0x0405
_ONE, _ONE_MINUS_ALPHA = 1, 0x0303

STONE_VERTEX: Final = """#version 330 core
layout(location = 0) in vec3 place;
layout(location = 1) in vec3 normal;
uniform mat4 to_clip;
uniform vec4 cut;
out vec3 at;
flat out vec3 facet;
void main() {
    at = place;
    facet = normal;
    gl_ClipDistance[0] = dot(vec4(place, 1.0), cut);
    gl_Position = to_clip * vec4(place, 1.0);
}
"""

STONE_FRAGMENT: Final = (
    """#version 330 core
in vec3 at;
flat in vec3 facet;
uniform mat3 to_camera;
uniform vec3 eye;
uniform vec3 light;
uniform float raking;
uniform vec3 edge_colour;
out vec4 colour;
"""
    + STUDIO
    + """
const float INDEX = 2.42;    // of diamond
const float VEIL = 0.38;
void main() {
    vec3 view = normalize(eye - at);
    float facing = dot(facet, view);
    if (facing < 0.0) {
        // A back facet, seen from inside: the room by total reflection, bent once more on its way out.
        vec3 inside = reflect(-view, -facet);
        vec3 out_again = normalize(inside + 0.9 * reflect(inside, view));
        float seen = 0.55 * studio(to_camera * inside) + 0.75 * studio(to_camera * out_again);
        float spark = pow(max(dot(to_camera * out_again, light), 0.0), 24.0);
        vec3 shown = tone_mapped(vec3(0.90, 0.96, 1.0) * (0.10 + 0.80 * seen + 2.0 * spark));
        colour = vec4(shown * 0.88, 0.88);
        return;
    }
    float bare = (INDEX - 1.0) * (INDEX - 1.0) / ((INDEX + 1.0) * (INDEX + 1.0));
    float mirror = bare + (1.0 - bare) * pow(1.0 - facing, 5.0);
    // More than glass mirrors, so that table and crown are seen as what lies in front.
    mirror = min(mirror + VEIL, 1.0);
    vec3 shown = tone_mapped(vec3(1.0) * studio(to_camera * reflect(-view, facet)));
    colour = vec4(shown * mirror + 0.03 * edge_colour, mirror + 0.03);
}
"""
)
"""Source of the share that is mirrored: Schlick 1994, An inexpensive BRDF model for physically-based rendering."""


class StonePass:
    """The stones' triangles and program; every call needs the context current in which it was made."""

    def __init__(self) -> None:
        self._program = Program(STONE_VERTEX, STONE_FRAGMENT)
        self._mesh = GlMesh()

    def upload(self, stones: tuple[SetStone, ...]) -> None:
        """Take other stones."""
        corners, normals = stone_triangles(stones)
        triangles = np.arange(len(corners), dtype=np.uint32).reshape(-1, 3)
        self._mesh.upload(corners, normals, triangles, np.ones(len(corners), dtype=np.float32))

    def draw(self, gl: QOpenGLFunctions, **uniforms: Any) -> None:
        """Draw over a ring whose depth is in the bound framebuffer, with uniforms by their names in the shaders."""
        if not self._mesh.triangles:
            return
        program = self._program.bind()
        self._program.set(**uniforms)
        gl.glEnable(_BLEND)
        gl.glBlendFunc(_ONE, _ONE_MINUS_ALPHA)
        gl.glEnable(_CULL_FACE)
        for hidden in (_FRONT, _BACK):
            gl.glCullFace(hidden)
            self._mesh.draw(gl, program)
        gl.glDisable(_CULL_FACE)
        gl.glDisable(_BLEND)

    def destroy(self) -> None:
        """Give everything back to the card."""
        self._mesh.destroy()
