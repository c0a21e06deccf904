"""An SVG file as painted shapes: what is drawn, in what order, and what was left out.

Nothing that a file names is ever fetched or run: no entities, no external files, no scripts.
"""

from __future__ import annotations

import math
import re
import time
from dataclasses import dataclass, field
from typing import Any, Final

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.basics.errors import InputError
from ringtex.pattern.motif.svg_paths import MAX_SEGMENTS, Polyline, SegmentBudget, arc_points, parse_path
from ringtex.pattern.motif.svg_values import (
    MM_PER_UNIT,
    declarations,
    is_none,
    is_white,
    length,
    numbers,
    style_rules,
    transform,
)

MAX_BYTES: Final = 20_000_000
MAX_TEXT: Final = 10_000_000
"""Characters of one attribute or text: the XML library's own limit (XML_MAX_TEXT_LENGTH of libxml2)."""

MAX_ELEMENTS: Final = 20_000
MAX_USES: Final = 16
"""Copies within copies."""

MAX_SECONDS: Final = 10.0

FLATNESS: Final = 1.0 / 20_000.0
"""Distance between a curve and its pieces, as a fraction of the page: half a micrometre on a motif of 10 mm."""

GROUPS: Final = frozenset({"svg", "g", "a", "symbol", "switch"})
SHAPES: Final = frozenset({"path", "rect", "circle", "ellipse", "line", "polyline", "polygon"})
SILENT: Final = frozenset({"defs", "title", "desc", "metadata", "style", "view", "namedview", "cursor"})
INHERITED: Final = {
    "fill": "black", "stroke": "none", "stroke-width": "1", "fill-rule": "nonzero", "stroke-linecap": "butt",
    "stroke-linejoin": "miter", "stroke-miterlimit": "4", "visibility": "visible",
}  # fmt: skip
MAX_NAMED: Final = 3
"""Elements that a sentence on what was left out names."""

LEFT_OUT: Final = ("clip-path", "mask", "filter", "stroke-dasharray", "marker-start", "marker-mid", "marker-end")


@dataclass(frozen=True, eq=False)
class PaintedShape:
    """One fill or stroke: polylines in millimetres of the page, y upwards.

    rule: "nonzero" or "evenodd" of a fill; None for a stroke, whose polylines are its middle lines in user units, with
    `width`, `cap`, `join` and `mitre` there and `matrix` from there to the page. white: it takes away what lies
    under it.
    """

    lines: list[Polyline]
    matrix: Floats
    element: str
    white: bool
    rule: str | None = None
    width: float = 0.0
    cap: str = "butt"
    join: str = "miter"
    mitre: float = 4.0


@dataclass(frozen=True, eq=False)
class SvgDrawing:
    """A page's size, mm, its shapes in the order of painting, and sentences on what was left out."""

    width_mm: float
    height_mm: float
    shapes: list[PaintedShape]
    left_out: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class _State:
    style: dict[str, str]
    matrix: Floats
    uses: tuple[str, ...] = ()


@dataclass(eq=False)
class _Reading:
    """What one file's reading has come to."""

    page: tuple[float, float]
    rules: dict[str, dict[str, str]]
    ids: dict[str, Any]
    until: float
    budget: SegmentBudget = field(default_factory=SegmentBudget)
    shapes: list[PaintedShape] = field(default_factory=list)
    left_out: dict[str, list[Any]] = field(default_factory=dict)
    elements: int = 0

    def leave_out(self, what: str, element: Any) -> None:
        """Remember what is left out of an element, to be told afterwards."""
        self.left_out.setdefault(what, []).append(element)


def read_svg(content: bytes, where: str) -> SvgDrawing:
    """The shapes of an SVG file.

    Raises: InputError, naming the element, for what is no SVG, declares entities, has no size, or is too much to read.
    """
    root = _parsed(content, where)
    width, height, matrix = _page(root, where)
    reading = _Reading((width, height), _rules(root), _ids(root), time.monotonic() + MAX_SECONDS)
    try:
        _walk(root, _State(dict(INHERITED), matrix), reading)
    except InputError as error:
        raise InputError(error.message, error.advice, f"{where}, {error.where}") from None
    return SvgDrawing(width, height, reading.shapes, tuple(_sentence(*each) for each in reading.left_out.items()))


