"""Pages of the PDF: what does not fit on one goes on the next, however long a row is."""

from __future__ import annotations

import io

import numpy as np
import pytest

from ringtex.export.sheet.drawing import Drawing, Path
from ringtex.export.sheet.sheet import Sheet, SheetBlock, SheetPicture, SheetRow
from ringtex.export.sheet.sheet_pdf import BOX_MM, draw_line, sheet_pdf

SQUARE = Drawing(182.0, 40.0, (Path((np.array([[0.0, 0.0], [40.0, 0.0], [40.0, 40.0]]),), closed=True, filled=True),))


def sheet(*blocks: SheetBlock) -> Sheet:
    picture = SheetPicture(np.full((8, 8, 3), 128, dtype=np.uint8), "Head")
    return Sheet("Band", "ISO 54", "", (picture,) * 4, SQUARE, SQUARE, blocks)


def pages(content: bytes) -> int:
    return content.count(b"/Type /Page\n")


def test_a_short_sheet_is_one_page() -> None:
    assert pages(sheet_pdf(sheet(SheetBlock("Weight", (SheetRow("As cast", "8 g"),))))) == 1


@pytest.mark.parametrize("wide", [False, True])
def test_a_row_taller_than_a_page_goes_on_over_the_next_pages(wide: bool) -> None:
    row = SheetRow("warning", "word " * 2000)
    content = sheet_pdf(sheet(SheetBlock("Findings", (row, row), wide)))
    assert 2 < pages(content) < 10
    assert content == sheet_pdf(sheet(SheetBlock("Findings", (row, row), wide)))


def test_a_word_wider_than_a_page_is_broken() -> None:
    assert pages(sheet_pdf(sheet(SheetBlock("Findings", (SheetRow("n" * 500, "w" * 9000),), True)))) >= 2


@pytest.mark.parametrize("title", ["", "W" * 400])
def test_a_title_of_any_length_is_set(title: str) -> None:
    from dataclasses import replace

    assert pages(sheet_pdf(replace(sheet(), title=title))) == 1


def test_a_line_that_is_too_long_ends_in_dots() -> None:
    from reportlab.pdfbase.pdfmetrics import stringWidth
    from reportlab.pdfgen.canvas import Canvas

    class Recorder(Canvas):  # type: ignore[misc]
        lines: list[str] = []  # noqa: RUF012

        def drawString(self, x: float, y: float, text: str, *_: object) -> None:  # noqa: N802
            self.lines.append(text)

    draw_line(Recorder(io.BytesIO()), "long " * 100, (0.0, 0.0), 4.0, max_mm=BOX_MM[0])
    assert Recorder.lines[0].endswith("...")
    assert stringWidth(Recorder.lines[0], "Helvetica", 4.0 * 72 / 25.4) <= BOX_MM[0] * 72 / 25.4
