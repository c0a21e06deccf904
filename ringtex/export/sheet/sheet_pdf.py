"""A workshop sheet as PDF, on A4 or Letter."""

from __future__ import annotations

import io
from typing import Any, Final, Literal

from ringtex.export.sheet.drawing import AXIS_DASH_MM, METAL_GREY, STROKE_MM, Drawing, Path, Words
from ringtex.export.sheet.pdf_columns import BLOCK_GAP_MM, Column, block_height, draw_block
from ringtex.export.sheet.pdf_text import MM, PdfText
from ringtex.export.sheet.sheet import Sheet, SheetBlock

Paper = Literal["a4", "letter"]

PAPER_MM: Final[dict[str, tuple[float, float]]] = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""Width and height: ISO 216; ANSI/ASME Y14.1 size A (from memory)."""

BOX_MM: Final = (182.0, 257.0)
"""What is printed on: inside the margins of both papers, so that both carry the same pages."""

MAX_PAGES: Final = 2
_SHRINKS: Final = (1.0, 0.87, 0.76)
"""Tables in letters 2.9 mm high, or smaller where they would need a third page; the smallest are still those of a
newspaper."""

_GAP_MM = 4.0
_COLUMN_GAP_MM = 6.0
_FOOT_MM = 5.0


def sheet_pdf(sheet: Sheet, paper: Paper = "a4") -> bytes:
    """The sheet's PDF; the same sheet and paper give the same bytes (with one version of the writer).

    One or two pages: where there is much to say, its tables are set smaller.
    """
    for shrink in _SHRINKS:
        content, pages = _printed(sheet, PAPER_MM[paper], shrink)
        if pages <= MAX_PAGES:
            break
    return content


def _printed(sheet: Sheet, paper_mm: tuple[float, float], shrink: float) -> tuple[bytes, int]:
    """The PDF with tables set so much smaller, and how many pages it has."""
    from reportlab.pdfgen.canvas import Canvas

    stream = io.BytesIO()
    canvas = Canvas(stream, pagesize=tuple(side * MM for side in paper_mm), invariant=1, pageCompression=1)
    canvas.setTitle(sheet.title)
    canvas.setSubject("Workshop sheet")
    canvas.setCreator("ringtex")
    pages = _Pages(canvas, PdfText(canvas, shrink), sheet, paper_mm)
    pages.draw()
    canvas.save()
    return stream.getvalue(), pages.count


class _Pages:
    """The pages being filled, from the top down."""

    def __init__(self, canvas: Any, text: PdfText, sheet: Sheet, paper: tuple[float, float]) -> None:
        self._canvas, self._text, self._sheet = canvas, text, sheet
        self._left = (paper[0] - BOX_MM[0]) / 2.0
        self._bottom = (paper[1] - BOX_MM[1]) / 2.0
        self._top = self._bottom + BOX_MM[1]
        self.count = 1
        self._flat_is_due = False

    def draw(self) -> None:
        """Everything, page by page."""
        y = self._head(self._top)
        y = self._pictures(y)
        self._drawing(y - self._sheet.drawing.height_mm)
        y -= self._sheet.drawing.height_mm + _GAP_MM
        self._flat_is_due = True
        rest = self._columns([b for b in self._sheet.blocks if not b.wide], y)
        self._wide([b for b in self._sheet.blocks if b.wide], rest)
        self._foot()

    def _head(self, y: float) -> float:
        text, left = self._text, self._left
        room = BOX_MM[0] - 34.0
        size = max(6.0 * min(1.0, room / text.width(self._sheet.title, 6.0, bold=True)), 4.2)
        text.line(self._sheet.title, left, y - 6.0, size, bold=True, most_mm=room)
        text.line("Workshop sheet", left + BOX_MM[0], y - 6.0, 3.4, anchor="end", grey=0.35)
        text.line(self._sheet.subtitle, left, y - 11.5, 3.4, most_mm=BOX_MM[0] - 30.0)
        if self._sheet.date:
            text.line(self._sheet.date, left + BOX_MM[0], y - 11.5, 3.4, anchor="end", grey=0.35)
        self._canvas.setLineWidth(0.35 * MM)
        self._canvas.line(left * MM, (y - 14.0) * MM, (left + BOX_MM[0]) * MM, (y - 14.0) * MM)
        return y - 14.0 - _GAP_MM

    def _pictures(self, y: float) -> float:
        from reportlab.lib.utils import ImageReader

        count = len(self._sheet.pictures)
        side = (BOX_MM[0] - 3.0 * (count - 1)) / max(count, 1)
        for place, picture in enumerate(self._sheet.pictures):
            left = self._left + place * (side + 3.0)
            image = ImageReader(io.BytesIO(picture.png()))
            self._canvas.drawImage(image, left * MM, (y - side) * MM, side * MM, side * MM)
            self._text.line(picture.caption, left, y - side - 3.6, 2.8, grey=0.25)
        return y - side - 3.6 - _GAP_MM

    def _drawing(self, bottom: float) -> None:
        draw_on(self._canvas, self._text, self._sheet.drawing, self._left, bottom)

    def _columns(self, blocks: list[SheetBlock], y: float) -> float:
        """Narrow blocks in two columns, each put where more room is left; a new page where neither has enough."""
        width = (BOX_MM[0] - _COLUMN_GAP_MM) / 2.0
        columns = [Column(self._left, width, y), Column(self._left + width + _COLUMN_GAP_MM, width, y)]
        for block in blocks:
            tall = block_height(self._text, block, width)
            column = max(columns, key=lambda each: each.y)
            if column.y - tall + BLOCK_GAP_MM < self._bottom + _FOOT_MM and column.y < self._top:
                top = self._new_page()
                for each in columns:
                    each.y = top
                column = columns[0]
            draw_block(self._canvas, self._text, block, column)
        return min(each.y for each in columns)

    def _wide(self, blocks: list[SheetBlock], y: float) -> None:
        if self._flat_is_due and y - self._sheet.flat.height_mm - _GAP_MM > self._bottom + _FOOT_MM:
            y = self._draw_flat(y)
        column = Column(self._left, BOX_MM[0], y)
        for block in blocks:
            rows = list(block.rows)
            title = block.title
            while rows:
                fitting = len(rows)
                while (
                    fitting
                    and column.y - block_height(self._text, SheetBlock(title, tuple(rows[:fitting]), True), BOX_MM[0])
                    < self._bottom + _FOOT_MM
                ):
                    fitting -= 1
                if fitting:
                    draw_block(self._canvas, self._text, SheetBlock(title, tuple(rows[:fitting]), True), column)
                    rows, title = rows[fitting:], f"{block.title} (continued)"
                if rows:
                    column.y = self._new_page()

    def _new_page(self) -> float:
        """The next page, which begins with the flat pattern where that is still due; gives where it goes on."""
        self._foot()
        self._canvas.showPage()
        self.count += 1
        return self._draw_flat(self._top) if self._flat_is_due else self._top

    def _draw_flat(self, y: float) -> float:
        """The pattern laid flat, once; gives where it goes on."""
        flat = self._sheet.flat
        self._flat_is_due = False
        draw_on(self._canvas, self._text, flat, self._left, y - flat.height_mm)
        return y - flat.height_mm - _GAP_MM

    def _foot(self) -> None:
        name = self._sheet.title
        self._text.line(f"{name}, page {self.count}", self._left, self._bottom, 2.6, grey=0.4, most_mm=120.0)
        right = self._left + BOX_MM[0]
        words = "Millimetres throughout. Print at 100 per cent."
        self._text.line(words, right, self._bottom, 2.6, anchor="end", grey=0.4)


def draw_on(canvas: Any, text: PdfText, drawing: Drawing, left: float, bottom: float) -> None:
    """Put a drawing on the page, its lower left corner at (left, bottom), mm."""
    for mark in drawing.marks:
        if isinstance(mark, Path):
            _draw_path(canvas, mark, left, bottom)
        else:
            _draw_words(canvas, text, mark, left, bottom)


def _draw_path(canvas: Any, mark: Path, left: float, bottom: float) -> None:
    path = canvas.beginPath()
    for row in mark.rows:
        places = [((left + x) * MM, (bottom + y) * MM) for x, y in row.tolist()]
        path.moveTo(*places[0])
        for place in places[1:]:
            path.lineTo(*place)
        if mark.closed:
            path.close()
    canvas.setLineWidth(STROKE_MM.get(mark.stroke, 0.0) * MM)
    canvas.setLineJoin(1)
    canvas.setDash([part * MM for part in AXIS_DASH_MM] if mark.stroke == "axis" else [])
    canvas.setFillGray(0.0 if mark.black else METAL_GREY)
    fill = int(mark.filled or mark.black)
    canvas.drawPath(path, stroke=int(mark.stroke != "none"), fill=fill, fillMode=0)
    canvas.setDash([])


def _draw_words(canvas: Any, text: PdfText, mark: Words, left: float, bottom: float) -> None:
    canvas.saveState()
    canvas.translate((left + mark.x) * MM, (bottom + mark.y) * MM)
    canvas.rotate(mark.angle_deg)
    text.line(mark.text, 0.0, 0.0, mark.size_mm, bold=mark.bold, anchor=mark.anchor)
    canvas.restoreState()
