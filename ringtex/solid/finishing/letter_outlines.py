"""The outlines of a line of text: shaped by HarfBuzz with the font's own kerning, ligatures, marks and joined forms."""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.basics.caches import cached
from ringtex.basics.errors import InputError
from ringtex.basics.guarded_files import read_ordinary_file, shown_path
from ringtex.basics.resources import resource
from ringtex.solid.finishing.inscription_options import PACKAGED_FONT

if TYPE_CHECKING:
    import uharfbuzz

PACKAGED_FILE: Final = "fonts/DejaVuSans.ttf"
"""DejaVu Sans, under the Bitstream Vera licence, which lies beside it."""

MAX_FONT_BYTES: Final = 60_000_000
"""Fonts of all scripts of the world are smaller."""

MAX_GLYPHS: Final = 2_000
MAX_POINTS: Final = 100_000
MAX_CROSSINGS: Final = 20_000
"""Limits of one line of text: fonts for reading need a tenth of each; within them every font is done in two seconds."""

MAX_GLYPH_POINTS: Final = 20_000
"""Control points of one letter: the most intricate of Chinese brush fonts have some thousand."""

_PAIRS: Final = 400_000
"""Pairs of edges that are tested for crossings at once, in some tenths of a second."""

Curve = tuple[tuple[float, float], ...]

_UNJOINED: Final = (
    "Arab Syrc Nkoo Mong Phag Mand Adlm Rohg Sogd Deva Beng Guru Gujr Orya Taml Telu Knda Mlym Sinh Khmr Mymr Tibt "
    "Java Bali Sund Cham Lana"
)
"""Scripts (ISO 15924) whose letters change their form with their neighbours: a font must know how."""

_NUMBER: Final = re.compile("T*D+(?:SD+)*T*")
"""A number among letters that run to the left, by one character for each class; Unicode Annex 9, W4 and W5."""

_WHERE, _ADVICE = "inscription.font", f"Choose another .ttf or .otf file, or {PACKAGED_FONT}"


@cached(16)
def text_outlines(text: str, font: str, height_mm: float, chord_mm: float) -> tuple[Floats, ...]:
    """The closed outlines of a line of text; the non-zero winding rule tells what is inside.

    Parameters:
        text: letters of one direction, with numbers among them.
        font: the packaged font's name, or the path of a .ttf or .otf file.
        height_mm: of capital letters.
        chord_mm: how far a curve may lie from its polygon.
    Returns: (n, 2) each, mm: x along the line from its middle, y up from half the height of capitals.
    Raises: InputError for a font that cannot be read, has no such letter or outlines without bounds, or for text that
        it cannot set.
    """
    import uharfbuzz

    face = _opened(font)
    shaper = uharfbuzz.Font(face)
    scale = height_mm / _capital_height(shaper, face)
    outlines = _Outlines(shaper, chord_mm / scale)
    pen_x, pen_y = 0.0, 0.0
    lines: list[Floats] = []
    for letter, glyph, advance, offset in _shaped(face, shaper, unicodedata.normalize("NFC", text)):
        shapes = outlines.of(glyph, letter)
        lines += [line + np.array([pen_x + offset[0], pen_y + offset[1]]) for line in shapes]
        if sum(map(len, lines)) > MAX_POINTS:
            raise _too_intricate(letter)
        pen_x, pen_y = pen_x + advance[0], pen_y + advance[1]
    shift = np.array([0.5 * pen_x * scale, 0.5 * height_mm])
    placed = tuple(np.ascontiguousarray(line * scale - shift) for line in lines)
    _refuse_many_crossings(placed)
    return placed


def _opened(font: str) -> uharfbuzz.Face:
    """The font's first face. Raises: InputError where it cannot be read."""
    import uharfbuzz

    path = resource(PACKAGED_FILE) if font == PACKAGED_FONT else Path(font)
    try:
        content = read_ordinary_file(path, MAX_FONT_BYTES, "font", shown_path(path))
    except InputError as error:
        raise InputError(f"the font {error.where}: {error.message}", _ADVICE, _WHERE) from None
    face = uharfbuzz.Face(uharfbuzz.Blob(content))
    if face.glyph_count == 0:
        raise InputError("this font file cannot be read: it is damaged or no font", _ADVICE, _WHERE)
    return face


