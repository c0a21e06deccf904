"""A picture of the ring, rendered without display or graphics card, good enough to judge the pattern by."""

from __future__ import annotations

import os
from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Bytes, Singles
from ringtex.basics.errors import InputError
from ringtex.basics.known_names import unknown_name
from ringtex.basics.progress import Progress
from ringtex.basics.safe_files import written_beside
from ringtex.export.picture.ambient_occlusion import bilateral_filtered, ground_visibility, sample_rotations, visibility
from ringtex.export.picture.camera import Camera, named_view
from ringtex.export.picture.ray_scene import RayScene
from ringtex.export.picture.shading import OCCLUSION_RADIUS_MM, CameraRays, Shading
from ringtex.export.picture.studio_light import MATERIALS, Material, material_of_alloy, tone_mapped
from ringtex.solid.mesh.ring_mesh import RingMesh

MIN_SIDE: Final = 16
MAX_SIDE: Final = 4096
"""Pixels of a picture's side."""

# Neighbours that turn by 10 degrees, or differ by a twentieth of full light, have an edge between them.
_SAME_FACE = 0.985
_SAME_COLOUR = 0.05
_TEXT_FRACTION: Final = 0.05  # height of captions as a fraction of a picture's width
_INK: Final = (40, 40, 44)
# Where in a pixel edges are sampled: a square turned by 27 degrees gives upright edges four steps.
_SUBPIXELS = np.array([[0.375, 0.125], [0.875, 0.375], [0.625, 0.875], [0.125, 0.625]])


def render_picture(
    mesh: RingMesh,
    path: str | os.PathLike[str] | None = None,
    width: int = 900,
    height: int = 700,
    view: str = "three_quarter",
    material: str = "yellow_gold",
    progress: Progress | None = None,
) -> NDArray[np.uint8]:
    """Render the ring, and write it as PNG if a path is given.

    Parameters:
        mesh: in mm, axis z, head +y.
        path: of the PNG, or None.
        width: pixels.
        height: pixels.
        view: one of `camera.VIEWS`.
        material: one of `studio_light.MATERIALS`.
        progress: asked between the steps whether to stop.
    Returns: (height, width, 3) uint8, sRGB.
    Raises: InputError for an unknown view or material, or a side out of range; OutputError if it cannot be written.
    """
    for name, side in (("width", width), ("height", height)):
        if not MIN_SIDE <= side <= MAX_SIDE:
            raise InputError(f"A side of {side} pixels cannot be drawn", f"Use {MIN_SIDE} to {MAX_SIDE}", name)
    if material not in MATERIALS:
        raise unknown_name(f"There is no material {material!r}", material, MATERIALS, "material")
    camera = named_view(view, mesh.vertices, width, height)
    picture = _Picture(mesh, camera, (width, height), MATERIALS[material], progress or Progress()).rendered()
    if path is not None:
        from PIL import Image

        with written_beside(path) as beside:
            Image.fromarray(picture).save(beside, format="PNG", compress_level=4)
    return picture


def write_picture(mesh: RingMesh, path: str | os.PathLike[str], alloy: str) -> None:
    """Write the usual view of the ring as PNG.

    Parameters:
        mesh: in mm.
        path: of the PNG.
        alloy: its key, whose colour the ring has.
    Raises: OutputError if it cannot be written.
    """
    render_picture(mesh, path, material=material_of_alloy(alloy))


