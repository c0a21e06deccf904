"""Shaping of inscriptions: direction, joined forms, marks and ligatures; and fonts that are made to do harm."""

from __future__ import annotations

import os
import time
from pathlib import Path

import numpy as np
import pytest
from bidi.algorithm import get_display
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.t2CharStringPen import T2CharStringPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib.tables._g_l_y_f import Glyph

from ringtex.basics.errors import InputError
from ringtex.basics.resources import resource
from ringtex.solid.finishing import letter_outlines
from ringtex.solid.finishing.letter_outlines import MAX_FONT_BYTES, PACKAGED_FILE, text_outlines

FONT = "dejavu_sans"


def outlines(text: str, font: str = FONT) -> tuple[np.ndarray, ...]:
    return text_outlines(text, font, 1.5, 0.005)


def placed(text: str) -> list[tuple[float, float, int]]:
    """Left side, width and points of every outline, from left to right."""
    lines = outlines(text)
    low = min(float(line[:, 0].min()) for line in lines)
    return sorted(
        (round(float(line[:, 0].min()) - low, 6), round(float(np.ptp(line[:, 0])), 6), len(line)) for line in lines
    )


def same_shapes(first: str, second: str) -> bool:
    return [(width, points) for _, width, points in placed(first)] == [
        (width, points) for _, width, points in placed(second)
    ]


def test_composed_and_combining_letters_are_the_same() -> None:
    """Unicode Annex 15: e and a combining acute are canonically equivalent to e with acute."""
    for one, other in (("Zo\u00eb \u00c5ke", "Zoe\u0308 A\u030ake"), ("\u1ebf", "e\u0302\u0301")):
        assert all(np.array_equal(a, b) for a, b in zip(outlines(one), outlines(other), strict=True))


def test_a_mark_without_a_composed_letter_stands_over_its_letter() -> None:
    """x with a combining macron: no such letter in Unicode."""
    bar = min(outlines("x\u0304"), key=lambda line: float(np.ptp(line[:, 1])))
    letter = max(outlines("x\u0304"), key=lambda line: float(np.ptp(line[:, 1])))
    assert bar[:, 1].min() > letter[:, 1].max()
    assert bar[:, 0].mean() == pytest.approx(letter[:, 0].mean(), abs=0.1)


def test_ligatures_are_the_fonts_own() -> None:
    assert same_shapes("fi", "\ufb01")


@pytest.mark.parametrize("text", ["שלום", "שלום לעולם", "שרה 12.05.2024 דוד", "א-1,000 ב", "5% ג", "(שלום)"])
def test_hebrew_runs_to_the_left(text: str) -> None:
    """The order of letters by python-bidi's Unicode Annex 9, set with every letter alone."""
    shown = get_display(text, base_dir="R")
    alone = [(width, points) for letter in shown if letter != " " for _, width, points in placed(letter)]
    assert sorted(alone) == sorted((width, points) for _, width, points in placed(text))
    order = [run if not left else run[::-1] for run, _, left in letter_outlines._runs(text)]
    mirrored = "".join(order).translate(str.maketrans("()", ")("))
    assert mirrored == shown


def test_the_first_letter_of_hebrew_stands_at_the_right() -> None:
    assert same_shapes("ש", "ש")
    last = placed("אש")[0]
    assert last[1:] == placed("ש")[0][1:]


def test_arabic_letters_join_in_their_forms() -> None:
    """Unicode's presentation forms: beh, beh, beh is initial, medial and final from right to left."""
    joined = [(width, points) for _, width, points in placed("\u0628\u0628\u0628")]
    forms = [(width, points) for form in ("\ufe90", "\ufe92", "\ufe91") for _, width, points in placed(form)]
    assert sorted(joined) == sorted(forms)


def test_both_directions_in_one_line_are_refused() -> None:
    with pytest.raises(InputError, match="one line") as refused:
        outlines("Anna שלום")
    assert refused.value.where == "inscription.text"


def test_scripts_that_a_font_cannot_join_are_refused(tmp_path: Path) -> None:
    builder, _ = _font({"A": _square(), "beh": _square()}, {ord("A"): "A", 0x628: "beh"})
    with pytest.raises(InputError, match="join"):
        outlines("\u0628\u0628", _saved(builder, tmp_path))


def test_a_letter_that_is_missing_is_named() -> None:
    with pytest.raises(InputError, match="no letter '字'"):
        outlines("A字")


def _square(side: int = 500) -> Glyph:
    pen = TTGlyphPen(None)
    pen.moveTo((0, 0))
    for point in ((0, side), (side, side), (side, 0)):
        pen.lineTo(point)
    pen.closePath()
    return pen.glyph()


def _zigzag(points: int) -> Glyph:
    """A closed line whose edges nearly all cross each other."""
    pen = TTGlyphPen(None)
    pen.moveTo((0, 0))
    for number in range(1, points):
        pen.lineTo(((number * 389) % 1000, 1000 * (number % 2)))
    pen.closePath()
    return pen.glyph()


def _font(glyphs: dict[str, Glyph], names: dict[int, str]) -> tuple[FontBuilder, list[str]]:
    order = [".notdef", *glyphs]
    builder = FontBuilder(1000, isTTF=True)
    builder.setupGlyphOrder(order)
    builder.setupCharacterMap(names)
    builder.font.recalcBBoxes = False
    for glyph in glyphs.values():
        glyph.xMin, glyph.yMin, glyph.xMax, glyph.yMax = 0, 0, 1000, 1000
    builder.setupGlyf({".notdef": Glyph(), **glyphs}, calcGlyphBounds=False)
    builder.setupHorizontalMetrics(dict.fromkeys(order, (600, 0)))
    builder.setupHorizontalHeader(ascent=800, descent=-200)
    return builder, order


