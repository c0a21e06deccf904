"""The workshop sheet of a built ring: one to two pages to pin up, as PDF or HTML."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Literal

import numpy as np

from ringtex.basics.errors import InputError
from ringtex.basics.known_names import unknown_name
from ringtex.basics.progress import Progress
from ringtex.basics.safe_files import write_bytes
from ringtex.document import sheet_blocks
from ringtex.document.ring_files import refuse_unusable_place
from ringtex.document.sheet_blocks import making_block, weight_block
from ringtex.export.sheet.drawing import Drawing
from ringtex.export.sheet.flat_drawing import FlatMark, flat_drawing
from ringtex.export.sheet.relief_contour import relief_contour
from ringtex.export.sheet.ring_drawing import ring_drawing
from ringtex.export.sheet.sheet import Sheet, SheetBlock, SheetPicture, SheetRow
from ringtex.strip.true_size import true_size

if TYPE_CHECKING:
    from ringtex.make_ring import BuiltRing
    from ringtex.solid.mesh.ring_mesh import RingMesh

Paper = Literal["a4", "letter"]

PAPERS: Final = ("a4", "letter")
ENDINGS: Final = (".pdf", ".html")

PICTURE_PIXELS: Final = 520
"""Side of a picture, which is printed 43 mm wide: 300 dots an inch."""

_VIEWS: Final = (("head", "Head"), ("side", "Side, along the finger"), ("palm", "Palm side"))
MAX_DATE: Final = 40


def make_sheet(built: BuiltRing, date: str = "", progress: Progress | None = None) -> Sheet:
    """Everything on the sheet.

    Parameters:
        built: the ring as it was built.
        date: any short text for the corner; left out where it is empty.
        progress: told of the work and asked whether to stop.
    Returns: the sheet.
    Raises: InputError for a date that cannot be shown; Cancelled.
    """
    if len(date) > MAX_DATE or not date.isprintable():
        raise InputError("this date cannot be shown", f"Give at most {MAX_DATE} ordinary characters", "--date")
    progress = progress or Progress()
    design = built.design
    making = design.make
    subtitle = f"{design.size.label}, {making.material.name}, {making.way.words}"
    drawing = ring_drawing(built.finished.mesh, built.strip.band)
    return Sheet(
        title=design.name or "Ring without a name",
        subtitle=subtitle,
        date=date,
        pictures=_pictures(built, progress),
        drawing=drawing,
        flat=flat_pattern(built),
        blocks=_blocks(built),
    )


def write_sheet(
    built: BuiltRing, path: str, paper: str = "a4", date: str = "", progress: Progress | None = None
) -> int:
    """Write the sheet beside its target, then replace it; the ending picks PDF or HTML. Returns the bytes written.

    Parameters:
        built: the ring as it was built.
        path: the ending picks PDF or HTML.
        paper: "a4" or "letter".
        date: any short text for the corner; left out where it is empty.
        progress: told of the work and asked whether to stop.
    Returns: how many bytes were written.
    Raises: InputError for an unknown ending or paper; OutputError where it cannot be written; Cancelled.
    """
    refuse_unusable_sheet(path, paper)
    sheet = make_sheet(built, date, progress)
    if path.lower().endswith(".pdf"):
        from ringtex.export.sheet.sheet_pdf import sheet_pdf

        content = sheet_pdf(sheet, "letter" if paper == "letter" else "a4")
    else:
        from ringtex.export.sheet.sheet_html import sheet_html

        content = sheet_html(sheet).encode("utf-8")
    write_bytes(path, content)
    return len(content)


def refuse_unusable_sheet(path: str, paper: str) -> None:
    """Refuse before any work what would only fail after it. Raises: InputError."""
    if not path.lower().endswith(ENDINGS):
        raise InputError("a sheet's name must end in .pdf or .html", "Change the ending", path)
    if paper not in PAPERS:
        raise unknown_name(f"there is no paper {paper!r}", paper, PAPERS, "--paper", f"Use {' or '.join(PAPERS)}")
    refuse_unusable_place(path)


def _pictures(built: BuiltRing, progress: Progress) -> tuple[SheetPicture, ...]:
    from ringtex.export.picture.picture import render_picture
    from ringtex.export.picture.studio_light import material_of_alloy

    side, material = PICTURE_PIXELS, material_of_alloy(built.design.make.alloy)
    meshes = [(built.finished.mesh, view, caption) for view, caption in _VIEWS]
    meshes.append((_cut_open(built.finished.mesh), "section", "Cut from head to palm"))
    shown = []
    begin = progress.fraction
    for count, (mesh, view, caption) in enumerate(meshes):
        progress.report(begin + (1.0 - begin) * count / len(meshes))
        shown.append(SheetPicture(render_picture(mesh, None, side, side, view, material, progress), caption))
    return tuple(shown)


def _cut_open(mesh: RingMesh) -> RingMesh:
    """The half of the ring with x < 0, closed by the cut."""
    from ringtex.solid.mesh.booleans import as_manifold, from_manifold

    return from_manifold(as_manifold(mesh).trim_by_plane((-1.0, 0.0, 0.0), 0.0))


def flat_pattern(built: BuiltRing) -> Drawing:
    """The pattern laid flat, with stones and plain places."""
    strip = built.strip
    angles, marks = _flat_angles(built), _flat_marks(built)
    # The cells of own motifs, pictures and growth rings only carry depths.
    lines = None if built.pattern.motif is None else relief_contour(built.solid, strip.length)
    return flat_drawing(built.pattern.tiling, strip.width, true_size(strip), angles, marks, lines)


def _flat_angles(built: BuiltRing) -> list[tuple[float, str]]:
    """Where the strip has the head and the shoulders: it is not stretched evenly round the ring."""
    theta = np.radians([-90.0, 0.0, 90.0])
    u, _ = built.strip.from_band(theta, np.zeros(3))
    return list(zip(u.tolist(), ("-90°", "head", "90°"), strict=True))


def _flat_marks(built: BuiltRing) -> list[FlatMark]:
    """Plain places, and over them the stones by their numbers."""
    length, width = built.strip.length, built.strip.width
    marks = [
        FlatMark(place.u * length, place.v * width, place.half_mm, place.shape == "round", str(number))
        for number, place in enumerate(built.design.plain, start=1)
    ]
    for stone in (each.stone for each in built.finished.stones):
        half = stone.diameter_mm / 2.0
        marks.append(FlatMark(stone.u * length, stone.v * width, (half, half), True))
    return marks


def _blocks(built: BuiltRing) -> tuple[SheetBlock, ...]:
    size = sheet_blocks.size_block(built)
    extra = (sheet_blocks.outside_row(built), sheet_blocks.blank_row(built))
    rows: tuple[SheetRow, ...] = (*size.rows, *(row for row in extra if row is not None))
    stones = sheet_blocks.stones_block(built.finished.stones)
    chosen = (
        SheetBlock(size.title, rows),
        sheet_blocks.pattern_block(built),
        weight_block(built),
        making_block(built),
        stones,
        sheet_blocks.places_block(built),
        sheet_blocks.findings_block(built.report.findings),
        sheet_blocks.cautions_block(built),
    )
    return tuple(block for block in chosen if block is not None)
