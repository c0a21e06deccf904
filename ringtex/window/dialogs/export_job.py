"""One export: the ring built to its final tolerance, checked and written."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ringtex.basics.errors import RingtexError
from ringtex.basics.progress import Progress
from ringtex.checks.check_ring import Report
from ringtex.checks.making.make_options import MakeOptions
from ringtex.design.design import Design
from ringtex.document.ring_files import (
    refuse_unsound,
    refuse_unusable_targets,
    with_written,
    write_files,
    write_stones,
)
from ringtex.document.workshop_sheet import refuse_unusable_sheet, write_sheet
from ringtex.export.mesh_files.casting_pattern import casting_sentence
from ringtex.make_ring import BuiltRing, make_ring


@dataclass(frozen=True)
class ExportOrder:
    """What to export, frozen: later changes of the document do not reach it.

    meshes, stones, picture, sheet: names of the files, None or empty for none; the meshes' names say already what is
    allowed for. stones: the stones apart, as a mesh. paper: the sheet's.
    """

    design: Design
    meshes: tuple[str, ...]
    picture: str | None
    tolerance_mm: float
    stones: str | None = None
    sheet: str | None = None
    paper: str = "a4"

    @property
    def files(self) -> tuple[str, ...]:
        """Every file that will be written."""
        more = (self.stones, self.picture, self.sheet)
        return (*self.meshes, *(name for name in more if name is not None))

    @property
    def replaced(self) -> list[str]:
        """Names of the files that are there already and would be replaced."""
        return [Path(name).name for name in self.files if Path(name).exists()]


@dataclass(frozen=True)
class ExportResult:
    """What was written: each file's name, format and size as `write_files` tells them, and the checks' report."""

    order: ExportOrder
    files: list[dict[str, Any]]
    triangles: int
    report: Report


def export_ring(order: ExportOrder, progress: Progress) -> ExportResult:
    """Build, check and write. Raises: InputError, OutputError, SelfCheckError, Cancelled."""
    stones = [order.stones] if order.stones is not None else []
    if order.meshes or order.picture is not None or stones or order.sheet is None:
        refuse_unusable_targets([*order.meshes, *stones], order.picture)
    if order.sheet is not None:
        refuse_unusable_sheet(order.sheet, order.paper)
    built = make_ring(order.design, order.tolerance_mm, progress)
    refuse_unsound(built.report.findings)
    files = write_files(built, order.meshes, order.picture, progress)
    try:
        if order.stones is not None:
            files.append(write_stones(built, order.stones, progress))
        if order.sheet is not None:
            files.append(_write_sheet(built, order.sheet, order.paper, progress))
    except RingtexError as error:
        raise with_written(error, [file["file"] for file in files]) from error
    return ExportResult(order, files, len(built.finished.mesh.faces), built.report)


def _write_sheet(built: BuiltRing, name: str, paper: str, progress: Progress) -> dict[str, Any]:
    with progress.stage("sheet", 1.0):
        size = write_sheet(built, name, paper, "", progress)
    return {"file": name, "format": "sheet", "bytes": size}


def allowance_sentence(make: MakeOptions) -> str:
    """What the files will be compared with the ring as drawn."""
    said = casting_sentence(make)
    if not said:
        return "As large as the finished ring: the design allows for no shrinkage and no polishing."
    return f"{said} The files' names say so."


def result_sentences(result: ExportResult) -> Sequence[str]:
    """What was written and what was checked, for a person."""
    places = [f"{Path(file['file']).name} ({file['format']}, {file['bytes'] / 1e6:.2f} MB)" for file in result.files]
    folder = Path(result.order.files[0]).absolute().parent
    found = result.report.findings
    said = [f"Wrote {', '.join(places)} in {folder}."]
    if result.order.meshes:
        said.append(
            f"Checked: {result.triangles:,} triangles, closed, one body, seam joined; every file read back equal."
        )
    if result.order.meshes and result.order.design.make.changes_export:
        said.append(casting_sentence(result.order.design.make))
    said.append(
        f"The checks found {len(found)} {'thing' if len(found) == 1 else 'things'} to look at, worst first in the "
        "window's last row."
        if found
        else "The checks found nothing to object to."
    )
    return said