Placed = tuple[str, int, tuple[float, float], tuple[float, float]]


def _shaped(face: uharfbuzz.Face, shaper: uharfbuzz.Font, text: str) -> Iterator[Placed]:
    """Letter, glyph, advance and offset in the font's units, from left to right."""
    import uharfbuzz

    count = 0
    for run, script, to_the_left in _runs(text):
        _refuse_unjoined(face, script, run)
        buffer = uharfbuzz.Buffer()
        buffer.add_str(run)
        buffer.direction, buffer.script = ("rtl" if to_the_left else "ltr"), script
        buffer.language = "und"  # else it would be the machine's
        uharfbuzz.shape(shaper, buffer)
        count += len(buffer.glyph_infos)
        if count > MAX_GLYPHS:
            raise _too_intricate(run[0])
        for info, position in zip(buffer.glyph_infos, buffer.glyph_positions, strict=True):
            letter = run[info.cluster]
            if info.codepoint == 0:
                raise InputError(
                    f"the font has no letter {letter!r}",
                    "Write it otherwise, or choose another font",
                    "inscription.text",
                )
            advance, offset = (position.x_advance, position.y_advance), (position.x_offset, position.y_offset)
            yield letter, info.codepoint, advance, offset


def _runs(text: str) -> list[tuple[str, str, bool]]:
    """Runs of one script and one direction from left to right: text, script, whether it runs to the left.

    Raises: InputError where letters of both directions stand in one line.
    """
    classes = [unicodedata.bidirectional(letter) for letter in text]
    to_the_left = not {"R", "AL"}.isdisjoint(classes)
    if not to_the_left:
        return [(run, script, False) for run, script in _script_runs(text)]
    if "L" in classes:
        message = "letters that run to the right and letters that run to the left stand in one line"
        raise InputError(message, "Write them in one direction", "inscription.text")
    kinds = "".join({"EN": "D", "AN": "D", "CS": "S", "ES": "S", "ET": "T"}.get(each, "-") for each in classes)
    runs: list[tuple[str, str, bool]] = []
    start = 0
    for number in _NUMBER.finditer(kinds):
        runs += [(run, script, True) for run, script in _script_runs(text[start : number.start()])]
        runs.append((number.group() and text[number.start() : number.end()], "Zyyy", False))
        start = number.end()
    runs += [(run, script, True) for run, script in _script_runs(text[start:])]
    return runs[::-1]


def _script_runs(text: str) -> list[tuple[str, str]]:
    """Runs of one script in reading order; what has no script of its own belongs to what stands before it."""
    from fontTools.unicodedata import script as script_of

    runs: list[tuple[str, str]] = []
    for letter in text:
        script = script_of(letter)
        if runs and (script in ("Zyyy", "Zinh", runs[-1][1]) or runs[-1][1] == "Zyyy"):
            known = script if runs[-1][1] == "Zyyy" and script != "Zinh" else runs[-1][1]
            runs[-1] = (runs[-1][0] + letter, known)
        else:
            runs.append((letter, script))
    return runs


def _refuse_unjoined(face: uharfbuzz.Face, script: str, run: str) -> None:
    from fontTools.unicodedata import ot_tags_from_script

    if script in _UNJOINED.split() and not set(ot_tags_from_script(script)) & set(face.get_table_script_tags("GSUB")):
        message = f"the font has letters such as {run.strip()[:1]!r}, but not the forms in which they join"
        raise InputError(message, "Choose a font made for this script", _WHERE)


def _capital_height(shaper: uharfbuzz.Font, face: uharfbuzz.Face) -> float:
    """Height of a capital H in the font's units; of the whole em's usual part where there is none."""
    glyph = shaper.get_nominal_glyph(ord("H"))
    lines = _Outlines(shaper, 10.0).of(glyph, "H") if glyph else []
    height = max((float(np.max(line[:, 1])) for line in lines), default=0.0)
    return height if height > 0.0 else 0.7 * float(face.upem)


def _too_intricate(letter: str) -> InputError:
    return InputError(f"the outlines of the font's letter {letter!r} are too intricate to be made", _ADVICE, _WHERE)


