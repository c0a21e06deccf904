"""A drawing as SVG, to stand in a page of its own or in another."""

from __future__ import annotations

from xml.sax.saxutils import escape

from ringtex.basics.arrays import Floats
from ringtex.export.sheet.drawing import AXIS_DASH_MM, METAL_GREY, STROKE_MM, Drawing, Path, Words


def drawing_svg(drawing: Drawing, title: str) -> str:
    """The drawing as one `svg` element as wide as the page allows; the same drawing gives the same text."""
    size = f'viewBox="0 0 {_n(drawing.width_mm)} {_n(drawing.height_mm)}"'
    parts = [_path(mark, drawing) if isinstance(mark, Path) else _words(mark, drawing) for mark in drawing.marks]
    head = f'<svg xmlns="http://www.w3.org/2000/svg" {size} role="img"><title>{escape(title)}</title>'
    return "\n".join((head, *parts, "</svg>"))


def _path(mark: Path, drawing: Drawing) -> str:
    data = " ".join(_row(row, drawing.height_mm) + ("Z" if mark.closed else "") for row in mark.rows)
    grey = round(255 * METAL_GREY)
    fill = "#000" if mark.black else f"rgb({grey},{grey},{grey})" if mark.filled else "none"
    stroke = "none" if mark.stroke == "none" else "#000"
    width = STROKE_MM.get(mark.stroke, 0.0)
    dash = f' stroke-dasharray="{" ".join(_n(part) for part in AXIS_DASH_MM)}"' if mark.stroke == "axis" else ""
    style = f'fill="{fill}" fill-rule="evenodd" stroke="{stroke}" stroke-width="{_n(width)}" stroke-linejoin="round"'
    return f'<path d="{data}" {style}{dash}/>'


def _row(row: Floats, height: float) -> str:
    return "M" + "L".join(f"{_n(x)} {_n(height - y)}" for x, y in row.tolist())


def _words(mark: Words, drawing: Drawing) -> str:
    x, y = _n(mark.x), _n(drawing.height_mm - mark.y)
    turn = f' transform="rotate({_n(-mark.angle_deg)} {x} {y})"' if mark.angle_deg else ""
    weight = ' font-weight="bold"' if mark.bold else ""
    style = f'font-size="{_n(mark.size_mm)}" text-anchor="{mark.anchor}"{weight}{turn}'
    return f'<text x="{x}" y="{y}" {style}>{escape(mark.text)}</text>'


def _n(value: float) -> str:
    """A number to a hundredth, without needless zeros."""
    return f"{value:.2f}".rstrip("0").rstrip(".") if value else "0"
