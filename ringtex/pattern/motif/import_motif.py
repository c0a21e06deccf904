"""A drawing's file as a motif for a design."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from ringtex.basics.guarded_files import read_ordinary_file, shown_path
from ringtex.pattern.motif.motif_options import MotifOptions
from ringtex.pattern.motif.motif_outline import outline_of, outline_text
from ringtex.pattern.motif.svg_reader import MAX_BYTES, read_svg

MAX_NAME = 60


@dataclass(frozen=True)
class ImportedMotif:
    """A motif, and sentences on what its drawing had that was left out."""

    motif: MotifOptions
    left_out: tuple[str, ...]


def read_motif(path: Path) -> ImportedMotif:
    """The motif that an SVG file draws.

    Raises: InputError in one sentence that names the file and the element, for what cannot be used.
    """
    where = shown_path(path)
    drawing = read_svg(read_ordinary_file(path, MAX_BYTES, "drawing"), where)
    outline = outline_text(outline_of(drawing, where))
    name = "".join(each for each in path.stem if each.isprintable())[:MAX_NAME]
    return ImportedMotif(MotifOptions(outline, name, drawing.width_mm, drawing.height_mm), drawing.left_out)
