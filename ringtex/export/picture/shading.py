"""Light that comes to the camera: from the metal, which reflects the studio and itself, and from the ground."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from ringtex.basics.arrays import Singles
from ringtex.export.picture.ambient_occlusion import LIFT_MM
from ringtex.export.picture.camera import Camera
from ringtex.export.picture.crease_normals import CreaseNormals
from ringtex.export.picture.ray_scene import Hits, RayScene
from ringtex.export.picture.reflection_lines import reflection_values
from ringtex.export.picture.studio_light import Finish, soft_studio, studio
from ringtex.solid.mesh.ring_mesh import RingMesh

GROOVE_REACH_MM: Final = 1.6
"""Metal further off than this does not darken a place: a few times the usual relief, so that grooves show."""

_BACKGROUND = np.array([0.80, 0.77, 0.73], dtype=np.float32)
_SHADOW = np.float32(0.9)
# A metal's mirror image is weaker where little of the room is seen; a part of its light is spread by the fine scratches
# that every polish leaves. Chosen by eye, so that patterns read clearly.
_GLINT_SHUT, _GLINT_OPEN, _DULL = np.float32(0.25), np.float32(0.55), np.float32(0.24)


@dataclass(frozen=True, eq=False)
class CameraRays:
    """Rays from the camera: directions (n, 3), and what they meet."""

    directions: Singles
    hits: Hits


class Shading:
    """Light for camera rays on one mesh."""

    def __init__(self, mesh: RingMesh, scene: RayScene, camera: Camera, finish: Finish) -> None:
        self._mesh = mesh
        self._scene = scene
        self._axes = camera.axes.astype(np.float32)
        self._tint = np.array(finish.facing, dtype=np.float32)
        self._metal = finish.metal
        self._stripes = finish.stripes
        self._normals = CreaseNormals(mesh)
        self._corners = mesh.vertices[mesh.faces].astype(np.float32)

    def light(self, rays: CameraRays, open_share: Singles) -> Singles:
        """(n, 3) light along the rays; open_share (n,) is the part of the room that each ray's place sees."""
        light = self._background(rays, open_share)
        met = rays.hits.met
        light[met] = self._surface(rays, open_share[met])
        return light

    def places_and_faces(self, rays: CameraRays) -> tuple[Singles, Singles]:
        """(k, 3) places on the mesh that the rays meet, exactly on their triangles, and those triangles' normals."""
        triangles = rays.hits.triangle[rays.hits.met]
        return _mixed(self._corners[triangles], rays.hits), self._normals.faces[triangles]

    def _background(self, rays: CameraRays, open_share: Singles) -> Singles:
        """A warm grey wall, a little darker towards the corners of the picture, and under the ring its soft shadow."""
        ahead = -self._in_picture(rays.directions)[2]
        fall = np.float32(1.0) - np.float32(4.5) * (np.float32(1.0) - ahead)
        shadow = np.float32(1.0) - _SHADOW * (np.float32(1.0) - open_share)
        wall: Singles = _BACKGROUND * (fall * shadow)[:, None]
        return wall

    def _surface(self, rays: CameraRays, open_share: Singles) -> Singles:
        """(k, 3) light from the rays that meet the mesh."""
        met = rays.hits.met
        view = rays.directions[met]
        normal = _mixed(self._normals.corners(rays.hits.triangle[met]), rays.hits)
        normal /= np.sqrt(_dots(normal, normal))[:, None] + np.float32(1e-20)
        place, face = self.places_and_faces(rays)
        if self._stripes:
            return self._striped(view, normal)
        facing = np.clip(-_dots(view, normal), 0.0, 1.0)
        mirrored = _above(view - np.float32(2.0) * _dots(view, normal)[:, None] * normal, face)
        specular = self._seen_by_mirror(place + np.float32(LIFT_MM) * face, mirrored)
        diffuse = soft_studio(*self._in_picture(normal))[:, None] * open_share[:, None]
        rim = ((np.float32(1.0) - facing) ** 5)[:, None]
        if self._metal:
            colour = self._tint + (np.float32(1.0) - self._tint) * rim
            light: Singles = (
                colour * specular * (_GLINT_SHUT + _GLINT_OPEN * open_share[:, None]) + _DULL * self._tint * diffuse
            )
        else:
            gloss = np.float32(0.035) + np.float32(0.5) * rim
            light = np.float32(1.6) * self._tint * diffuse + gloss * specular * open_share[:, None]
        return light

    def _striped(self, view: Singles, normal: Singles) -> Singles:
        """(k, 3) light of stripes on a far wall that run from left to right in the picture."""
        values = reflection_values(normal, -view, self._axes[0]).astype(np.float32)
        light: Singles = (np.float32(0.03) + np.float32(0.8) * values)[:, None] * self._tint
        return light

    def _seen_by_mirror(self, origins: Singles, directions: Singles) -> Singles:
        """(k, 3) light that comes along mirrored rays: the studio's, or that of another part of the ring."""
        hits = self._scene.hits(origins, directions)
        met = hits.met
        light = np.empty_like(directions)
        light[:] = studio(*self._in_picture(directions))[:, None]
        normal = self._normals.faces[hits.triangle[met]]
        again = directions[met] - np.float32(2.0) * _dots(directions[met], normal)[:, None] * normal
        beyond = 0.45 * studio(*self._in_picture(again)) + 0.35 * soft_studio(*self._in_picture(normal))
        light[met] = self._tint * beyond[:, None]
        return light

    def _in_picture(self, vectors: Singles) -> tuple[Singles, Singles, Singles]:
        """Vectors (n, 3) as their parts to the right, up and towards the camera, each (n,)."""
        x, y, z = vectors.T
        right, up, back = (x * axis[0] + y * axis[1] + z * axis[2] for axis in self._axes)
        return right, up, back


def _mixed(corner_values: Singles, hits: Hits) -> Singles:
    """(k, 3) values at the places that were met, from the values (k, 3, 3) at their triangles' corners."""
    u, v = hits.u[hits.met][:, None], hits.v[hits.met][:, None]
    mixed: Singles = (np.float32(1.0) - u - v) * corner_values[:, 0] + u * corner_values[:, 1] + v * corner_values[:, 2]
    return mixed


def _dots(a: Singles, b: Singles) -> Singles:
    dots: Singles = a[:, 0] * b[:, 0] + a[:, 1] * b[:, 1] + a[:, 2] * b[:, 2]
    return dots


def _above(directions: Singles, face: Singles) -> Singles:
    """Directions lifted so that none points into its own face, as smooth normals may make them do near a silhouette."""
    height = _dots(directions, face)
    sunk = np.flatnonzero(height < np.float32(0.02))
    lifted = directions[sunk] + (np.float32(0.02) - height[sunk])[:, None] * face[sunk]
    directions[sunk] = lifted / np.sqrt(_dots(lifted, lifted))[:, None]
    return directions
