"""How the metal looks: the shaders of the ring, in GLSL 3.30. All of the light is our own: a few soft boxes in a room.

Light is worked out in the camera's frame (right, up, towards the viewer), so that every view is lit alike; the same
light falls on the strip. Light is linear, 1 is a white wall in full light.
"""

from __future__ import annotations

from typing import Final

from ringtex.export.picture.studio_light import STRIPES, TONE_HALF, TONE_POWER

PLACE, NORMAL, OVERLAY, OPEN = 0, 1, 2, 3
"""Numbers of the vertex attributes: place, normal, overlay colour with its strength, how open the place lies (0 to 1).
"""


RING_VERTEX: Final = """#version 330 core
layout(location = 0) in vec3 place;
layout(location = 1) in vec3 normal;
layout(location = 2) in vec4 overlay;
layout(location = 3) in float visibility;
uniform mat4 to_clip;
uniform vec4 cut;
out vec3 at;
out vec3 smooth_normal;
out vec4 laid_over;
out float open_here;
invariant gl_Position;
void main() {
    at = place;
    smooth_normal = normal;
    laid_over = overlay;
    open_here = visibility;
    gl_ClipDistance[0] = dot(vec4(place, 1.0), cut);
    gl_Position = to_clip * vec4(place, 1.0);
}
"""

STUDIO: Final = (
    f"const float TONE_POWER = {TONE_POWER}, TONE_HALF = {TONE_HALF};"
    + """
float step_smooth(float t) { t = clamp(t, 0.0, 1.0); return t * t * (3.0 - 2.0 * t); }

float soft_box(vec3 ray, vec3 middle, vec2 half_size, float light, float edge) {
    vec3 side = normalize(cross(vec3(0.02, 0.9998, 0.0), middle));
    vec3 upward = cross(middle, side);
    float forward = max(dot(ray, middle), 1e-3);
    vec2 off = abs(vec2(dot(ray, side), dot(ray, upward))) / forward;
    return light * step_smooth((half_size.x - off.x) / edge + 0.5) * step_smooth((half_size.y - off.y) / edge + 0.5);
}

// Light from a direction: a grey room, brighter above, with a darker belt at eye level that gives metal its contrast,
// the wall behind the viewer, boxes of light, and the large one that can be moved.
float studio(vec3 ray) {
    float up = step_smooth((ray.y + 0.9) / 1.9);
    float room = 0.06 + 0.60 * up * up;
    float belt = (ray.y - 0.02) / 0.20;
    room *= 1.0 - 0.62 * exp(-belt * belt);
    room += 0.32 * max(ray.z, 0.0) * max(ray.z, 0.0);
    room += soft_box(ray, vec3(0.933, 0.183, 0.304), vec2(0.16, 0.75), 2.0, 0.12);
    room += soft_box(ray, vec3(0.157, 0.837, -0.575), vec2(0.80, 0.30), 1.9, 0.25);
    room += soft_box(ray, vec3(-0.950, 0.100, 0.250), vec2(0.20, 0.60), 1.3, 0.20);
    room += soft_box(ray, vec3(0.544, -0.771, 0.247), vec2(0.45, 0.30), 0.75, 0.50);
    return room * (1.0 - 0.62 * raking) + soft_box(ray, light, vec2(0.50, 0.46), 4.0, 0.20);
}

// The same room as a diffuse face sees it.
float diffuse_studio(vec3 face) {
    float around = max(0.44 + 0.30 * face.y + 0.12 * face.z, 0.08);
    return around * (1.0 - 0.75 * raking) + max(dot(face, light), 0.0) * mix(0.34, 1.7, raking);
}

float tone_curve(float x) { float strong = pow(max(x, 0.0), TONE_POWER); return strong / (strong + TONE_HALF); }

// Tone mapping with a shoulder that keeps gold's hue, then sRGB encoding, as in the pictures (IEC 61966-2-1).
vec3 tone_mapped(vec3 c) {
    float most = max(max(c.r, c.g), max(c.b, 1e-6));
    vec3 shown = 0.8 * c / most * tone_curve(most) + 0.2 * vec3(tone_curve(c.r), tone_curve(c.g), tone_curve(c.b));
    return mix(shown * 12.92, 1.055 * pow(max(shown, vec3(0.0)), vec3(1.0 / 2.4)) - 0.055, step(0.0031308, shown));
}
"""
)

