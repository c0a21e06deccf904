"""A picture of the ring, rendered without display or graphics card, good enough to judge the pattern by."""

from __future__ import annotations

import os
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Singles
from ringtex.basics.errors import InputError
from ringtex.basics.progress import Progress
from ringtex.basics.safe_files import written_beside
from ringtex.export.picture.ambient_occlusion import bilateral_filtered, ground_shadow, open_share, turns
from ringtex.export.picture.camera import Camera, named_view
from ringtex.export.picture.ray_scene import RayScene
from ringtex.export.picture.shading import GROOVE_REACH_MM, CameraRays, Shading
from ringtex.export.picture.studio_light import FINISHES, Finish, tone_mapped
from ringtex.solid.mesh.ring_mesh import RingMesh

MIN_SIDE: Final = 16
MAX_SIDE: Final = 4096
"""Pixels of a picture's side."""

# Neighbours that turn by 10 degrees, or differ by a twentieth of full light, have an edge between them.
_SAME_FACE = 0.985
_SAME_COLOUR = 0.05
# The four places in a pixel where edges are sampled: a square turned by 27 degrees gives upright edges four steps.
_SUBPIXELS = np.array([[0.375, 0.125], [0.875, 0.375], [0.625, 0.875], [0.125, 0.625]])


def render_picture(
    mesh: RingMesh,
    path: str | os.PathLike[str] | None = None,
    width: int = 900,
    height: int = 700,
    view: str = "three_quarter",
    finish: str = "yellow_gold",
    progress: Progress | None = None,
) -> NDArray[np.uint8]:
    """Render the ring, and write it as PNG if a path is given.

    Parameters: mesh in mm, axis z, head +y; width and height in pixels; view, one of `camera.VIEWS`; finish, one of
    `metal_light.FINISHES`; progress, asked whether to stop between the steps.
    Returns: (height, width, 3) uint8, sRGB.
    Raises InputError: unknown view or finish, sides out of range. OutputError: the file could not be written.
    """
    for name, side in (("width", width), ("height", height)):
        if not MIN_SIDE <= side <= MAX_SIDE:
            raise InputError(f"A side of {side} pixels cannot be drawn", f"Use {MIN_SIDE} to {MAX_SIDE}", name)
    if finish not in FINISHES:
        raise InputError(f"There is no finish {finish!r}", f"Use one of {', '.join(FINISHES)}", "finish")
    camera = named_view(view, mesh.vertices, width, height)
    picture = _Shot(mesh, camera, (width, height), FINISHES[finish], progress or Progress()).picture()
    if path is not None:
        from PIL import Image

        with written_beside(path) as beside:
            Image.fromarray(picture).save(beside, format="PNG", compress_level=4)
    return picture


def write_picture(mesh: RingMesh, path: str | os.PathLike[str]) -> None:
    """Render the usual view of the ring in the usual finish, and write it as PNG."""
    render_picture(mesh, path)


class _Shot:
    """One picture being taken."""

    def __init__(
        self, mesh: RingMesh, camera: Camera, size: tuple[int, int], finish: Finish, progress: Progress
    ) -> None:
        self._mesh = mesh
        self._size = size
        self._camera = camera
        self._finish = finish
        self._progress = progress
        self._scene = RayScene(mesh)

    def picture(self) -> NDArray[np.uint8]:
        """(h, w, 3) the finished picture: every pixel once in its middle, four times where there is an edge."""
        width, height = self._size
        shading = Shading(self._mesh, self._scene, self._camera, self._finish)
        self._progress.check()
        middle = self._rays(np.arange(width * height), np.array([0.5, 0.5]))
        faces = np.zeros((width * height, 3), dtype=np.float32)
        places, faces[middle.hits.met] = shading.places_and_faces(middle)
        open_share = self._open_share(middle, places, faces)
        self._progress.check()
        shown = tone_mapped(shading.light(middle, open_share))
        edges = _edge_pixels(faces.reshape(height, width, 3), shown.reshape(height, width, 3))
        total = np.zeros((len(edges), 3), dtype=np.float32)
        for place in _SUBPIXELS:
            self._progress.check()
            total += tone_mapped(shading.light(self._rays(edges, place), open_share[edges]))
        shown[edges] = total / np.float32(len(_SUBPIXELS))
        picture: NDArray[np.uint8] = np.rint(shown * 255.0).astype(np.uint8).reshape(height, width, 3)
        return picture

    def _rays(self, pixel: NDArray[np.intp], place: NDArray[np.float64]) -> CameraRays:
        """Rays through one place of some pixels."""
        width, height = self._size
        directions = self._camera.directions(pixel % width + place[0], pixel // width + place[1], width, height)
        origins = np.broadcast_to(self._camera.eye.astype(np.float32), directions.shape)
        return CameraRays(directions, self._scene.hits(origins, directions))

    def _open_share(self, middle: CameraRays, places: Singles, faces: Singles) -> Singles:
        """(pixels,) share of the room that each pixel's place sees: darkness in grooves, shadow on the ground."""
        width, height = self._size
        met = middle.hits.met
        turn = turns(width, height).ravel()[met]
        asked = np.flatnonzero(turn >= 0)
        grooves = np.full(width * height, np.nan, dtype=np.float32)
        normals = faces[met[asked]]
        grooves[met[asked]] = open_share(self._scene, places[asked], normals, turn[asked], GROOVE_REACH_MM)
        shape = (height, width)
        depth = middle.hits.distance.reshape(shape)
        grooves = bilateral_filtered(grooves.reshape(shape), faces.reshape(height, width, 3), depth).ravel()
        shadow = ground_shadow(self._scene, self._camera, self._size, float(self._mesh.vertices[:, 1].min()))
        share: Singles = np.where(middle.hits.triangle >= 0, grooves, shadow)
        return share


def _edge_pixels(normals: Singles, shown: Singles) -> NDArray[np.intp]:
    """Pixels of which a neighbour shows another face or another colour: face normals and picture, both (h, w, 3)."""
    edge = np.zeros(normals.shape[:2], dtype=bool)
    for axis in (0, 1):
        here, there = (slice(None, -1), slice(None)), (slice(1, None), slice(None))
        if axis == 1:
            here, there = here[::-1], there[::-1]
        turned = np.einsum("ijk,ijk->ij", normals[here], normals[there]) < _SAME_FACE
        turned &= np.any(normals[here] != normals[there], axis=2)
        differs = turned | (np.abs(shown[here][..., 1] - shown[there][..., 1]) > _SAME_COLOUR)
        edge[here] |= differs
        edge[there] |= differs
    return np.flatnonzero(edge)
