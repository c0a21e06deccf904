"""The outlines of a line of text, from a font's own curves."""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import pairwise
from pathlib import Path
from typing import Any, Final

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.basics.caches import cached
from ringtex.basics.errors import InputError
from ringtex.basics.resources import resource
from ringtex.solid.finishing.inscription_options import PACKAGED_FONT

PACKAGED_FILE: Final = "fonts/DejaVuSans.ttf"
"""DejaVu Sans, under the Bitstream Vera licence, which lies beside it."""

MAX_FONT_BYTES: Final = 60_000_000
"""Fonts of all scripts of the world are smaller."""


@cached(16)
def text_outlines(text: str, font: str, height_mm: float, chord_mm: float) -> tuple[Floats, ...]:
    """Closed lines (n, 2) in mm: x along the line from its middle, y up from half the height of capitals.

    Curves are cut within chord_mm. What is inside is told by the non-zero rule. Letters stand apart by the font's own
    widths, and by its table of pairs where it has one.
    Raises: InputError for a font that cannot be read or has no such letter.
    """
    with _opened(font) as face:
        return _line_of_text(face, text, height_mm, chord_mm)


def _line_of_text(face: Any, text: str, height_mm: float, chord_mm: float) -> tuple[Floats, ...]:
    names, glyphs = face.getBestCmap() or {}, face.getGlyphSet()
    scale = height_mm / _capital_height(face, names, glyphs)
    pairs = _pairs(face)
    pen_x, before = 0.0, None
    lines: list[Floats] = []
    for letter in text:
        name = names.get(ord(letter))
        if name is None:
            advice = "Write it otherwise, or choose another font"
            raise InputError(f"the font has no letter {letter!r}", advice, "inscription.text")
        pen_x += pairs.get((before, name), 0) if before else 0
        lines += [(line + np.array([pen_x, 0.0])) * scale for line in _glyph_lines(glyphs, name, chord_mm / scale)]
        pen_x += glyphs[name].width
        before = name
    shift = np.array([0.5 * pen_x * scale, 0.5 * height_mm])
    return tuple(np.ascontiguousarray(line - shift) for line in lines)


@contextmanager
def _opened(font: str) -> Iterator[Any]:
    """The font, read from its file as its letters are asked for. Raises: InputError where it cannot be read."""
    from fontTools.ttLib import TTFont

    path = resource(PACKAGED_FILE) if font == PACKAGED_FONT else Path(font)
    where, advice = "inscription.font", f"Choose another .ttf or .otf file, or {PACKAGED_FONT}"
    try:
        if path.stat().st_size > MAX_FONT_BYTES:
            raise InputError("this font file is too large", advice, where)
        with TTFont(path, lazy=True) as face:
            yield face
    except InputError:
        raise
    except FileNotFoundError:
        raise InputError(f"there is no font file {path}", advice, where) from None
    except Exception as error:
        # fontTools has no family of errors for broken files: struct, assertion, key and its own errors all occur.
        raise InputError(f"this font file cannot be read ({type(error).__name__})", advice, where) from error


def _capital_height(face: Any, names: dict[int, str], glyphs: Any) -> float:
    """Height of a capital H in the font's units; of the whole em's usual share where there is none."""
    if ord("H") in names:
        lines = _glyph_lines(glyphs, names[ord("H")], 10.0)
        if lines:
            return float(max(np.max(line[:, 1]) for line in lines))
    return 0.7 * float(face["head"].unitsPerEm)


def _pairs(face: Any) -> dict[tuple[str, str], int]:
    if "kern" not in face:
        return {}
    tables = [table.kernTable for table in face["kern"].kernTables if hasattr(table, "kernTable")]
    return dict(tables[0]) if tables else {}


def _glyph_lines(glyphs: Any, name: str, chord: float) -> list[Floats]:
    """The closed lines of one letter in the font's units."""
    from fontTools.pens.recordingPen import DecomposingRecordingPen

    pen = DecomposingRecordingPen(glyphs)
    glyphs[name].draw(pen)
    lines: list[Floats] = []
    points: list[Floats] = []
    for step, given in pen.value:
        corners = [np.array(corner, dtype=np.float64) for corner in given if corner is not None]
        if step == "moveTo":
            points = [corners[0]]
        elif step == "lineTo":
            points.append(corners[0])
        elif step == "qCurveTo":
            points += _quadratic_chain(points, corners, given[-1] is None, chord)
        elif step == "curveTo":
            points += _curve([points[-1], *corners], chord)
        elif step in ("closePath", "endPath") and len(points) >= 3:
            lines.append(_closed(np.array(points)))
    return [line for line in lines if len(line) >= 3]


def _quadratic_chain(points: list[Floats], corners: list[Floats], ringed: bool, chord: float) -> list[Floats]:
    """Quadratic curves with the points between two handles left out, as TrueType has them.

    ringed: the line has handles only, and starts half-way between the last and the first.
    """
    if ringed:
        start = 0.5 * (corners[-1] + corners[0])
        points.append(start)
        corners = [*corners, start]
    found: list[Floats] = []
    at = points[-1]
    for number, handle in enumerate(corners[:-1]):
        last = number == len(corners) - 2
        end = corners[-1] if last else 0.5 * (handle + corners[number + 1])
        found += _curve([at, handle, end], chord)
        at = end
    return found


def _curve(corners: list[Floats], chord: float) -> list[Floats]:
    """Points after the first of a Bezier curve, within chord of it.

    n equal parts of a curve of degree d lie within d (d - 1) / 8 of its largest second difference over n squared
    (Wang's bound; Wang 1984, as in Sederberg, Computer Aided Geometric Design, 10.6).
    """
    degree = len(corners) - 1
    bend = max(float(np.linalg.norm(corners[i] - 2.0 * corners[i + 1] + corners[i + 2])) for i in range(degree - 1))
    count = max(1, math.ceil(math.sqrt(degree * (degree - 1) * bend / (8.0 * chord))))
    share = np.arange(1, count + 1)[:, None] / count
    rows = [corner[None, :] for corner in corners]
    while len(rows) > 1:
        rows = [(1.0 - share) * first + share * second for first, second in pairwise(rows)]
    return list(rows[0])


def _closed(line: Floats) -> Floats:
    """Without places that are twice in a row."""
    return np.asarray(line[np.any(line != np.roll(line, 1, axis=0), axis=1)])