RING_FRAGMENT: Final = (
    """#version 330 core
in vec3 at;
in vec3 smooth_normal;
in vec4 laid_over;
in float open_here;
uniform mat3 to_camera;
uniform vec3 eye;
uniform vec3 light;
uniform float raking;
uniform vec3 tint;
uniform float metal;
uniform float diffuse_fraction;
uniform vec2 bore;           // radius and half width, mm
uniform vec4 glow;           // colour and strength
uniform vec4 seam_line;      // colour and strength
uniform float stripes;       // 1: stripes of light instead of metal
uniform float stripe_turn;   // where they run, radians
uniform vec4 mark;           // place, and radius in mm (0: none)
uniform vec3 mark_normal;
uniform vec3 mark_colour;
out vec4 colour;
"""
    + f"const float STRIPES = {STRIPES}.0;\n"
    + STUDIO
    + """
// The bore is a hollow mirror: rays go from wall to wall until they find the way out.
vec3 leaving_bore(vec3 from, vec3 ray, inout vec3 tinted) {
    for (int bounce = 0; bounce < 2; bounce++) {
        float run = -2.0 * dot(from.xy, ray.xy) / max(dot(ray.xy, ray.xy), 1e-6);
        vec3 next = from + run * ray;
        if (abs(next.z) > bore.y) break;
        ray = reflect(ray, vec3(-normalize(next.xy), 0.0));
        from = next;
        tinted *= mix(vec3(0.85), tint, 0.7);
    }
    return ray;
}

vec3 lit(vec3 normal, vec3 face, vec3 view) {
    float facing = max(dot(view, normal), 0.0);
    vec3 ray = reflect(-view, normal);
    float sunk = dot(ray, face);
    if (sunk < 0.02) ray = normalize(ray + (0.02 - sunk) * face);
    vec3 tinted = vec3(1.0);
    float visibility = open_here;
    if (dot(normal.xy, normalize(at.xy)) < -0.5) {
        ray = leaving_bore(at, ray, tinted);
        visibility = 0.62;
    }
    float fresnel = pow(1.0 - facing, 5.0);
    float specular = studio(to_camera * ray);
    float diffuse = diffuse_studio(to_camera * normal) * visibility;
    if (metal > 0.5) {
        float gain = (0.16 + 0.76 * visibility) * (1.0 - 0.35 * raking);
        vec3 mirrored = (tint + (1.0 - tint) * fresnel) * tinted * specular * gain;
        return mirrored + (diffuse_fraction + 0.45 * raking) * tint * diffuse;
    }
    return 1.7 * tint * diffuse + (0.03 + 0.45 * fresnel) * specular * visibility * 0.6;
}

// Dark and light stripes on a far round wall, seen in the surface: they show kinks of the form as no metal does.
vec3 striped_light(vec3 ray, float facing) {
    float up = dot(ray.xy, vec2(-sin(stripe_turn), cos(stripe_turn)));
    float run = STRIPES * atan(ray.z, up);
    float soft = STRIPES * length(fwidth(ray)) / max(length(vec2(up, ray.z)), 1e-3);
    float value = clamp(0.5 + sin(run) / (0.5 + soft), 0.0, 1.0);
    value = mix(value, 0.5, smoothstep(1.5, 3.5, soft));
    return mix(vec3(0.09, 0.09, 0.10), vec3(0.96, 0.955, 0.94), value) * (0.80 + 0.20 * facing);
}

void main() {
    vec3 view = normalize(eye - at);
    vec3 face = cross(dFdx(at), dFdy(at));
    face *= inversesqrt(max(dot(face, face), 1e-24));
    if (dot(face, view) < 0.0) face = -face;
    vec3 normal = normalize(smooth_normal);
    // Where the mean leans far from the triangle there is a crease that is not split.
    normal = normalize(mix(face, normal, smoothstep(0.82, 0.92, dot(face, normal))));
    if (dot(normal, view) < 0.0) normal = normalize(normal - 1.02 * dot(normal, view) * view);
    vec3 shown = tone_mapped(lit(normal, face, view));
    vec3 camera_normal = to_camera * normal;
    if (stripes > 0.5) {
        vec3 plain = vec3(0.34, 0.335, 0.33) * (0.55 + 0.45 * camera_normal.z);
        vec3 seen = striped_light(to_camera * reflect(-view, normal), max(camera_normal.z, 0.0));
        shown = open_here > 0.5 ? seen : plain;
    }
    float shade = 0.62 + 0.28 * camera_normal.z + 0.16 * max(dot(camera_normal, light), 0.0);
    shown = mix(shown, laid_over.rgb * shade * (0.8 + 0.2 * open_here), laid_over.a);
    shown = mix(shown, glow.rgb * (0.70 + 0.55 * shade * dot(shown, vec3(0.3, 0.5, 0.2))), glow.a);
    float beside = abs(at.x) / max(fwidth(at.x), 1e-6);
    if (at.y < 0.0) shown = mix(shown, seam_line.rgb, seam_line.a * (1.0 - smoothstep(0.7, 1.4, beside)));
    if (mark.w > 0.0) {
        vec3 off = at - mark.xyz;
        float away = length(off - dot(off, mark_normal) * mark_normal) / mark.w;
        float soft = fwidth(away) + 1e-4;
        float ring = smoothstep(0.62 - soft, 0.62 + soft, away) * (1.0 - smoothstep(1.0 - soft, 1.0 + soft, away));
        if (dot(normal, mark_normal) > -0.2 && dot(off, mark_normal) > -1.0) shown = mix(shown, mark_colour, ring);
    }
    colour = vec4(shown, 1.0);
}
"""
)
