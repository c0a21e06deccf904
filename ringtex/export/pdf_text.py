"""Lines of text on a PDF page, in millimetres."""

from __future__ import annotations

from typing import Any, Final

MM: Final = 72.0 / 25.4
"""Points in a millimetre."""

PLAIN: Final = "Helvetica"
BOLD: Final = "Helvetica-Bold"
"""Of the fonts that every PDF reader has; they hold the Latin letters of western Europe."""


class PdfText:
    """Writes on one canvas."""

    def __init__(self, canvas: Any) -> None:
        self._canvas = canvas

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
        shown = known(text)
        if most_mm is not None:
            while len(shown) > 1 and self.width(shown, size_mm, bold) > most_mm:
                shown = shown[:-4].rstrip() + "..."
        self._canvas.setFillGray(grey)
        self._canvas.setFont(BOLD if bold else PLAIN, size_mm * MM)
        draw = {"start": "drawString", "middle": "drawCentredString", "end": "drawRightString"}[anchor]
        getattr(self._canvas, draw)(x * MM, y * MM, shown)

    def width(self, text: str, size_mm: float, bold: bool = False) -> float:
        """Width of a line, mm."""
        return float(self._canvas.stringWidth(known(text), BOLD if bold else PLAIN, size_mm * MM)) / MM

    def wrapped(self, text: str, size_mm: float, width_mm: float, bold: bool = False) -> list[str]:
        """The text in lines no wider than width_mm; a word that is too long alone is broken."""
        lines: list[str] = []
        line = ""
        for word in known(text).split():
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


def known(text: str) -> str:
    """The text with a question mark for each letter that the fonts do not have (the HTML sheet shows them all)."""
    return text.encode("cp1252", "replace").decode("cp1252")
