"""A drawing's file as a motif for a design."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from shapely.geometry import MultiPolygon

from ringtex.basics.guarded_files import read_ordinary_file, shown_path
from ringtex.pattern.motif.motif_options import MotifOptions
from ringtex.pattern.motif.motif_outline import outline_of, outline_text
from ringtex.pattern.motif.svg_reader import MAX_BYTES, SvgDrawing, read_svg

MAX_NAME = 60


@dataclass(frozen=True)
class ImportedMotif:
    """A motif, sentences on what of its drawing was left out, and one on what became of the rest (may be empty)."""

    motif: MotifOptions
    left_out: tuple[str, ...]
    made: str = ""


def read_motif(path: Path) -> ImportedMotif:
    """The motif that an SVG file draws.

    Raises: InputError in one sentence that names the file and the element, for what cannot be used.
    """
    where = shown_path(path)
    drawing = read_svg(read_ordinary_file(path, MAX_BYTES, "drawing"), where)
    area = outline_of(drawing, where)
    name = "".join(each for each in path.stem if each.isprintable())[:MAX_NAME]
    motif = MotifOptions(outline_text(area), name, drawing.width_mm, drawing.height_mm)
    return ImportedMotif(motif, drawing.left_out, _made_of(drawing, area))


def _made_of(drawing: SvgDrawing, area: MultiPolygon) -> str:
    """How many fills and strokes became how many parts; "" for one that stayed as it is."""
    counts = (
        ("fill", sum(shape.rule is not None and not shape.white for shape in drawing.shapes)),
        ("stroke", sum(shape.rule is None and not shape.white for shape in drawing.shapes)),
    )
    dark = " and ".join(_counted(count, noun) for noun, count in counts if count)
    white = sum(shape.white for shape in drawing.shapes)
    parts = list(area.geoms)
    holes = sum(len(part.interiors) for part in parts)
    made = _counted(len(parts), "part") + (f" with {_counted(holes, 'hole')}" if holes else "")
    taken = f", less {_counted(white, 'white shape')}" if white else ""
    painted = sum(count for _, count in counts)
    if painted == 1 and not white and len(parts) == 1:
        return ""
    joined = "; what crosses is joined" if painted > 1 else ""
    return f"{dark}{taken} {'makes' if painted == 1 else 'make'} one outline of {made}{joined}"


def _counted(count: int, noun: str) -> str:
    return f"{count} {noun}{'' if count == 1 else 's'}"