def _refuse_many_crossings(lines: tuple[Floats, ...]) -> None:
    """Bound the work of uniting the outlines. Raises: InputError."""
    import shapely

    if not lines:
        return
    edges = np.concatenate([np.stack((line, np.roll(line, -1, axis=0)), axis=1) for line in lines])
    segments = shapely.linestrings(edges)
    tree = shapely.STRtree(segments)
    crossings = 0
    step = max(_PAIRS // len(segments), 1)
    for start in range(0, len(segments), step):
        chunk = segments[start : start + step]
        # Every edge meets itself and its two neighbours.
        crossings += len(tree.query(chunk, predicate="intersects")[0]) - 3 * len(chunk)
        if crossings > MAX_CROSSINGS:
            message = "the outlines of the font's letters cross themselves too often to be made"
            raise InputError(message, _ADVICE, _WHERE)


class _Outlines:
    """The closed polygons of glyphs in the font's units, each made once."""

    def __init__(self, shaper: uharfbuzz.Font, chord: float) -> None:
        self._shaper, self._chord = shaper, chord
        self._known: dict[int, list[Floats]] = {}

    def of(self, glyph: int, letter: str) -> list[Floats]:
        """The polygons of a glyph. Raises: InputError if it has too many points, or none where the letter is seen."""
        if glyph not in self._known:
            pen = _Pen()
            self._shaper.draw_glyph_with_pen(glyph, pen)
            if pen.count > MAX_GLYPH_POINTS:
                raise _too_intricate(letter)
            polygons = [_polygon(contour, self._chord) for contour in pen.contours]
            self._known[glyph] = [polygon for polygon in polygons if len(polygon) >= 3]
            if not self._known[glyph] and unicodedata.category(letter)[0] in "LNPS":
                # HarfBuzz draws nothing where composites or subroutines nest beyond its own bounds.
                message = f"the font's letter {letter!r} has no outline that can be made"
                raise InputError(message, "Write it otherwise, or choose another font", _WHERE)
        return self._known[glyph]


class _Pen:
    """Takes a glyph's curves; nothing is raised here, for HarfBuzz calls it."""

    def __init__(self) -> None:
        self._curves: list[Curve] = []
        self.contours: list[list[Curve]] = []
        self.count = 0

    def moveTo(self, start: tuple[float, float]) -> None:  # noqa: N802 - the pens' protocol
        """Begin a contour."""
        self._curves = [(start,)]

    def curveTo(self, *points: tuple[float, float]) -> None:  # noqa: N802
        """An edge, or a quadratic or cubic curve, by its control points after the first."""
        self.count += len(points)
        if self.count <= MAX_GLYPH_POINTS:
            self._curves.append(points)

    lineTo = qCurveTo = curveTo  # noqa: N815

    def closePath(self) -> None:  # noqa: N802
        """End the contour."""
        self.contours.append(self._curves)

    endPath = closePath  # noqa: N815


def _polygon(contour: list[Curve], chord: float) -> Floats:
    """(n, 2) a contour's curves cut into chords; HarfBuzz closes it by an edge to its start."""
    points = [np.array(contour[0][0])]
    for curve in contour[1:]:
        points += [np.array(curve[0])] if len(curve) == 1 else _chords([points[-1], *map(np.array, curve)], chord)
    if len(contour[-1]) == 1 and len(points) > 1 and np.array_equal(points[0], points[-1]):
        points.pop()
    line = np.array(points)
    return np.asarray(line[np.any(line != np.roll(line, 1, axis=0), axis=1)])


def _chords(controls: list[Floats], chord: float) -> list[Floats]:
    """Points after the first of a Bezier curve, within the chord of it.

    n equal parts of a curve of degree d lie within d (d - 1) / 8 of its largest second difference over n squared
    (Wang's bound; Wang 1984, as in Sederberg, Computer Aided Geometric Design, 10.6).
    """
    degree = len(controls) - 1
    bends = [controls[i] - 2.0 * controls[i + 1] + controls[i + 2] for i in range(degree - 1)]
    bend = max(float(np.linalg.norm(each)) for each in bends)
    count = max(1, math.ceil(math.sqrt(degree * (degree - 1) * bend / (8.0 * chord))))
    parameter = np.arange(1, min(count, MAX_GLYPH_POINTS) + 1)[:, None] / count
    rows: list[Any] = [control[None, :] for control in controls]
    while len(rows) > 1:
        rows = [(1.0 - parameter) * first + parameter * second for first, second in pairwise(rows)]
    return list(rows[0])
