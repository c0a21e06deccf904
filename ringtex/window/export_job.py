"""One export: the ring built to its final tolerance, checked and written, in a thread of its own."""

from __future__ import annotations

import threading
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from PySide6.QtCore import QObject, Qt, Signal

from ringtex.basics.errors import RingtexError, SelfCheckError
from ringtex.basics.progress import Progress
from ringtex.checks.check_ring import Report
from ringtex.design.design import Design
from ringtex.document.ring_files import refuse_unsound, refuse_unusable_targets, write_files
from ringtex.make_ring import make_ring


@dataclass(frozen=True)
class ExportOrder:
    """What to export, frozen: later changes of the document do not reach it. picture is a PNG's name or None."""

    design: Design
    meshes: tuple[str, ...]
    picture: str | None
    tolerance_mm: float

    @property
    def files(self) -> tuple[str, ...]:
        """Every file that will be written."""
        return self.meshes if self.picture is None else (*self.meshes, self.picture)

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


class ExportJob(QObject):
    """Runs one order; its signals come in the window's thread."""

    progressed = Signal(str, float)
    done = Signal(object)
    """An ExportResult."""
    failed = Signal(object)
    """A RingtexError; Cancelled where the user stopped it. Nothing half-written is left behind."""

    def __init__(self, order: ExportOrder, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._order = order
        self._inner = _Signals()
        self._inner.progressed.connect(self.progressed, Qt.ConnectionType.QueuedConnection)
        self._inner.done.connect(self.done, Qt.ConnectionType.QueuedConnection)
        self._inner.failed.connect(self.failed, Qt.ConnectionType.QueuedConnection)
        self._progress = Progress(self._inner.progressed.emit)
        self._thread = threading.Thread(target=self._run, name="export", daemon=True)

    def start(self) -> None:
        """Begin."""
        self._thread.start()

    def cancel(self) -> None:
        """Stop at the next step; `failed` then tells Cancelled."""
        self._progress.cancel()

    @property
    def running(self) -> bool:
        """Whether it is at work."""
        return self._thread.is_alive()

    def stop(self, seconds: float = 10.0) -> bool:
        """Cancel and wait for the end. Gives False where it did not end in time."""
        self._progress.cancel()
        if self._thread.ident is not None:
            self._thread.join(seconds)
        return not self._thread.is_alive()

    def _run(self) -> None:
        try:
            self._inner.done.emit(export_ring(self._order, self._progress))
        except RingtexError as error:
            self._inner.failed.emit(error)
        except MemoryError:
            self._inner.failed.emit(RingtexError("There is not enough memory", "Choose a coarser tolerance"))
        except Exception as error:
            fault = SelfCheckError("The export failed: a fault of ringtex", "Nothing was replaced")
            fault.__cause__ = error
            self._inner.failed.emit(fault)


class _Signals(QObject):
    """Emitted in the worker's thread; it lives as long as the job."""

    progressed = Signal(str, float)
    done = Signal(object)
    failed = Signal(object)


def export_ring(order: ExportOrder, progress: Progress) -> ExportResult:
    """Build, check and write. Raises: InputError, OutputError, SelfCheckError, Cancelled."""
    refuse_unusable_targets(order.meshes, order.picture)
    built = make_ring(order.design, order.tolerance_mm, progress)
    refuse_unsound(built.report.findings)
    files = write_files(built, order.meshes, order.picture, progress)
    return ExportResult(order, files, len(built.finished.mesh.faces), built.report)


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
    scale = result.order.design.make.pattern_scale
    if scale != 1.0:
        said.append(f"Written {scale:.4f} times as large, for the shrinkage that the design asks for.")
    said.append(
        f"The checks found {len(found)} things to look at; the readings bar names them."
        if found
        else "The checks found nothing to object to."
    )
    return said
