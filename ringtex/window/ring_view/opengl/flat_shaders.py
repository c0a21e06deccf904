"""The shaders of everything that does not shine: background, cut faces, and the copying of finished pictures."""

from __future__ import annotations

from typing import Final

WHOLE_VERTEX: Final = """#version 330 core
out vec2 part;
void main() {
    part = vec2((gl_VertexID << 1) & 2, gl_VertexID & 2);
    gl_Position = vec4(part * 2.0 - 1.0, 1.0, 1.0);
}
"""
"""One triangle over the whole picture; part runs from 0 to 1 over it."""

BACKGROUND_FRAGMENT: Final = """#version 330 core
in vec2 part;
uniform vec3 middle_colour;
uniform vec3 edge_colour;
out vec4 colour;
void main() {
    float away = length((part - vec2(0.5, 0.52)) * vec2(1.0, 1.1));
    vec3 shown = mix(middle_colour, edge_colour, smoothstep(0.05, 0.85, away));
    // A grain of half a step hides the bands of a slow gradient.
    float grain = fract(sin(dot(gl_FragCoord.xy, vec2(12.9898, 78.233))) * 43758.5453) - 0.5;
    colour = vec4(shown + grain / 255.0, 1.0);
}
"""

COPY_FRAGMENT: Final = """#version 330 core
in vec2 part;
uniform sampler2D picture;
out vec4 colour;
void main() { colour = texture(picture, part); }
"""

CAP_VERTEX: Final = """#version 330 core
uniform mat4 to_clip;
uniform vec3 along;
uniform vec3 across;
uniform float reach;
out vec2 on_plane;
void main() {
    on_plane = vec2((gl_VertexID & 1) * 2 - 1, (gl_VertexID & 2) - 1) * reach;
    gl_Position = to_clip * vec4(on_plane.x * along + on_plane.y * across, 1.0);
}
"""
"""A square of the cutting plane round the ring's middle; on_plane in mm."""

CAP_FRAGMENT: Final = """#version 330 core
in vec2 on_plane;
uniform vec3 cap_colour;
uniform vec3 hatch_colour;
uniform float hatch_mm;
out vec4 colour;
void main() {
    float run = (on_plane.x + on_plane.y) / hatch_mm;
    float soft = max(fwidth(run), 1e-4);
    float line = 1.0 - smoothstep(0.07, 0.07 + soft, abs(fract(run) - 0.5));
    colour = vec4(mix(cap_colour, hatch_colour, 0.55 * line * clamp(0.35 / soft, 0.0, 1.0)), 1.0);
}
"""
