"""Drawings as areas: against closed forms, a second SVG library, and files that mean harm."""

from __future__ import annotations

import math
import time

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from ringtex.basics.errors import InputError
from ringtex.pattern.motif.import_motif import read_motif
from ringtex.pattern.motif.motif_outline import GRID, outline_from_text, outline_of, outline_text
from ringtex.pattern.motif.svg_paths import SegmentBudget, parse_path
from ringtex.pattern.motif.svg_reader import _unreadable, read_svg
from ringtex.pattern.motif.svg_values import transform

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
PAGE = 'width="20mm" height="10mm" viewBox="0 0 200 100">'


def drawn(body: str, page: str = PAGE) -> tuple[float, tuple[str, ...]]:
    """Area in mm2 of what a page draws, and what was left out."""
    drawing = read_svg(f"{HEAD}{page}{body}</svg>".encode(), "drawing.svg")
    outline = outline_of(drawing, "drawing.svg")
    assert outline_from_text(outline_text(outline)).equals(outline)
    return outline.area * (max(drawing.width_mm, drawing.height_mm) / GRID) ** 2, drawing.left_out


CLOSED_FORMS = {
    '<circle cx="100" cy="50" r="30"/>': math.pi * 9.0,
    '<ellipse cx="100" cy="50" rx="40" ry="20" transform="rotate(30 100 50)"/>': math.pi * 8.0,
    '<rect x="10" y="10" width="60" height="40" rx="10"/>': 24.0 - (4.0 - math.pi),
    '<g transform="scale(2 1)"><rect x="10" y="10" width="30" height="40"/></g>': 24.0,
    '<line x1="20" y1="50" x2="120" y2="50" stroke="black" stroke-width="10"/>': 10.0,
    '<path d="M20 50h100" stroke="#000" stroke-width="10" stroke-linecap="round"/>': 10.0 + math.pi * 0.25,
    '<path d="M20 50h100" stroke="#000" stroke-width="1mm" stroke-linecap="square" fill="none"/>': 10.0 * 0.378 * 1.0
    + 0.378**2,
    '<polygon points="10,10 90,10 90,90 10,90" fill="none" stroke="red" stroke-width="4"/>': 8.4**2 - 7.6**2,
    '<circle cx="60" cy="50" r="30"/><circle cx="60" cy="50" r="10" fill="#FFF"/>': math.pi * 8.0,
    # Two squares in each other, drawn the same way round: filled by one rule, a frame by the other.
    '<path d="M10 10h80v80h-80z M30 30h40v40h-40z"/>': 64.0,
    '<path fill-rule="evenodd" d="M10 10h80v80h-80z M30 30h40v40h-40z"/>': 48.0,
    # A bow tie crosses itself; an open path is filled as if it were closed.
    '<path d="M10 10 L90 90 L90 10 L10 90"/>': 32.0,
    '<style>.a{fill:none;stroke:black} #b{stroke-width:8}</style><path class="a" id="b" d="M10 50H110"/>': 8.0,
    '<defs><rect id="r" width="20" height="20"/></defs><use href="#r" x="5" y="5"/><use xlink:href="#r" x="60"/>': 8.0,
}


@pytest.mark.parametrize("body", CLOSED_FORMS)
def test_area_is_the_closed_form(body: str) -> None:
    area, left_out = drawn(body)
    assert area == pytest.approx(CLOSED_FORMS[body], rel=2e-3)
    assert left_out == ()


def test_units_are_those_of_css() -> None:
    """CSS Values and Units: 1 in = 96 px = 25.4 mm = 72 pt = 6 pc; without a unit user units are px."""
    for side in ("1in", "25.4mm", "2.54cm", "72pt", "6pc", "96px", "96"):
        drawing = read_svg(f'{HEAD}width="{side}" height="{side}"><rect width="{side}" height="1"/></svg>'.encode(), "")
        assert drawing.width_mm == pytest.approx(25.4)
    assert drawn('<rect width="96" height="96"/>', 'width="96" height="96">')[0] == pytest.approx(25.4**2, rel=1e-3)