def _saved(builder: FontBuilder, folder: Path) -> str:
    builder.setupNameTable({"familyName": "Bomb", "styleName": "Regular"})
    builder.setupOS2()
    builder.setupPost(keepGlyphNames=False)
    maxp = builder.font["maxp"]
    maxp.recalc = lambda font: None
    for field in ("maxPoints", "maxContours", "maxCompositePoints", "maxCompositeContours", "maxComponentElements"):
        setattr(maxp, field, 0)
    maxp.maxComponentDepth = 1
    for field in (
        "maxZones", "maxTwilightPoints", "maxStorage", "maxFunctionDefs", "maxInstructionDefs", "maxStackElements",
        "maxSizeOfInstructions",
    ):  # fmt: skip
        setattr(maxp, field, 0)
    maxp.numGlyphs = len(builder.font.getGlyphOrder())
    file = folder / "bomb.ttf"
    builder.save(file)
    return str(file)


def _nested(depth: int, innermost: Glyph, width: int = 2) -> dict[str, Glyph]:
    """A letter A of width ** depth parts."""
    glyphs = {"part0": innermost}
    for level in range(1, depth + 1):
        pen = TTGlyphPen(glyphs)
        for number in range(width):
            pen.addComponent(f"part{level - 1}", (1, 0, 0, 1, number, level))
        glyphs[f"part{level}"] = pen.glyph()
    glyphs["A"] = glyphs.pop(f"part{depth}")
    return glyphs


@pytest.mark.parametrize(
    ("depth", "width", "innermost"),
    [
        (20, 2, _square()),
        (40, 2, _square()),
        (6, 10, _square()),
        (1, 400, _zigzag(300)),
        (0, 1, _zigzag(30_000)),
        (0, 1, _zigzag(800)),
    ],
    ids=["million parts", "billions of parts", "wide", "crossing parts", "many points", "many crossings"],
)
def test_outlines_without_bounds_end_in_a_sentence(
    tmp_path: Path, depth: int, width: int, innermost: Glyph, capsys: pytest.CaptureFixture[str]
) -> None:
    font = _saved(_font(_nested(depth, innermost, width), {ord("A"): "A"})[0], tmp_path)
    started = time.perf_counter()
    with pytest.raises(InputError) as refused:
        outlines("A" * 120, font)
    assert refused.value.where == "inscription.font"
    with capsys.disabled():
        print(f"\n{os.path.getsize(font)} bytes refused in {time.perf_counter() - started:.2f} s")


def test_subroutines_that_call_each_other_without_end_are_refused(tmp_path: Path) -> None:
    """Ten levels of subroutines, each calling the next twenty times: 10^13 lines."""
    from fontTools.misc.psCharStrings import T2CharString

    builder = FontBuilder(1000, isTTF=False)
    builder.font.recalcBBoxes = False
    builder.setupGlyphOrder([".notdef", "A"])
    builder.setupCharacterMap({ord("A"): "A"})
    letter = T2CharString(program=[0, 0, "rmoveto", *([-107, "callsubr"] * 20), "endchar"])
    pen = T2CharStringPen(600, None)
    builder.setupCFF("Bomb", {}, {".notdef": pen.getCharString(), "A": letter}, {})
    private = builder.font["CFF "].cff.topDictIndex[0].Private
    levels = [T2CharString(program=[*([level - 106, "callsubr"] * 20), "return"]) for level in range(9)]
    levels.append(T2CharString(program=[3, 5, "rlineto", "return"]))
    from fontTools.cffLib import SubrsIndex

    private.Subrs = SubrsIndex()
    for subroutine in levels:
        subroutine.private = private
        private.Subrs.append(subroutine)
    letter.private = private
    builder.setupHorizontalMetrics({".notdef": (600, 0), "A": (600, 0)})
    builder.setupHorizontalHeader(ascent=800, descent=-200)
    builder.setupNameTable({"familyName": "Bomb", "styleName": "Regular"})
    builder.setupOS2()
    builder.setupPost()
    file = tmp_path / "bomb.otf"
    builder.save(file)
    with pytest.raises(InputError):
        outlines("A", str(file))


def test_only_files_of_a_sensible_size_are_read(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.ttf")
    (tmp_path / "folder.ttf").mkdir()
    (tmp_path / "text.ttf").write_text("no font")
    (tmp_path / "empty.ttf").touch()
    with (tmp_path / "huge.ttf").open("wb") as file:
        file.truncate(MAX_FONT_BYTES + 1)
    damaged = bytearray(resource(PACKAGED_FILE).read_bytes())
    damaged[12:4000] = b"\xff" * 3988
    (tmp_path / "damaged.ttf").write_bytes(damaged)
    for name in ("pipe", "folder", "text", "empty", "huge", "damaged", "missing", "x" * 300, "a\0b"):
        with pytest.raises(InputError) as refused:
            outlines("A", str(tmp_path / f"{name}.ttf"))
        assert refused.value.where == "inscription.font"
        assert refused.value.advice


def test_the_packaged_font_is_well_within_the_bounds() -> None:
    assert sum(map(len, outlines("&@§ÅŒ" * 24))) < 0.5 * letter_outlines.MAX_POINTS
