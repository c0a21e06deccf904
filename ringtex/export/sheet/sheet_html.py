"""A workshop sheet as one HTML file that needs nothing else, its drawings as SVG."""

from __future__ import annotations

from html import escape
from typing import Final

from ringtex.basics.arrays import Floats
from ringtex.export.sheet.drawing import AXIS_DASH_MM, METAL_GREY, STROKE_MM, Drawing, Path, Words
from ringtex.export.sheet.sheet import Sheet, SheetBlock

_STYLE: Final = """
body { font: 10pt/1.4 Helvetica, Arial, sans-serif; color: #000; background: #fff; }
body { max-width: 182mm; margin: 10mm auto; }
header { display: flex; justify-content: space-between; align-items: baseline; border-bottom: 0.35mm solid #000; }
h1 { font-size: 17pt; margin: 0; overflow-wrap: anywhere; }
h2 { font-size: 10.5pt; margin: 4mm 0 1mm; border-bottom: 0.13mm solid #000; }
header p { margin: 0 0 2mm; }
.aside { color: #444; text-align: right; white-space: nowrap; }
.pictures { display: grid; grid-template-columns: repeat(4, 1fr); gap: 3mm; margin: 4mm 0; }
figure { margin: 0; font-size: 8.5pt; } figure img { width: 100%; display: block; }
svg { width: 100%; height: auto; font-family: Helvetica, Arial, sans-serif; }
.columns { columns: 2; column-gap: 6mm; }
section { break-inside: avoid; }
table { border-collapse: collapse; width: 100%; }
th { text-align: left; vertical-align: top; font-weight: normal; color: #333; width: 42%; padding: 0 2mm 0.5mm 0; }
td { vertical-align: top; padding: 0 0 0.5mm; overflow-wrap: anywhere; }
.wide th { width: 24mm; font-weight: bold; } .wide section { break-inside: auto; }
.strong { font-weight: bold; }
@page { margin: 11mm 14mm; } @media print { body { margin: 0; max-width: none; } }
"""


def sheet_html(sheet: Sheet) -> str:
    """The sheet as one page, pictures and drawing inside it; the same sheet gives the same text."""
    title = escape(sheet.title)
    pictures = "\n".join(
        f'<figure><img src="{picture.data_uri()}" alt="{escape(picture.caption)}">'
        f"<figcaption>{escape(picture.caption)}</figcaption></figure>"
        for picture in sheet.pictures
    )
    narrow = "\n".join(_block(block) for block in sheet.blocks if not block.wide)
    wide = "\n".join(_block(block) for block in sheet.blocks if block.wide)
    aside = "<br>".join(escape(words) for words in ("Workshop sheet", sheet.date) if words)
    return f"""<!DOCTYPE html>
<html lang="en">
<head><meta charset="utf-8"><meta name="viewport" content="width=device-width"><title>{title}</title>
<style>{_STYLE}</style></head>
<body>
<header><div><h1>{title}</h1><p>{escape(sheet.subtitle)}</p></div><p class="aside">{aside}</p></header>
<div class="pictures">
{pictures}
</div>
{drawing_svg(sheet.drawing, f"{sheet.title}: dimensioned drawing")}
{drawing_svg(sheet.flat, f"{sheet.title}: pattern laid flat")}
<div class="columns">
{narrow}
</div>
<div class="wide">
{wide}
</div>
<p class="aside">Millimetres throughout.</p>
</body>
</html>
"""


def _block(block: SheetBlock) -> str:
    rows = "\n".join(
        f"<tr>{f'<th>{escape(row.name)}</th>' if row.name else ''}"
        f"<td{'' if row.name else ' colspan=2'}{' class=strong' if row.strong else ''}>{escape(row.value)}</td></tr>"
        for row in block.rows
    )
    return f"<section><h2>{escape(block.title)}</h2><table>\n{rows}\n</table></section>"


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
