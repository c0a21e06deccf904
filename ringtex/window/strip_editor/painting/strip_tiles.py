"""The strip's picture as square tiles of one turn: panning only moves them, and they are refined at rest."""

from __future__ import annotations

import math
from collections import OrderedDict
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Final

import numpy as np
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QColor, QImage, QPainter, QPixmap

from ringtex.basics.arrays import Floats, Longs
from ringtex.window.strip_editor.painting.polygon_paths import polygon_paths
from ringtex.window.strip_editor.state.strip_scene import Look, Painted, StripScene
from ringtex.window.strip_editor.state.viewport import Viewport

TILE_PX: Final = 256
MAX_TILES: Final = 192
"""A tile takes a quarter of a megabyte, and plain and fine ones are cached each: 96 MB. A screen of 4K is 150 tiles."""

SAMPLES: Final = 4
"""A tile at rest is drawn so many times larger and scaled down: edges have sixteen steps and neighbours leave no
cracks, which smoothed edges of polygons side by side do."""

_Key = tuple[int, int]
_Layers = tuple[tuple[int, int, int], list[Painted]]


@dataclass(eq=False)
class FineLayers:
    """The fine polygons of one scene in one look: `make` may be called in another thread."""

    scene: StripScene
    look: Look
    scale: float
    made: _Layers | None = field(default=None, init=False)

    def make(self) -> None:
        """Make them."""
        self.made = self.scene.layers(self.look, True, self.scale)