NUMBER = st.integers(-40, 40).map(lambda value: value / 4.0)
FLAG = st.integers(0, 1)
COMMAND = st.one_of(
    st.tuples(st.sampled_from("LlTt"), NUMBER, NUMBER),
    st.tuples(st.sampled_from("HhVv"), NUMBER),
    st.tuples(st.sampled_from("QqSs"), *[NUMBER] * 4),
    st.tuples(st.sampled_from("Cc"), *[NUMBER] * 6),
    st.tuples(st.sampled_from("Aa"), st.integers(1, 30), st.integers(1, 30), NUMBER, FLAG, FLAG, NUMBER, NUMBER),
)


@settings(max_examples=60, deadline=None)
@given(st.lists(COMMAND, min_size=1, max_size=6))
def test_paths_are_those_of_a_second_library(commands: list[tuple[object, ...]]) -> None:
    """svgelements (MIT) evaluates its own curves; every point of its path lies on ours, and the ends are the same.

    Left out: a smooth curve after one of the other degree, which by SVG 1.1, 8.3.6 and 8.3.7 begins with no mirrored
    control point, and which that library mirrors all the same.
    """
    svgelements = pytest.importorskip("svgelements")
    letters = "".join(str(command[0]).upper() for command in commands)
    assume(not any(pair in letters for pair in ("QS", "TS", "CT", "ST")))
    data = "M3 4 " + " ".join(" ".join(str(part) for part in command) for command in commands)
    lines = parse_path(data, 1e-4, SegmentBudget())
    theirs = [segment for segment in svgelements.Path(data) if not isinstance(segment, svgelements.Move)]
    points = np.concatenate([line.points for line in lines])
    end = theirs[-1].end
    assert max(abs(points[-1, 0] - end.x), abs(points[-1, 1] - end.y)) < 1e-6
    curve = np.array([[*segment.point(t)] for segment in theirs for t in np.linspace(0.0, 1.0, 33)])
    ours = shapely.linestrings(points)
    furthest = float(np.max(shapely.distance(ours, shapely.points(curve))))
    assert furthest < 5e-3


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.one_of(
            st.tuples(st.just("translate"), NUMBER, NUMBER),
            st.tuples(st.just("scale"), NUMBER, NUMBER),
            st.tuples(st.just("rotate"), NUMBER, NUMBER, NUMBER),
            st.tuples(st.sampled_from(["skewX", "skewY"]), st.integers(-60, 60)),
            st.tuples(st.just("matrix"), *[NUMBER] * 6),
        ),
        min_size=1,
        max_size=4,
    )
)
def test_transforms_are_those_of_a_second_library(functions: list[tuple[object, ...]]) -> None:
    svgelements = pytest.importorskip("svgelements")
    text = " ".join(f"{name}({','.join(map(str, given))})" for name, *given in functions)
    theirs = svgelements.Matrix(text)
    rows = [[theirs.a, theirs.c, theirs.e], [theirs.b, theirs.d, theirs.f]]
    assert np.allclose(transform(text)[:2], rows, rtol=1e-9, atol=1e-9)


def _nested(uses: int) -> str:
    layers = "".join(f'<g id="u{i + 1}"><use href="#u{i}"/><use href="#u{i}"/></g>' for i in range(uses))
    return f'<defs><rect id="u0" width="9" height="9"/>{layers}</defs><use href="#u{uses}"/>'


def _page(body: str) -> bytes:
    return f"{HEAD}{PAGE}{body}</svg>".encode()


