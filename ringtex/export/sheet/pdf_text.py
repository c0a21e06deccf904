"""Lines of text on a PDF page, in millimetres."""

from __future__ import annotations

from typing import Any, Final

from ringtex.basics.caches import cached
from ringtex.basics.resources import resource

MM: Final = 72.0 / 25.4
"""Points in a millimetre."""

PLAIN: Final = "Helvetica"
BOLD: Final = "Helvetica-Bold"
"""Of the fonts that every PDF reader has; they hold the Latin letters of western Europe."""

WIDE: Final = "DejaVuSans"
"""The packaged font, put into the file where a line has other letters: Greek, Cyrillic and many more."""


class PdfText:
    """Writes on one canvas. shrink: how much smaller than usual its tables are set, where there is much to say."""

    def __init__(self, canvas: Any, shrink: float = 1.0) -> None:
        self._canvas = canvas
        self.shrink = shrink

    def line(
        self,
        text: str,
        x: float,
        y: float,
        size_mm: float,
        bold: bool = False,
        anchor: str = "start",
        grey: float = 0.0,
        most_mm: float | None = None,
    ) -> None:
        """One line whose foot is at (x, y); cut short with dots where it is longer than most_mm."""
        shown = text
        if most_mm is not None and self.width(shown, size_mm, bold) > most_mm:
            while len(shown) > 1 and self.width(shown + "...", size_mm, bold) > most_mm:
                shown = shown[:-1].rstrip()
            shown += "..."
        self._canvas.setFillGray(grey)
        self._canvas.setFont(font_for(shown, bold), size_mm * MM)
        draw = {"start": "drawString", "middle": "drawCentredString", "end": "drawRightString"}[anchor]
        getattr(self._canvas, draw)(x * MM, y * MM, shown)

    def width(self, text: str, size_mm: float, bold: bool = False) -> float:
        """Width of a line, mm."""
        return float(self._canvas.stringWidth(text, font_for(text, bold), size_mm * MM)) / MM

    def wrapped(self, text: str, size_mm: float, width_mm: float, bold: bool = False) -> list[str]:
        """The text in lines no wider than width_mm; a word that is too long alone is broken."""
        lines: list[str] = []
        line = ""
        for word in text.split():
            while self.width(word, size_mm, bold) > width_mm and len(word) > 1:
                cut = len(word)
                while cut > 1 and self.width(word[:cut], size_mm, bold) > width_mm:
                    cut -= 1
                lines += [line, word[:cut]] if line else [word[:cut]]
                line, word = "", word[cut:]
            longer = f"{line} {word}" if line else word
            if self.width(longer, size_mm, bold) <= width_mm:
                line = longer
            else:
                lines.append(line)
                line = word
        return [*lines, line] if line or not lines else lines


def font_for(text: str, bold: bool) -> str:
    """The name of the font that a line is set in; the packaged one is made known where it is needed."""
    try:
        text.encode("cp1252")
    except UnicodeEncodeError:
        return _packaged()
    return BOLD if bold else PLAIN


@cached(1)
def _packaged() -> str:
    from reportlab.pdfbase.pdfmetrics import registerFont
    from reportlab.pdfbase.ttfonts import TTFont

    registerFont(TTFont(WIDE, str(resource("fonts/DejaVuSans.ttf"))))
    return WIDE