class _Picture:
    """One picture being rendered."""

    def __init__(
        self, mesh: RingMesh, camera: Camera, size: tuple[int, int], material: Material, progress: Progress
    ) -> None:
        self._size, self._camera, self._progress = size, camera, progress
        self._ground_y = float(mesh.vertices[:, 1].min())
        self._scene = RayScene(mesh)
        self._shading = Shading(mesh, self._scene, camera, material)

    def rendered(self) -> NDArray[np.uint8]:
        """(h, w, 3) every pixel sampled once in its middle, four times where there is an edge."""
        width, height = self._size
        self._progress.check()
        centre = self._rays(np.arange(width * height), np.array([0.5, 0.5]))
        normals = np.zeros((width * height, 3), dtype=np.float32)
        points, normals[centre.hits.rays] = self._shading.points_and_normals(centre)
        sky_visibility = self._visibility(centre, points, normals)
        self._progress.check()
        colour = tone_mapped(self._shading.light(centre, sky_visibility))
        edges = _edge_pixels(normals.reshape(height, width, 3), colour.reshape(height, width, 3))
        total = np.zeros((len(edges), 3), dtype=np.float32)
        for offset in _SUBPIXELS:
            self._progress.check()
            total += tone_mapped(self._shading.light(self._rays(edges, offset), sky_visibility[edges]))
        colour[edges] = total / np.float32(len(_SUBPIXELS))
        picture: NDArray[np.uint8] = np.rint(colour * 255.0).astype(np.uint8).reshape(height, width, 3)
        return picture

    def _rays(self, pixel: NDArray[np.intp], offset: NDArray[np.float64]) -> CameraRays:
        """Rays through pixels, offset from their upper left corners."""
        width, height = self._size
        directions = self._camera.directions(pixel % width + offset[0], pixel // width + offset[1], width, height)
        origins = np.broadcast_to(self._camera.eye.astype(np.float32), directions.shape)
        return CameraRays(directions, self._scene.hits(origins, directions))

    def _visibility(self, centre: CameraRays, points: Singles, normals: Singles) -> Singles:
        """(pixels,) how much of the room each pixel's point sees: darkness in grooves, shadow on the ground."""
        width, height = self._size
        on_ring = centre.hits.rays
        rotation = sample_rotations(width, height).ravel()[on_ring]
        sampled = np.flatnonzero(rotation >= 0)
        pixels = on_ring[sampled]
        grooves = np.full(width * height, np.nan, dtype=np.float32)
        grooves[pixels] = visibility(
            self._scene, points[sampled], normals[pixels], rotation[sampled], OCCLUSION_RADIUS_MM
        )
        depth = centre.hits.distance.reshape(height, width)
        normals = normals.reshape(height, width, 3)
        grooves = bilateral_filtered(grooves.reshape(height, width), normals, depth).ravel()
        ground = ground_visibility(self._scene, self._camera, self._size, self._ground_y)
        sky_visibility: Singles = np.where(centre.hits.triangle >= 0, grooves, ground)
        return sky_visibility


def _edge_pixels(normals: Singles, colour: Singles) -> NDArray[np.intp]:
    """Pixels of which a neighbour shows another face or another colour: face normals and colours, both (h, w, 3)."""
    edge = np.zeros(normals.shape[:2], dtype=bool)
    for axis in (0, 1):
        here, there = (slice(None, -1), slice(None)), (slice(1, None), slice(None))
        if axis == 1:
            here, there = here[::-1], there[::-1]
        turned = np.einsum("ijk,ijk->ij", normals[here], normals[there]) < _SAME_FACE
        turned &= np.any(normals[here] != normals[there], axis=2)
        differs = turned | (np.abs(colour[here][..., 1] - colour[there][..., 1]) > _SAME_COLOUR)
        edge[here] |= differs
        edge[there] |= differs
    return np.flatnonzero(edge)


def write_side_by_side(
    rows: Sequence[Sequence[Bytes]], captions: Sequence[Sequence[str]], path: str | os.PathLike[str]
) -> None:
    """Write equally large pictures beside each other as one PNG.

    Parameters:
        rows: of pictures (h, w, 3).
        captions: for each column, lines of text below it.
        path: of the PNG.
    Raises: OutputError if the file cannot be written.
    """
    from PIL import Image, ImageDraw, ImageFont

    height, width = rows[0][0].shape[:2]
    size = max(10, round(_TEXT_FRACTION * width))
    font = ImageFont.load_default(size)
    lines = max(len(caption) for caption in captions)
    body = np.concatenate([np.concatenate(list(row), axis=1) for row in rows], axis=0)
    foot = np.full((round(1.4 * size * (lines + 1)), body.shape[1], 3), 255, dtype=np.uint8)
    sheet = Image.fromarray(np.concatenate([body, foot], axis=0))
    draw = ImageDraw.Draw(sheet)
    for column, caption in enumerate(captions):
        for line, text in enumerate(caption):
            at = (column * width + size, len(rows) * height + round(1.4 * size * (line + 0.5)))
            draw.text(at, text, fill=_INK, font=font)
    with written_beside(path) as beside:
        sheet.save(beside, format="PNG")