MANY_USES = '<use href="#u15"/>' * 9
TANGLE = " ".join(f"{(i * 7919) % 200} {(i * 104729) % 100}" for i in range(20_000))
REFUSED = {
    "entities": (b'<!DOCTYPE svg [<!ENTITY a "b">]><svg/>', "entities"),
    "laughs": (b'<!DOCTYPE svg [<!ENTITY a "ha"><!ENTITY b "&a;&a;">]><svg>&b;</svg>', "entities"),
    "no XML": (b"hello", "no readable SVG"),
    "a zero byte": (b'<s x="" i=""\n\n>\n  \0', "no readable SVG"),  # The parser's message has a line break.
    "another root": (b"<html/>", "html"),
    "no size": (f'{HEAD}width="0" height="3"/>'.encode(), "page"),
    "no area": (_page('<path d="M0 0L9 9"/>'), "no area"),
    "text alone": (_page("<text>a</text>"), "no area: text was left out (text on line 1)"),
    "a line without a stroke": (_page('<path d="M0 0L9 9" fill="none"/>'), "no area: none of its elements"),
    "an entity on line 3": (
        b'<?xml version="1.0"?>\n<!DOCTYPE svg [\n<!ENTITY a "b">]>\n<svg/>',
        "<!ENTITY> on line 3",
    ),
    "a bomb of copies": (_page(_nested(40)), "use"),
    "a wide bomb of copies": (_page(_nested(15) + MANY_USES), "copies"),
    "a copy of itself": (_page('<g id="a"><use href="#a"/></g>'), "use"),
    "a million segments": (
        _page(f'<path d="M0 0{"l1 1 1 0" * 500_000}"/>'),
        "path on line 1: the drawing has more than 100,000",
    ),
    "an endless path": (_page(f'<path d="M0 0{" l1 1" * 2_100_000}"/>'), "more than 10,000,000 characters"),
    "nested groups": (_page("<g>" * 3000 + "</g>" * 3000), "deep"),
    "as many elements as grains of sand": (
        _page('<g fill="none"/>' * 20_001),
        "g on line 1: the drawing has more than 20,000",
    ),
    "a tangle": (_page(f'<path d="M0 0 {TANGLE}"/>'), "cross one another more than 300,000 times"),
    "a number too long": (_page('<use transform="rotate(12 9 1e400)5)"/>'), "1e400 goes beyond all bounds"),
    "turned without end": (_page('<g transform="rotate(1e400)"/>'), "1e400 goes beyond all bounds"),
    "a chain without end": (_page(f'<g transform="{"scale(1e9) " * 40}"/>'), "transform"),
    "infinite": (_page('<g transform="scale(1e30)"><rect width="1" height="1"/></g>'), "1e30 goes beyond all bounds"),
    "a bend beyond floating point": (_page('<path d="M20 50c9 -9 5 5 9 1e308"/>'), "1e308 goes beyond all bounds"),
    "an arc turned without end": (_page('<path d="M20 50a5 7 1e400 0 1 9 9z"/>'), "1e400 goes beyond all bounds"),
    "a stroke without end": (_page('<path d="M2 5L9 9" stroke="#000" stroke-width="1e400"/>'), "1e400"),
    "a side of next to nothing": (_page('<rect width="30" height="1e-320" rx="6"/>'), "no area"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_bad_drawing_is_refused_in_a_sentence_and_in_time(name: str) -> None:
    content, word = REFUSED[name]
    begun = time.process_time()
    with pytest.raises(InputError) as refused:
        outline_of(read_svg(content, "drawing.svg"), "drawing.svg")
    assert word in str(refused.value)
    assert "\n" not in str(refused.value)
    # The promise is 10 seconds; this only catches work without end.
    assert time.process_time() - begun < 10.0


def test_an_older_xml_library_is_understood() -> None:
    # What libxml2 2.9.14 says of a long attribute; Mesa brings it along with LLVM, and in the window it may come first.
    told = _unreadable("AttValue length too long, line 1, column 141", "drawing.svg")
    assert "more than 10,000,000 characters (on line 1)" in str(told)


def test_what_is_left_out_is_said_and_nothing_is_fetched(tmp_path: object) -> None:
    body = (
        '<script>alert(1)</script><image href="http://127.0.0.1:9/a.png"/><use href="file:///etc/passwd#a"/>'
        '<text>a</text><path d="M10 10h50v50z" fill="url(#g)" clip-path="url(#c)"/><linearGradient id="g"/>'
    )
    area, left_out = drawn(body)
    assert area == pytest.approx(12.5, rel=1e-3)
    for word in (
        "(script on line 1)",
        "image",
        "another file",
        "text",
        "gradient",
        "clip path was left out (path on line 1)",
    ):
        assert any(word in sentence for sentence in left_out), word


def test_a_file_is_named_in_its_error(tmp_path: object) -> None:
    path = f"{tmp_path}/leaf.svg"
    with open(path, "w") as stream:
        stream.write(f'{HEAD}{PAGE}<path d="M0 0"/></svg>')
    from pathlib import Path

    with pytest.raises(InputError, match=r"leaf\.svg"):
        read_motif(Path(path))


@pytest.mark.parametrize("text", ["", "M0 0", "M0 0l1 1z", "M0 0l9 9 9 0 -9 9 9 0z", "M0 0l1 1 1 1 -2 -2z", "<svg/>"])
def test_a_damaged_outline_is_refused(text: str) -> None:
    with pytest.raises(InputError) as refused:
        outline_from_text(text)
    assert refused.value.where == "pattern.motif.outline"