def _parsed(content: bytes, where: str) -> Any:
    from lxml import etree

    if (at := content.find(b"<!ENTITY")) >= 0:
        line = content.count(b"\n", 0, at) + 1
        message = f"this SVG declares entities: <!ENTITY> on line {line}"
        raise InputError(message, "Save it again as plain SVG, without a document type", where)
    parser = etree.XMLParser(
        resolve_entities=False, no_network=True, load_dtd=False, dtd_validation=False, attribute_defaults=False,
        huge_tree=False, remove_comments=True, remove_pis=True,
    )  # fmt: skip
    try:
        root = etree.fromstring(content, parser)
    except (etree.XMLSyntaxError, ValueError) as error:
        raise _unreadable(str(error), where) from None
    document = root.getroottree().docinfo.internalDTD
    if document is not None and next(iter(document.iterentities()), None) is not None:
        raise InputError("this SVG declares entities", "Save it again as plain SVG, without a document type", where)
    if _name(root) != "svg":
        raise InputError(f"this is XML, but its root is <{_name(root)[:30]}> and not <svg>", "Name an SVG", where)
    return root


def _unreadable(told: str, where: str) -> InputError:
    """The refusal of what the XML library does not read, by what it told."""
    reason = " ".join(told.split("(")[0].split())[:100]  # Some of its messages have two lines.
    line = re.search(r"line \d+", told)
    place = f" (on {line[0]})" if line else ""
    if "Excessive depth" in told:
        depth = (re.findall(r"document: (\d+)", told) or ["256"])[0]
        message, advice = f"elements are nested more than {depth} deep{place}", "Take groups apart"
    # The second is of libxml2 2.9, which OpenGL may bring along.
    elif "PARSE_HUGE" in told or "length too long" in told:
        message = f"one attribute or text has more than {MAX_TEXT:,} characters{place}"
        advice = "Simplify that path, or take out pictures that are inside the file"
    else:
        message, advice = f"this is no readable SVG: {reason}", "Save the drawing again as plain SVG"
    return InputError(message, advice, where)


def _name(element: Any) -> str:
    """The element's name without its namespace; empty for what is no element."""
    return element.tag.rsplit("}", 1)[-1] if isinstance(element.tag, str) else ""


def _shown(element: Any) -> str:
    """An element's name and line, for messages."""
    return f"{_name(element)} on line {element.sourceline}"


def _page(root: Any, where: str) -> tuple[float, float, Floats]:
    """Width and height, mm, and the matrix from user units to the page, y upwards."""
    box = numbers(root.get("viewBox") or "")
    has_box = len(box) == 4 and box[2] > 0.0 and box[3] > 0.0 and all(map(math.isfinite, box))
    near = (box[2], box[3]) if has_box else (300.0, 150.0)
    width, height = (length(root.get(key), own, own) for key, own in zip(("width", "height"), near, strict=True))
    if has_box and root.get("width") and not root.get("height"):
        height = width * box[3] / box[2]
    if not (0.0 < width < 1e7 and 0.0 < height < 1e7):
        raise InputError(f"this SVG's page is {width:g} by {height:g} px", "Give width, height or viewBox", where)
    mm = MM_PER_UNIT["px"]
    if not has_box:
        box = [0.0, 0.0, width, height]
    scale = np.array([width / box[2], height / box[3]])
    if not (root.get("preserveAspectRatio") or "").strip().startswith("none"):
        scale[:] = scale.min()
    offset = 0.5 * (np.array([width, height]) - scale * box[2:]) - scale * box[:2]
    matrix = np.array(
        [[scale[0] * mm, 0.0, offset[0] * mm], [0.0, -scale[1] * mm, (height - offset[1]) * mm], [0, 0, 1]]
    )
    return width * mm, height * mm, matrix


def _rules(root: Any) -> dict[str, dict[str, str]]:
    return style_rules("\n".join(each.text or "" for each in root.iter("{*}style")))


def _ids(root: Any) -> dict[str, Any]:
    return {each.get("id"): each for each in root.iter() if isinstance(each.tag, str) and each.get("id")}


