"""The piece of strip round the seam: its heights against the ring's own mesh, and what is said of borders."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from shapely.geometry import MultiPolygon, box
from zoo import plain_design

from ringtex.basics.progress import Progress
from ringtex.basics.resources import demo_folder
from ringtex.design.design import Design
from ringtex.design.design_file import design_from_json
from ringtex.document.seam_view import SeamView, seam_view
from ringtex.edits.motif_edits import with_motif
from ringtex.make_ring import shape_ring
from ringtex.pattern.motif.import_motif import read_motif
from ringtex.pattern.motif.motif_options import MotifOptions
from ringtex.pattern.motif.motif_outline import GRID, outline_text
from ringtex.pattern.picture.grey_options import GreyOptions
from ringtex.pattern.picture.grey_reader import picture_text


def drawn(motif: MotifOptions) -> Design:
    return with_motif(design_from_json(plain_design()), motif)


def heights_of_mesh(design: Design, view: SeamView) -> tuple[np.ndarray, np.ndarray]:
    """Heights of the mesh's vertices near the seam, and of the nearest samples."""
    built = shape_ring(design, 0.01, Progress())
    places = built.solid.strip_positions
    length, lower = built.strip.length, built.pattern.motif.part.lower  # type: ignore[union-attr]
    u = (places[:, 0] + 0.5 * length) % length - 0.5 * length
    rows, columns = view.height_mm.shape
    column = np.floor(u / view.step_mm + 0.5 * columns).astype(int)
    row = rows - 1 - np.floor((places[:, 1] - lower) / view.step_mm).astype(int)
    near = (column >= 0) & (column < columns) & (row >= 0) & (row < rows) & (places[:, 2] > -0.5)
    return places[near, 2], view.height_mm[row[near], column[near]]


@pytest.mark.parametrize("kind", ["drawing", "picture"])
def test_heights_are_those_of_the_mesh(kind: str) -> None:
    motif = read_motif(demo_folder() / "drawings" / "laurel_leaf.svg").motif
    if kind == "picture":
        x = np.arange(64) / 64.0
        samples = np.rint(255 * (0.5 + 0.5 * np.sin(2 * np.pi * x) * np.cos(2 * np.pi * x)[:, None])).astype(np.uint8)
        motif = MotifOptions("", fit="page", grey=GreyOptions(picture_text(samples)))
    design = drawn(motif)
    view = seam_view(design, 200, Progress())
    mesh, shown = heights_of_mesh(design, view)
    assert len(mesh) > 500
    # A sample lies up to 0.71 of a step from a vertex, over which a flank climbs as steeply as it is.
    climb = 0.71 * view.step_mm * math.tan(math.radians(design.relief.flank_deg))
    assert np.max(np.abs(mesh - shown)) < climb + 0.01
    assert np.median(np.abs(mesh - shown)) < 0.01


def band(low: float, high: float) -> MultiPolygon:
    """A path from the left border to the right one, which drops on the way."""
    left = box(0, round(low * GRID), GRID // 2, round((low + 0.1) * GRID))
    right = box(GRID // 2, round(high * GRID), GRID, round((high + 0.1) * GRID))
    middle = box(GRID // 2 - 2000, round(min(low, high) * GRID), GRID // 2 + 2000, round((max(low, high) + 0.1) * GRID))
    return MultiPolygon([left.union(right).union(middle)])


@pytest.mark.parametrize(
    ("outline", "words"),
    [
        (band(0.4, 0.4), "All 2 path ends"),
        (band(0.2, 0.7), "2 end there in a flank"),
        (MultiPolygon([box(9000, 9000, 30000, 30000)]), "No path crosses"),
    ],
)
def test_paths_at_borders_are_counted(outline: MultiPolygon, words: str) -> None:
    design = drawn(MotifOptions(outline_text(outline), fit="page"))
    assert words in " ".join(seam_view(design, 20, Progress()).words)


def test_motifs_that_overlap_are_joined() -> None:
    square = MotifOptions(outline_text(MultiPolygon([box(0, 0, GRID, GRID)])))
    assert "stands free" in seam_view(drawn(square), 20, Progress()).words[1]
    assert "joined to one outline" in seam_view(drawn(replace(square, size=1.2)), 20, Progress()).words[1]


def test_a_steep_picture_is_named() -> None:
    # Half black, half white: with next to no smoothing a cliff of 0.6 mm, at most two samples wide.
    samples = np.repeat([[0, 255]], 40, axis=1).repeat(40, axis=0).astype(np.uint8)
    grey = GreyOptions(picture_text(samples), smooth_mm=0.0)
    view = seam_view(drawn(MotifOptions("", fit="page", grey=grey)), 240, Progress())
    assert view.slope_deg > 75.0
    assert "hard to polish" in view.words[-1]
    blurred = drawn(MotifOptions("", fit="page", grey=replace(grey, smooth_mm=0.5)))
    smooth = seam_view(blurred, 240, Progress())
    # Nothing is steeper than the flank along the rails.
    assert smooth.slope_deg == pytest.approx(blurred.relief.flank_deg, abs=0.1)
    assert "hard" not in smooth.words[-1]


def test_the_seam_cuts_bricks() -> None:
    square = MotifOptions(outline_text(MultiPolygon([box(0, 0, GRID, GRID)])), arrangement="brick")
    assert "cuts through repeats" in seam_view(drawn(square), 20, Progress()).words[0]
    dropped = seam_view(drawn(replace(square, arrangement="half_drop")), 20, Progress())
    assert "lies where one repeat ends" in dropped.words[0]
