"""Approved pictures of the strip. After a wanted change, look at the new ones and approve them:

RINGTEX_APPROVE_PICTURES=1 python3 -m pytest tests/window/strip_editor/test_strip_view_pictures.py
"""

from __future__ import annotations

import os
import threading
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image
from strip_rings import Bench, pixels

from ringtex.window.strip_editor.painting.strip_tiles import FineLayers, StripTiles
from ringtex.window.strip_editor.state.strip_scene import Look, StripScene

PICTURES = Path(__file__).parents[1] / "pictures"

CAPTIONS = {
    "strip_dome": "Dome ring of hexagons in yellow gold, lit from above right: tops stand up, their lower left flanks "
    "are dark; cells at both palm ends look deeper set than at the head; pale copies beyond both seam lines.",
    "strip_pebbles": "Some 200 cellular pebbles, each a smooth dome with one soft highlight towards the light; no "
    "facets, no cracks between neighbours.",
    "strip_fine": "60 by 15 raised hexagons, even from end to end, without moire or broken lines.",
    "strip_stretch": "The dome's stretch: brown at the head (larger on the ring), blue at the palm, white between.",
    "strip_dark": "The flat band with rails in silver in a dark window: plain borders above and below, low light from "
    "the left.",
}
"""What must be seen on each picture."""

BLOCK = 4
"""Pictures are compared in blocks of so many pixels a side: another machine's smoothing of edges then counts little."""
WORST_MEAN = 4.0
WORST_BLOCK = 90.0
"""Of 255: other machines round and smooth differently; a changed light or a shifted pattern is many times this."""


def pictured(qtbot, name: str) -> NDArray[np.int32]:
    """The strip's frame (without rulers, whose letters differ from machine to machine) as it rests."""
    rings = {"strip_dome": "dome", "strip_pebbles": "cellular", "strip_fine": "fine", "strip_stretch": "dome"}
    bench = Bench(qtbot, rings.get(name, "rails"))
    if name == "strip_stretch":
        bench.state.set_overlay("stretch")
    if name == "strip_dark":
        bench.state.set_dark(True)
        bench.state.set_finish("silver")
        bench.state.set_light(280.0, 20.0)
    # Handles come and go with the pointer, whose place on the display is not the test's.
    bench.strip.underMouse = lambda: False  # type: ignore[method-assign]
    bench.strip.hasFocus = lambda: False  # type: ignore[method-assign]
    bench.state.set_hovered_cell(None)
    bench.rest()
    bench.strip.legend.hide()
    _, top, _, bottom = bench.strip.state.viewport.frame
    return pixels(bench.strip)[top:bottom]


@pytest.mark.parametrize("name", CAPTIONS)
def test_the_strip_looks_as_approved(qtbot, name: str) -> None:
    seen = pictured(qtbot, name)
    path = PICTURES / f"{name}.png"
    if os.environ.get("RINGTEX_APPROVE_PICTURES"):
        Image.fromarray(seen.astype(np.uint8)).save(path, optimize=True)
    approved = np.asarray(Image.open(path).convert("RGB"), dtype=np.int32)
    assert seen.shape == approved.shape, CAPTIONS[name]
    away = np.abs(_blocks(seen) - _blocks(approved))
    assert away.mean() < WORST_MEAN, CAPTIONS[name]
    assert away.max() < WORST_BLOCK, CAPTIONS[name]


def _blocks(picture: NDArray[np.int32]) -> NDArray[np.float64]:
    height, width = (side // BLOCK * BLOCK for side in picture.shape[:2])
    cut = picture[:height, :width].reshape(height // BLOCK, BLOCK, width // BLOCK, BLOCK, 3)
    return cut.mean(axis=(1, 3))


def test_fine_polygons_are_made_beside_the_window(qtbot, monkeypatch: pytest.MonkeyPatch) -> None:
    """Those of many rounded pillows take over a second: the window must go on meanwhile."""
    makers = []
    layers = StripScene.layers

    def watched(scene: StripScene, look: Look, fine: bool, scale: float) -> object:
        makers.append((fine, threading.current_thread() is threading.main_thread()))
        return layers(scene, look, fine, scale)

    monkeypatch.setattr(StripScene, "layers", watched)
    bench = Bench(qtbot, "rails")
    bench.rest()
    assert (True, False) in makers
    assert (True, True) not in makers


def test_fine_polygons_of_what_is_no_longer_shown_are_left(qtbot) -> None:
    bench = Bench(qtbot, "rails")
    state, tiles = bench.strip.state, StripTiles()
    tiles.show(state.ring.scene, state.ring.look, state.viewport)
    asked = tiles.lacking_layers()
    assert asked is not None
    stale = FineLayers(StripScene(state.view.built), asked.look, asked.scale)
    for layers in (stale, asked):
        assert tiles.lacking_layers() is not None
        layers.make()
        tiles.take_layers(layers)
    assert tiles.lacking_layers() is None