def _walk(element: Any, state: _State, reading: _Reading) -> None:
    """Paint an element and what it holds. Raises: InputError."""
    name = _name(element)
    if not name or name in SILENT:
        return
    reading.elements += 1
    if reading.elements > MAX_ELEMENTS:
        message = f"the drawing has more than {MAX_ELEMENTS:,} elements, copies counted, up to this {name}"
        raise InputError(message, "Simplify the drawing, or use a part of it", _shown(element))
    if time.monotonic() > reading.until:
        message = f"the drawing takes more than {MAX_SECONDS:g} s to read up to this {name}"
        raise InputError(message, "Simplify the drawing, or use a part of it", _shown(element))
    own = _own_style(element, reading)
    if own.get("display") == "none" or _invisible(own.get("opacity")):
        return
    for key in LEFT_OUT:
        if not is_none(own.get(key, "none")):
            reading.leave_out(key, element)
    with np.errstate(over="ignore", invalid="ignore"):
        matrix = state.matrix @ transform(element.get("transform") or own.get("transform"))
    if not np.all(np.isfinite(matrix)) or np.max(np.abs(matrix)) > 1e9:
        raise InputError("a transform goes beyond all bounds", "Correct the drawing", _shown(element))
    inner = _State({key: own.get(key, value) for key, value in state.style.items()}, matrix, state.uses)
    if name in GROUPS:
        for child in element:
            _walk(child, inner, reading)
    elif name == "use":
        _use(element, inner, reading)
    elif name in SHAPES:
        _paint(name, element, inner, own, reading)
    else:
        reading.leave_out(name, element)


def _own_style(element: Any, reading: _Reading) -> dict[str, str]:
    """The element's own properties: attributes, then the style sheet's rules, then its style attribute."""
    own = {str(key): str(value) for key, value in element.attrib.items() if "}" not in str(key)}
    names = [
        "*",
        _name(element),
        *(f".{each}" for each in (element.get("class") or "").split()),
        f"#{element.get('id')}",
    ]
    for name in names:
        own.update(reading.rules.get(name, {}))
    own.update(declarations(element.get("style")))
    return {key: value for key, value in own.items() if value != "inherit"}


def _invisible(opacity: str | None) -> bool:
    given = numbers(opacity or "")
    return bool(given) and given[0] <= 0.0


def _use(element: Any, state: _State, reading: _Reading) -> None:
    target = element.get("href") or element.get("{http://www.w3.org/1999/xlink}href") or ""
    if not target.startswith("#"):
        reading.leave_out("external reference", element)
        return
    name = target[1:]
    if name in state.uses or len(state.uses) >= MAX_USES:
        raise InputError(f"<use> of {target[:40]!r} holds itself, or copies are nested too deep", "Expand it", "use")
    found = reading.ids.get(name)
    if found is None:
        reading.leave_out("use without target", element)
        return
    shift = np.eye(3)
    shift[:2, 2] = length(element.get("x"), 100.0), length(element.get("y"), 100.0)
    _walk(found, _State(state.style, state.matrix @ shift, (*state.uses, name)), reading)


def _paint(name: str, element: Any, state: _State, own: dict[str, str], reading: _Reading) -> None:
    style = state.style
    if style["visibility"] != "visible":
        return
    scale = math.sqrt(abs(float(np.linalg.det(state.matrix[:2, :2]))))
    if scale <= 0.0:
        reading.leave_out(f"{name} without extent", element)
        return
    tolerance = FLATNESS * max(reading.page) / scale
    lines = _outline(name, element, tolerance, reading)
    lines = [line for line in lines if np.all(np.isfinite(line.points)) and np.max(np.abs(line.points)) < 1e9]
    if sum(len(line.points) for line in lines) + reading.budget.spent > 4 * MAX_SEGMENTS:
        message = f"the drawing's curves have more than {4 * MAX_SEGMENTS:,} points up to this {name}"
        raise InputError(message, "Simplify the drawing, or use a part of it", _shown(element))
    for kind in ("fill", "stroke"):
        if "url(" in style[kind]:
            reading.leave_out(f"gradient or pattern as {kind}", element)
    if not is_none(style["fill"]) and not _invisible(own.get("fill-opacity")) and name != "line":
        fills = [line for line in lines if len(line.points) >= 3]
        rule = "evenodd" if style["fill-rule"] == "evenodd" else "nonzero"
        reading.shapes.append(PaintedShape(fills, state.matrix, _shown(element), is_white(style["fill"]), rule))
    width = length(style["stroke-width"], math.hypot(*reading.page) / MM_PER_UNIT["px"] / math.sqrt(2.0), 1.0)
    if not is_none(style["stroke"]) and width > 0.0 and not _invisible(own.get("stroke-opacity")):
        mitre = (numbers(style["stroke-miterlimit"]) or [4.0])[0]
        reading.shapes.append(
            PaintedShape(
                lines, state.matrix, _shown(element), is_white(style["stroke"]), None, width, style["stroke-linecap"],
                style["stroke-linejoin"], max(1.0, mitre),
            )
        )  # fmt: skip


