"""A workshop sheet as PDF, on A4 or Letter; columns, tables and pages are laid out by reportlab's platypus."""

from __future__ import annotations

import io
from functools import lru_cache
from itertools import zip_longest
from typing import TYPE_CHECKING, Any, Final, Literal
from xml.sax.saxutils import escape

from ringtex.basics.resources import resource
from ringtex.export.sheet.drawing import AXIS_DASH_MM, METAL_GREY, STROKE_MM, Drawing, Path
from ringtex.export.sheet.sheet import Sheet, SheetBlock, SheetRow

if TYPE_CHECKING:
    from collections.abc import Callable

Paper = Literal["a4", "letter"]

PAPER_MM: Final[dict[str, tuple[float, float]]] = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""Width and height: ISO 216; ANSI/ASME Y14.1 size A (from memory)."""

BOX_MM: Final = (182.0, 257.0)
"""What is printed on: inside the margins of both papers, so that both carry the same pages."""

MAX_PAGES: Final = 2
SHRINKS: Final = (1.0, 0.87, 0.76)
"""Tables in letters 2.9 mm high, or smaller where they would need a third page; the smallest are still those of a
newspaper."""

MM: Final = 72.0 / 25.4
"""Points in a millimetre."""

PLAIN: Final = "Helvetica"
BOLD: Final = "Helvetica-Bold"
"""Of the fonts that every PDF reader has; they hold the Latin letters of western Europe."""

WIDE: Final = "DejaVuSans"
"""The packaged font, put into the file where a line has other letters: Greek, Cyrillic and many more."""

_TEXT_MM, _LEADING_MM, _TITLE_MM, _CAPTION_MM = 2.9, 3.7, 3.4, 2.8
_GAP_MM, _COLUMN_GAP_MM, _PICTURE_GAP_MM, _FOOT_MM = 4.0, 6.0, 3.0, 5.0
_NAME_FRACTION, _WIDE_NAME_MM = 0.42, 24.0
_MAX_BLOCK_MM, _TITLE_FREE_MM = 200.0, 18.0


def sheet_pdf(sheet: Sheet, paper: Paper = "a4") -> bytes:
    """The sheet's PDF; the same sheet and paper give the same bytes (with one version of the writer).

    One or two pages: where there is much to say, its tables are set smaller; more pages only where that is not enough.
    """
    for shrink in SHRINKS:
        content, pages = _printed(sheet, PAPER_MM[paper], shrink)
        if pages <= MAX_PAGES:
            break
    return content


def _printed(sheet: Sheet, paper_mm: tuple[float, float], shrink: float) -> tuple[bytes, int]:
    """The PDF with tables set so much smaller, and how many pages it has."""
    from reportlab.platypus import BaseDocTemplate, Frame, PageTemplate

    stream = io.BytesIO()
    size = (paper_mm[0] * MM, paper_mm[1] * MM)
    left, bottom = (paper_mm[0] - BOX_MM[0]) / 2.0, (paper_mm[1] - BOX_MM[1]) / 2.0
    box = (left * MM, (bottom + _FOOT_MM) * MM, BOX_MM[0] * MM, (BOX_MM[1] - _FOOT_MM) * MM)
    document = BaseDocTemplate(
        stream, pagesize=size, invariant=1, pageCompression=1, title=sheet.title, subject="Workshop sheet",
        creator="ringtex", author="",
    )  # fmt: skip
    frame = Frame(*box, leftPadding=0, rightPadding=0, topPadding=0, bottomPadding=0)
    foot = _page_foot(sheet.title, left, bottom)
    document.addPageTemplates([PageTemplate("sheet", [frame], onPageEnd=foot)])
    document.build(_story(sheet, shrink))
    return stream.getvalue(), document.page


def _page_foot(title: str, left: float, bottom: float) -> Callable[[Any, Any], None]:
    def draw(canvas: Any, document: Any) -> None:
        draw_line(canvas, f"{title}, page {document.page}", (left, bottom), 2.6, grey=0.4, max_mm=120.0)
        text = "Millimetres throughout. Print at 100 per cent."
        draw_line(canvas, text, (left + BOX_MM[0], bottom), 2.6, anchor="end", grey=0.4)

    return draw


def _story(sheet: Sheet, shrink: float) -> list[Any]:
    """The flowables of the sheet, in order."""
    from reportlab.platypus import CondPageBreak, Spacer

    gap = Spacer(1, _GAP_MM * MM)
    narrow, wide = [block for block in sheet.blocks if not block.wide], [block for block in sheet.blocks if block.wide]
    story: list[Any] = [_head(sheet), gap, _pictures(sheet), gap, _drawn(sheet.drawing), gap]
    for pair in zip_longest(narrow[::2], narrow[1::2]):
        story += _block_pair(pair, shrink)
    story += [_drawn(sheet.flat), gap]
    for block in wide:
        story += [CondPageBreak(_TITLE_FREE_MM * MM), *_block(block, BOX_MM[0], shrink)]
    return story


def _head(sheet: Sheet) -> Any:
    """Title, subtitle, date and a rule below, drawn as lines that are cut short where they are too long."""
    width = BOX_MM[0]
    free = width - 34.0
    size = max(6.0 * min(1.0, free / _width_mm(sheet.title, 6.0, bold=True)), 4.2)

    def draw(canvas: Any) -> None:
        draw_line(canvas, sheet.title, (0.0, 8.0), size, bold=True, max_mm=free)
        draw_line(canvas, "Workshop sheet", (width, 8.0), 3.4, anchor="end", grey=0.35)
        draw_line(canvas, sheet.subtitle, (0.0, 2.5), 3.4, max_mm=width - 30.0)
        draw_line(canvas, sheet.date, (width, 2.5), 3.4, anchor="end", grey=0.35)
        canvas.setLineWidth(0.35 * MM)
        canvas.line(0.0, 0.0, width * MM, 0.0)

    return _flowable(width, 14.0, draw)


def _pictures(sheet: Sheet) -> Any:
    """All pictures in one row, each with its caption below."""
    from reportlab.platypus import Image, Table

    count = max(len(sheet.pictures), 1)
    side = (BOX_MM[0] - _PICTURE_GAP_MM * (count - 1)) / count
    images = [Image(io.BytesIO(picture.png()), side * MM, side * MM) for picture in sheet.pictures]
    captions = [_paragraph(picture.caption, _CAPTION_MM, grey=0.25) for picture in sheet.pictures]
    columns = [(side + _PICTURE_GAP_MM) * MM] * (count - 1) + [side * MM]
    return Table([images, captions] if images else [[""]], columns, style=_table_style(), hAlign="LEFT")


def _drawn(drawing: Drawing) -> Any:
    return _flowable(drawing.width_mm, drawing.height_mm, lambda canvas: draw_on(canvas, drawing))


def _flowable(width_mm: float, height_mm: float, draw: Callable[[Any], None]) -> Any:
    """Something of fixed size that draws itself on the canvas, its lower left corner at (0, 0)."""
    from reportlab.platypus import Flowable

    class Drawn(Flowable):  # type: ignore[misc]
        def __init__(self) -> None:
            super().__init__()
            self.width, self.height = width_mm * MM, height_mm * MM

        def draw(self) -> None:
            draw(self.canv)

    return Drawn()


def _block_pair(pair: tuple[SheetBlock | None, ...], shrink: float) -> list[Any]:
    """Two blocks beside each other on one page; below each other if one of them is too long for that."""
    from reportlab.platypus import Table

    width = (BOX_MM[0] - _COLUMN_GAP_MM) / 2.0
    cells = [_block(block, width, shrink) if block is not None else [] for block in pair]
    heights = [sum(flowable.wrap(width * MM, BOX_MM[1] * MM)[1] for flowable in cell) for cell in cells]
    if max(heights) > _MAX_BLOCK_MM * MM:
        return [flowable for block in pair if block is not None for flowable in _block(block, BOX_MM[0], shrink)]
    columns = [(width + _COLUMN_GAP_MM) * MM, width * MM]
    return [Table([cells], columns, style=_table_style(), hAlign="LEFT")]


def _block(block: SheetBlock, width: float, shrink: float) -> list[Any]:
    """Title and rows."""
    from reportlab.platypus import Spacer

    name_width = _WIDE_NAME_MM if block.wide else _NAME_FRACTION * width
    rows = [_row(row, width, name_width, block.wide, shrink) for row in block.rows]
    return [_block_title(block.title, width, shrink), *rows, Spacer(1, _GAP_MM * shrink * MM)]


def _block_title(text: str, width: float, shrink: float) -> Any:
    from reportlab.platypus import Table

    style = [*_table_style(), ("LINEBELOW", (0, 0), (-1, -1), 0.13 * MM, "black")]
    style += [("BOTTOMPADDING", (0, 0), (-1, -1), 0.6 * shrink * MM)]
    gap = {"spaceAfter": 0.8 * shrink * MM, "hAlign": "LEFT"}
    return Table([[_paragraph(text, _TITLE_MM * shrink, bold=True)]], [width * MM], style=style, **gap)


def _row(row: SheetRow, width: float, name_width: float, wide: bool, shrink: float) -> Any:
    """Name and value beside each other; a row taller than a page is split."""
    from reportlab.platypus import Table

    size = _TEXT_MM * shrink
    value = _paragraph(row.value, size, bold=row.strong)
    cells, columns = [value], [width * MM]
    if row.name:
        cells = [_paragraph(row.name, size, bold=wide, grey=0.25), value]
        columns = [name_width * MM, (width - name_width) * MM]
    style = [*_table_style(), ("RIGHTPADDING", (0, 0), (-2, -1), 2.0 * MM)]
    style += [("BOTTOMPADDING", (0, 0), (-1, -1), 0.5 * shrink * MM)]
    return Table([cells], columns, style=style, splitInRow=1, hAlign="LEFT")


def _table_style() -> list[tuple[Any, ...]]:
    """Cells without padding, their text at the top."""
    whole = ((0, 0), (-1, -1))
    sides = [(f"{side}PADDING", *whole, 0) for side in ("LEFT", "RIGHT", "TOP", "BOTTOM")]
    return [*sides, ("VALIGN", *whole, "TOP")]


def _paragraph(text: str, size_mm: float, bold: bool = False, grey: float = 0.0) -> Any:
    from reportlab.lib.colors import Color
    from reportlab.lib.styles import ParagraphStyle
    from reportlab.platypus import Paragraph

    style = ParagraphStyle(
        "", fontName=font_for(text, bold), fontSize=size_mm * MM, leading=size_mm * _LEADING_MM / _TEXT_MM * MM,
        textColor=Color(grey, grey, grey), splitLongWords=1,
    )  # fmt: skip
    return Paragraph(escape(text), style)


def draw_on(canvas: Any, drawing: Drawing) -> None:
    """Put a drawing on the canvas, its lower left corner at (0, 0)."""
    for mark in drawing.marks:
        if isinstance(mark, Path):
            _draw_path(canvas, mark)
        else:
            canvas.saveState()
            canvas.translate(mark.x * MM, mark.y * MM)
            canvas.rotate(mark.angle_deg)
            draw_line(canvas, mark.text, (0.0, 0.0), mark.size_mm, bold=mark.bold, anchor=mark.anchor)
            canvas.restoreState()


def _draw_path(canvas: Any, mark: Path) -> None:
    path = canvas.beginPath()
    for row in mark.rows:
        points = [(x * MM, y * MM) for x, y in row.tolist()]
        path.moveTo(*points[0])
        for point in points[1:]:
            path.lineTo(*point)
        if mark.closed:
            path.close()
    canvas.setLineWidth(STROKE_MM.get(mark.stroke, 0.0) * MM)
    canvas.setLineJoin(1)
    canvas.setDash([part * MM for part in AXIS_DASH_MM] if mark.stroke == "axis" else [])
    canvas.setFillGray(0.0 if mark.black else METAL_GREY)
    canvas.drawPath(path, stroke=int(mark.stroke != "none"), fill=int(mark.filled or mark.black), fillMode=0)
    canvas.setDash([])


def draw_line(
    canvas: Any,
    text: str,
    foot: tuple[float, float],
    size_mm: float,
    bold: bool = False,
    anchor: str = "start",
    grey: float = 0.0,
    max_mm: float | None = None,
) -> None:
    """One line of text.

    Parameters:
        canvas: reportlab's.
        text: what is written.
        foot: position (x, y) of the foot, mm.
        size_mm: of the font.
        bold: in the bold font.
        anchor: start, middle or end of the line lies at the foot.
        grey: 0 black to 1 white.
        max_mm: a longer line is cut short with dots.
    """
    shown = text
    if max_mm is not None and _width_mm(shown, size_mm, bold) > max_mm:
        while len(shown) > 1 and _width_mm(shown + "...", size_mm, bold) > max_mm:
            shown = shown[:-1].rstrip()
        shown += "..."
    canvas.setFillGray(grey)
    canvas.setFont(font_for(shown, bold), size_mm * MM)
    draw = {"start": "drawString", "middle": "drawCentredString", "end": "drawRightString"}[anchor]
    getattr(canvas, draw)(foot[0] * MM, foot[1] * MM, shown)


def _width_mm(text: str, size_mm: float, bold: bool) -> float:
    from reportlab.pdfbase.pdfmetrics import stringWidth

    return max(float(stringWidth(text, font_for(text, bold), size_mm * MM)) / MM, 1e-6)


def font_for(text: str, bold: bool) -> str:
    """The name of the font that a line is set in; the packaged one is registered where it is needed."""
    try:
        text.encode("cp1252")
    except UnicodeEncodeError:
        return _packaged()
    return BOLD if bold else PLAIN


@lru_cache(maxsize=1)
def _packaged() -> str:
    from reportlab.pdfbase.pdfmetrics import registerFont
    from reportlab.pdfbase.ttfonts import TTFont

    registerFont(TTFont(WIDE, str(resource("fonts/DejaVuSans.ttf"))))
    return WIDE
