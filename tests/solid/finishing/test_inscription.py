"""Inscriptions: areas of letters by Pillow, direction of reading, depth and roots."""

from __future__ import annotations

import math

import numpy as np
import pytest
from finished_rings import RADIUS_MM, dome, shaped, thick_flat
from PIL import Image, ImageDraw, ImageFont

from ringtex.basics.resources import resource
from ringtex.solid.finishing.letter_outlines import PACKAGED_FILE, text_outlines
from ringtex.solid.mesh.booleans import ORIGINALS

LETTERS = ORIGINALS.index("inscription")


def signed_area(lines: tuple[np.ndarray, ...]) -> float:
    """Outer lines less the holes in them: letters whose lines do not overlap."""
    return abs(sum(0.5 * np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y) for x, y in (line.T for line in lines)))


@pytest.mark.parametrize("letter", ["B", "8", "&", "g", "O", "É"])
def test_letters_have_the_area_and_extent_that_pillow_paints(letter: str) -> None:
    """FreeType's own painting of the same font, at 1000 pixels a capital."""
    font = ImageFont.truetype(str(resource(PACKAGED_FILE)), 1372)
    _, top, _, bottom = font.getbbox("H")
    pixels = bottom - top
    picture = Image.new("L", (2400, 2400))
    ImageDraw.Draw(picture).text((300, 300), letter, fill=255, font=font)
    painted = np.asarray(picture, dtype=float) / 255.0
    lines = text_outlines(letter, "dejavu_sans", 1.0, 1e-4)
    assert signed_area(lines) == pytest.approx(painted.sum() / pixels**2, rel=3e-3)
    rows, columns = np.nonzero(painted > 0.5)
    extent = np.ptp(np.concatenate(lines), axis=0)
    assert extent == pytest.approx([np.ptp(columns) / pixels, np.ptp(rows) / pixels], abs=4e-3)


def test_capitals_are_as_high_as_asked_and_stand_about_the_middle() -> None:
    line = np.concatenate(text_outlines("HHH", "dejavu_sans", 1.7, 0.005))
    assert (line[:, 1].min(), line[:, 1].max()) == pytest.approx((-0.85, 0.85), abs=1e-9)
    assert abs(line[:, 0].min() + line[:, 0].max()) < 0.05


def test_pairs_of_letters_stand_as_the_font_says() -> None:
    def width(text: str) -> float:
        return float(np.ptp(np.concatenate(text_outlines(text, "dejavu_sans", 1.0, 0.005))[:, 0]))

    assert width("AV") < width("AH") + width("HV") - width("HH")


@pytest.mark.parametrize("raised", [False, True])
def test_what_letters_take_or_add(raised: bool) -> None:
    """Area times depth on a circle of radius R: d (1 + d / 2 R) outwards, d (1 - d / 2 R) inwards (elementary)."""
    text = {"text": "B8O", "height": 2.0, "depth": 0.3, "raised": raised}
    ring = shaped(thick_flat(inscription=text))
    area = signed_area(text_outlines("B8O", "dejavu_sans", 2.0, 0.005))
    bend = 0.3 / (2.0 * RADIUS_MM)
    change = ring.finished.mesh.volume - ring.solid.mesh.volume
    asked = area * 0.3 * (1.0 - bend) if raised else -area * 0.3 * (1.0 + bend)
    # The bore is a polygon within 0.005 mm of the circle that the letters are bent to.
    assert change == pytest.approx(asked, rel=0.02)
    assert ring.finished.mesh.problems(1) == []


@pytest.mark.parametrize("angle", [180.0, 40.0])
def test_letters_read_from_left_to_right_from_inside(angle: float) -> None:
    """Looking from the axis at the letters with +z up, right is the looking direction times up (elementary).

    An L has its foot at the lower right, so its lower half reaches further to the right than its upper half.
    """
    finished = shaped(thick_flat(inscription={"text": "L", "height": 2, "angle": angle})).finished
    places = finished.mesh.vertices[np.unique(finished.mesh.faces[finished.original_id == LETTERS])]
    theta = math.radians(angle)
    look = np.array([-math.sin(theta), math.cos(theta), 0.0])
    right = places @ np.cross(look, [0.0, 0.0, 1.0])
    lower = places[:, 2] < -0.7
    assert np.max(right[lower]) > np.max(right[places[:, 2] > 0.7]) + 0.5
    assert np.all(places @ look > 0.0)


def test_letters_follow_a_comfort_bore_to_their_depth() -> None:
    bore = {"shape": "comfort", "rise": 0.5}
    ring = shaped(thick_flat(bore=bore, inscription={"text": "8", "height": 1.5, "along": 3.0, "depth": 0.2}))
    finished, band = ring.finished, ring.strip.band
    places = finished.mesh.vertices[np.unique(finished.mesh.faces[finished.original_id == LETTERS])]
    theta = np.arctan2(-places[:, 0], places[:, 1])
    depth = np.hypot(places[:, 0], places[:, 1]) - band.bore_radius_at(theta, places[:, 2])
    assert np.max(depth) == pytest.approx(0.2, abs=0.002)
    assert finished.mesh.problems(1) == []


def test_letters_in_a_closed_hollow_s_floor() -> None:
    hollow = {"floor": 1.0, "reach": 70, "drains": [{"angle": 30}]}
    ring = shaped(dome(hollow=hollow, inscription={"text": "24", "angle": 0, "depth": 0.3}))
    assert ring.finished.mesh.problems(1) == []