def _outline(name: str, element: Any, tolerance: float, reading: _Reading) -> list[Polyline]:
    """The polylines of one shape, user units."""
    if name == "path":
        return parse_path(element.get("d") or "", tolerance, reading.budget, _shown(element))
    wide, high = (side / MM_PER_UNIT["px"] for side in reading.page)

    def value(key: str, percent_of: float = wide) -> float:
        return length(element.get(key), percent_of)

    if name in ("polyline", "polygon"):
        given = numbers(element.get("points") or "")
        points = np.reshape(given[: len(given) // 2 * 2], (-1, 2))
        reading.budget.spend(len(points), _shown(element))
        return [Polyline(points, name == "polygon")] if len(points) > 1 else []
    reading.budget.spend(4, _shown(element))
    if name == "line":
        ends = np.array([[value("x1"), value("y1", high)], [value("x2"), value("y2", high)]])
        return [Polyline(ends, False)]
    if name == "rect":
        sides = value("width"), value("height", high)
        rx, ry = element.get("rx") or element.get("ry"), element.get("ry") or element.get("rx")
        return _rectangle((value("x"), value("y", high)), sides, (length(rx, wide), length(ry, high)), tolerance)
    rx = value("r") if name == "circle" else value("rx")
    ry = rx if name == "circle" else value("ry", high)
    centre = np.array([value("cx"), value("cy", high)])
    if rx <= 0.0 or ry <= 0.0:
        return []
    ends = centre + np.array([[rx, 0.0], [-rx, 0.0]])
    halves = [arc_points(a, b, [rx, ry, 0, 0, 1], tolerance) for a, b in (ends, ends[::-1])]
    return [Polyline(np.concatenate(halves), True)]


def _rectangle(
    corner: tuple[float, float], sides: tuple[float, float], radii: tuple[float, float], tolerance: float
) -> list[Polyline]:
    (x, y), (w, h) = corner, sides
    if w <= 0.0 or h <= 0.0:
        return []
    rx, ry = min(max(radii[0], 0.0), w / 2.0), min(max(radii[1], 0.0), h / 2.0)
    if rx == 0.0 or ry == 0.0:
        return [Polyline(np.array([[x, y], [x + w, y], [x + w, y + h], [x, y + h]]), True)]
    starts = [(x + w - rx, y), (x + w, y + h - ry), (x + rx, y + h), (x, y + ry)]
    ends = [(x + w, y + ry), (x + w - rx, y + h), (x, y + h - ry), (x + rx, y)]
    parts = []
    for start, end in zip(starts, ends, strict=True):
        first = np.array(start)
        parts += [first[None, :], arc_points(first, np.array(end), [rx, ry, 0, 0, 1], tolerance)]
    return [Polyline(np.concatenate(parts), True)]


def _sentence(what: str, elements: list[Any]) -> str:
    """What was left out, of which elements, and what to do."""
    reasons = {
        "text": ("text was left out", "turn it into paths in the drawing program"),
        "image": ("an image was left out", "import it as a picture"),
        "script": ("a script was left out", ""),
        "external reference": ("a reference to another file was left out", ""),
        "gradient or pattern as fill": ("a gradient or pattern counts as a plain fill", ""),
        "gradient or pattern as stroke": ("a gradient or pattern counts as a plain stroke", ""),
        "stroke-dasharray": ("dashes were left out", "the stroke is drawn whole"),
        "clip-path": ("a clip path was left out", "what it hides is drawn whole"),
        "mask": ("a mask was left out", "what it hides is drawn whole"),
        "filter": ("a filter was left out", "the shape is drawn sharp"),
    }
    said, rest = reasons.get(what, (f"{what} was left out", ""))
    named = [_shown(element) for element in elements[:MAX_NAMED]]
    if len(elements) > MAX_NAMED:
        named.append(f"{len(elements) - MAX_NAMED} more")
    return f"{said} ({', '.join(named)})" + (f": {rest}" if rest else "")
