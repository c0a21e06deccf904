"""Light that comes to the camera: from the metal, which reflects the studio and itself, and from the ground."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from ringtex.basics.arrays import Singles
from ringtex.export.picture.ambient_occlusion import RAY_OFFSET_MM
from ringtex.export.picture.camera import Camera
from ringtex.export.picture.crease_normals import face_normals, split_at_creases
from ringtex.export.picture.ray_scene import Hits, RayScene
from ringtex.export.picture.studio_light import Material, diffuse_studio, fresnel, reflection_values, studio
from ringtex.solid.mesh.ring_mesh import RingMesh

OCCLUSION_RADIUS_MM: Final = 1.6
"""Metal further off than this does not darken a point: a few times the usual relief, so that grooves show."""

_BACKGROUND = np.array([0.80, 0.77, 0.73], dtype=np.float32)
_SHADOW = np.float32(0.9)
# The specular part is weaker where little of the room is seen; fine scratches, which every polish leaves, spread a
# part of the light. Chosen by eye, so that patterns read clearly.
_SPECULAR_WALLED_IN, _SPECULAR_OPEN, _DIFFUSE_GAIN = np.float32(0.25), np.float32(0.55), np.float32(1.41)


@dataclass(frozen=True, eq=False)
class CameraRays:
    """Rays from the camera: directions (n, 3), and what they meet."""

    directions: Singles
    hits: Hits


class Shading:
    """Light for camera rays on one mesh."""

    def __init__(self, mesh: RingMesh, scene: RayScene, camera: Camera, material: Material) -> None:
        self._scene = scene
        self._axes = camera.axes.astype(np.float32)
        self._tint = np.array(material.tint, dtype=np.float32)
        self._material = material
        self._face_normals = face_normals(mesh.vertices, mesh.faces)
        drawn = split_at_creases(mesh.vertices, mesh.faces)
        self._corner_normals, self._corners = drawn.normals[drawn.triangles], drawn.positions[drawn.triangles]

    def light(self, rays: CameraRays, visibility: Singles) -> Singles:
        """(n, 3) light along the rays; visibility (n,) is the part of the room that each ray's point sees."""
        light = self._background(rays, visibility)
        light[rays.hits.rays] = self._surface(rays, visibility[rays.hits.rays])
        return light

    def points_and_normals(self, rays: CameraRays) -> tuple[Singles, Singles]:
        """(k, 3) points of the mesh that the rays meet, exactly on their triangles, and those triangles' normals."""
        triangles = rays.hits.triangle[rays.hits.rays]
        return rays.hits.interpolated(self._corners[triangles]), self._face_normals[triangles]

    def _background(self, rays: CameraRays, visibility: Singles) -> Singles:
        """A warm grey wall, a little darker towards the corners of the picture, and under the ring its soft shadow."""
        ahead = -self._in_camera(rays.directions)[2]
        vignette = np.float32(1.0) - np.float32(4.5) * (np.float32(1.0) - ahead)
        shadow = np.float32(1.0) - _SHADOW * (np.float32(1.0) - visibility)
        wall: Singles = _BACKGROUND * (vignette * shadow)[:, None]
        return wall

    def _surface(self, rays: CameraRays, visibility: Singles) -> Singles:
        """(k, 3) light from the rays that meet the mesh."""
        hits = rays.hits
        view = rays.directions[hits.rays]
        normal = hits.interpolated(self._corner_normals[hits.triangle[hits.rays]])
        normal /= np.sqrt(_dots(normal, normal))[:, None] + np.float32(1e-20)
        point, face = self.points_and_normals(rays)
        if self._material.stripes:
            return self._striped(view, normal)
        reflected = _above(view - np.float32(2.0) * _dots(view, normal)[:, None] * normal, face)
        specular = self._mirrored(point + np.float32(RAY_OFFSET_MM) * face, reflected)
        diffuse = diffuse_studio(*self._in_camera(normal))[:, None] * visibility[:, None]
        grazing = fresnel(-_dots(view, normal))[:, None]
        if self._material.metal:
            tint = self._tint + (np.float32(1.0) - self._tint) * grazing
            gain = _SPECULAR_WALLED_IN + _SPECULAR_OPEN * visibility[:, None]
            light: Singles = tint * specular * gain + _DIFFUSE_GAIN * self._material.diffuse * self._tint * diffuse
        else:
            gloss = np.float32(0.035) + np.float32(0.5) * grazing
            light = np.float32(1.6) * self._tint * diffuse + gloss * specular * visibility[:, None]
        return light.astype(np.float32, copy=False)

    def _striped(self, view: Singles, normal: Singles) -> Singles:
        """(k, 3) light of stripes on a far wall that run from left to right in the picture."""
        values = reflection_values(normal, -view, self._axes[0]).astype(np.float32)
        light: Singles = (np.float32(0.03) + np.float32(0.8) * values)[:, None] * self._tint
        return light

    def _mirrored(self, origins: Singles, directions: Singles) -> Singles:
        """(k, 3) light that comes along reflected rays: the studio's, or that of another part of the ring."""
        hits = self._scene.hits(origins, directions)
        light = np.empty_like(directions)
        light[:] = studio(*self._in_camera(directions))[:, None]
        normal = self._face_normals[hits.triangle[hits.rays]]
        incident = directions[hits.rays]
        again = incident - np.float32(2.0) * _dots(incident, normal)[:, None] * normal
        second = 0.45 * studio(*self._in_camera(again)) + 0.35 * diffuse_studio(*self._in_camera(normal))
        light[hits.rays] = self._tint * second[:, None]
        return light

    def _in_camera(self, vectors: Singles) -> tuple[Singles, Singles, Singles]:
        """Vectors (n, 3) as their parts to the right, up and towards the camera, each (n,)."""
        x, y, z = vectors.T
        right, up, back = (x * axis[0] + y * axis[1] + z * axis[2] for axis in self._axes)
        return right, up, back


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