class StripTiles:
    """Tiles of one turn at one scale. `draw` makes what is missing, plainly; `refine_one` makes tiles for rest."""

    def __init__(self) -> None:
        self._scene: StripScene | None = None
        self._look: Look | None = None
        self._size = (0, 0)
        self._plain: OrderedDict[_Key, QPixmap] = OrderedDict()
        self._fine: OrderedDict[_Key, QPixmap] = OrderedDict()
        self._layers: dict[bool, _Layers] = {}

    def show(self, scene: StripScene | None, look: Look, viewport: Viewport) -> None:
        """Say what to draw; tiles of anything else are dropped.

        Parameters:
            scene: what is drawn.
            look: the light and the metal.
            viewport: which part of the strip is seen, and how large.
        """
        size = (viewport.turn_px, viewport.height_px)
        if scene is self._scene and look == self._look and size == self._size:
            return
        self._scene, self._look, self._size = scene, look, size
        self._plain.clear()
        self._fine.clear()
        self._layers.clear()

    def draw(self, painter: QPainter, viewport: Viewport, shift_px: int = 0) -> None:
        """Draw all that is in the frame, in device pixels. shift_px moves the pattern along, ahead of its build.

        Parameters:
            painter: paints in the widget's pixels.
            viewport: which part of the strip is seen, and how large.
            shift_px: how far the pattern is moved ahead of its build.
        """
        if self._scene is None:
            return
        resting = self.is_fine(viewport)
        for key, x, y in self._visible(viewport, shift_px):
            pixmap = self._fine.get(key) if resting else None
            painter.drawPixmap(QPoint(x, y), pixmap or self._plain_tile(key))

    def is_fine(self, viewport: Viewport) -> bool:
        """Whether all that is seen is there in the quality for rest."""
        return all(key in self._fine for key, _, _ in self._visible(viewport, 0))

    def lacking_layers(self) -> FineLayers | None:
        """What is to be made before a tile can be refined; None where it is there, or the finished ring is to come."""
        if self._scene is None or self._look is None or True in self._layers or self._scene.awaits_finished:
            return None
        return FineLayers(self._scene, self._look, self._scale)

    def take_layers(self, layers: FineLayers) -> None:
        """Take what was made, unless something else is shown by now."""
        is_shown = (layers.scene, layers.look, layers.scale) == (self._scene, self._look, self._scale)
        if is_shown and layers.made is not None:
            self._layers[True] = layers.made

    @property
    def _scale(self) -> float:
        """Pixels for a millimetre."""
        return self._size[0] / self._scene.length if self._scene is not None else 1.0

    def refine_one(self, viewport: Viewport) -> bool:
        """Make one visible tile for rest; False when there was none left to make."""
        if self._scene is None or self._scene.awaits_finished:
            return False
        for key, _, _ in self._visible(viewport, 0):
            if key not in self._fine:
                self._fine[key] = self._render(key, SAMPLES)
                _forget_oldest(self._fine)
                return True
        return False

    def _plain_tile(self, key: _Key) -> QPixmap:
        # A single fine tile is shown among plain ones only where there is no plain one: both show the same.
        if key not in self._plain:
            self._plain[key] = self._fine[key] if key in self._fine else self._render(key, 1)
            _forget_oldest(self._plain)
        self._plain.move_to_end(key)
        return self._plain[key]

    def _visible(self, viewport: Viewport, shift_px: int) -> Iterator[tuple[_Key, int, int]]:
        """Tiles in the frame, with where to draw them; a tile comes again for every turn in which it is seen."""
        left, top, right, bottom = viewport.frame
        turn, height = viewport.turn_px, viewport.height_px
        start = viewport.left_px - shift_px
        rows = range(max(0, (top - viewport.top_px) // TILE_PX), math.ceil(height / TILE_PX))
        columns = math.ceil(turn / TILE_PX)
        for number in range(start // turn, (start + right - left) // turn + 1):
            origin = left + number * turn - start
            first = max(0, (left - origin) // TILE_PX)
            for column in range(first, columns):
                x = origin + column * TILE_PX
                if x >= right:
                    break
                for row in rows:
                    y = viewport.top_px + row * TILE_PX
                    if y < bottom:
                        yield (column, row), x, y

    def _render(self, key: _Key, samples: int) -> QPixmap:
        assert self._scene is not None
        assert self._look is not None
        fine = samples > 1
        turn, full_height = self._size
        scale = self._scale
        if fine not in self._layers:
            self._layers[fine] = self._scene.layers(self._look, fine, scale)
        ground, layers = self._layers[fine]
        x, y = key[0] * TILE_PX, key[1] * TILE_PX
        width, height = min(TILE_PX, turn - x), min(TILE_PX, full_height - y)
        image = QImage(width * samples, height * samples, QImage.Format.Format_RGB32)
        image.fill(QColor(*ground))
        painter = QPainter(image)
        for layer in layers:
            _fill(painter, layer, self._scene.length, scale, (x, full_height - y), (width, height), samples)
        painter.end()
        if fine:
            image = image.scaled(
                width, height, Qt.AspectRatioMode.IgnoreAspectRatio, Qt.TransformationMode.SmoothTransformation
            )
        return QPixmap.fromImage(image)


def _fill(
    painter: QPainter,
    layer: Painted,
    length: float,
    scale: float,
    corner: tuple[int, int],
    size: tuple[int, int],
    samples: int,
) -> None:
    """Fill a layer's polygons that touch the tile; corner: its left and top, in pixels from the seam and from v = 0."""
    low_u, high_u = corner[0] / scale, (corner[0] + size[0]) / scale
    low_v, high_v = (corner[1] - size[1]) / scale, corner[1] / scale
    across = (layer.high[1] > low_v) & (layer.low[1] < high_v)
    for turn in (-length, 0.0, length):
        chosen = np.flatnonzero(across & (layer.high[0] + turn > low_u) & (layer.low[0] + turn < high_u))
        if len(chosen) == 0:
            continue
        points, start = _chosen_polygons(layer, chosen)
        pixels = np.empty_like(points)
        pixels[:, 0] = ((points[:, 0] + turn) * scale - corner[0]) * samples
        pixels[:, 1] = (corner[1] - points[:, 1] * scale) * samples
        for group, path in polygon_paths(pixels, start, layer.group[chosen]):
            painter.fillPath(path, QColor(*layer.colours[group].tolist()))


def _chosen_polygons(layer: Painted, chosen: Longs) -> tuple[Floats, Longs]:
    if len(chosen) == len(layer.group):
        return layer.corners, layer.start
    size = np.diff(layer.start)[chosen]
    start = np.concatenate(([0], np.cumsum(size)))
    number = np.arange(start[-1]) - np.repeat(start[:-1] - layer.start[chosen], size)
    return layer.corners[number], start


def _forget_oldest(tiles: OrderedDict[_Key, QPixmap]) -> None:
    while len(tiles) > MAX_TILES:
        tiles.popitem(last=False)
