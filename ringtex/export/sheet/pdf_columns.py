"""Blocks of rows, one below the other in a column of a PDF page."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from ringtex.export.sheet.pdf_text import MM, PdfText
from ringtex.export.sheet.sheet import SheetBlock, SheetRow

SIZE_MM: Final = 2.9
LINE_MM: Final = 3.7
TITLE_MM: Final = 3.4
_TITLE_ROOM_MM = 5.4
_ROW_GAP_MM = 0.5
BLOCK_GAP_MM: Final = 4.0
_NAME_SHARE = 0.42
_WIDE_NAME_MM = 24.0


@dataclass
class Column:
    """A column being filled from the top: its left side, its width, and how far down it is filled, mm."""

    left: float
    width: float
    y: float


def block_height(text: PdfText, block: SheetBlock, width: float) -> float:
    """How much room a block takes, mm."""
    return (
        _TITLE_ROOM_MM * text.shrink
        + sum(_row_height(text, row, block.wide, width) for row in block.rows)
        + BLOCK_GAP_MM * text.shrink
    )


def draw_block(canvas: Any, text: PdfText, block: SheetBlock, column: Column) -> None:
    """Draw a block and move the column down."""
    size, line_mm, title = (text.shrink * mm for mm in (SIZE_MM, LINE_MM, TITLE_MM))
    text.line(block.title, column.left, column.y - title, title, bold=True)
    canvas.setLineWidth(0.13 * MM)
    rule = (column.y - title - 1.2 * text.shrink) * MM
    canvas.line(column.left * MM, rule, (column.left + column.width) * MM, rule)
    y = column.y - _TITLE_ROOM_MM * text.shrink
    for row in block.rows:
        names, values, at = _cells(text, row, block.wide, column.width)
        for number, line in enumerate(names):
            text.line(line, column.left, y - size - number * line_mm, size, bold=block.wide, grey=0.25)
        for number, line in enumerate(values):
            text.line(line, column.left + at, y - size - number * line_mm, size, bold=row.strong)
        y -= _row_height(text, row, block.wide, column.width)
    column.y = y - BLOCK_GAP_MM * text.shrink


def _row_height(text: PdfText, row: SheetRow, wide: bool, width: float) -> float:
    names, values, _ = _cells(text, row, wide, width)
    return (max(len(names), len(values)) * LINE_MM + _ROW_GAP_MM) * text.shrink


def _cells(text: PdfText, row: SheetRow, wide: bool, width: float) -> tuple[list[str], list[str], float]:
    """Lines of the name and of the value, and where the value begins."""
    size = SIZE_MM * text.shrink
    at = (_WIDE_NAME_MM if wide else _NAME_SHARE * width) if row.name else 0.0
    names = text.wrapped(row.name, size, at - 2.0, wide) if row.name else []
    return names, text.wrapped(row.value, size, width - at, row.strong), at
