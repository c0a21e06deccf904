"""One design in many finger sizes: the list of sizes, the run, and its table."""

from __future__ import annotations

import csv
import io
import math
import os
import signal
from collections.abc import Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from dataclasses import asdict, dataclass, replace
from multiprocessing import get_context
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, Protocol

from ringtex.band.finger_size import FingerSize, size_on
from ringtex.basics.errors import Cancelled, InputError, RingtexError
from ringtex.basics.guarded_files import refuse_unusable_folder
from ringtex.basics.known_names import unknown_name
from ringtex.basics.progress import Progress
from ringtex.basics.safe_files import write_text
from ringtex.basics.tolerances import FINAL_CHORD_MM
from ringtex.basics.worker_process import begin_worker, report
from ringtex.checks.finding import Level
from ringtex.checks.geometry.cell_measures import measure_cell_areas
from ringtex.design.design import Design
from ringtex.document.ring_files import StoppedPartway, refuse_unsound, refuse_unusable_targets, write_files
from ringtex.document.ring_weights import ring_weights
from ringtex.export.mesh_files.casting_pattern import casting_name
from ringtex.make_ring import BuiltRing, make_ring

if TYPE_CHECKING:
    from ringtex.basics.worker_process import Reports


WHOLE_SIZE_MM: Final = {"iso": 1.0, "us": math.pi * 25.4 * 0.032, "uk": 1.25, "jp": math.pi / 3.0, "it": 1.0}
"""What one whole size is more round the finger, by each scale's own definition (see `band/finger_size.py`)."""

MAX_SIZES: Final = 100


def sizes_in(text: str, scale: str) -> tuple[FingerSize, ...]:
    """The sizes in a list, parted by commas or, where there is none, by spaces.

    Raises: InputError with what the scale expects.
    """
    parts = text.split(",") if "," in text else text.split()
    return tuple(FingerSize(scale.lower(), part.strip()) for part in parts if part.strip())


def sizes_between(scale: str, first: str, last: str, step: float) -> tuple[FingerSize, ...]:
    """From one size to another of the same scale, every `step` whole sizes (0.5: half sizes); the last where it is met.

    Parameters:
        scale: of the finger sizes.
        first: first size.
        last: last size.
        step: in whole sizes; 0.5 for half sizes.
    Returns: the sizes.
    Raises: InputError for a size that the scale does not have, a step that is none, or too many sizes.
    """
    begin, end = FingerSize(scale, first).circumference_mm, FingerSize(scale, last).circumference_mm
    if not (math.isfinite(step) and step > 0.0):
        raise InputError(f"{step:g} is no step between sizes", "Give 1 for every size, 0.5 for half sizes", "--step")
    if end < begin:
        raise InputError("the last size is smaller than the first", "Give the smaller one first", "--sizes")
    stride = step * WHOLE_SIZE_MM[scale]
    count = math.floor((end - begin) / stride + 1e-6) + 1
    if count > MAX_SIZES:
        raise InputError(f"these are {count} sizes", f"Give at most {MAX_SIZES}: a larger step", "--sizes")
    return tuple(_at(scale, begin + number * stride) for number in range(count))


def _at(scale: str, circumference_mm: float) -> FingerSize:
    """The size with that circumference. Raises: InputError where it lies between the scale's sizes."""
    reading = size_on(scale, circumference_mm)
    if abs(reading.off_mm) < 1e-6:
        return FingerSize(scale, reading.mark)
    if scale in ("iso", "it"):
        return FingerSize(scale, f"{circumference_mm - (40.0 if scale == 'it' else 0.0):.9g}")
    raise InputError(
        f"the step leads to a size between {reading.mark} and the next", "Give a step that the scale has", "--step"
    )


def list_text(sizes: tuple[FingerSize, ...]) -> str:
    """The sizes as `sizes_in` reads them."""
    between = ", " if any(" " in size.value for size in sizes) else " "
    return between.join(size.value for size in sizes)


TABLE_NAME: Final = "run.csv"

FORMULA_STARTS: Final = ("=", "+", "-", "@", "\t", "\r")
"""Words in a table that begin so are read as a formula by spreadsheets (OWASP, "CSV injection")."""


def row_values(row: RunRow) -> dict[str, Any]:
    """A row as plain values."""
    return asdict(row)


def csv_text(rows: list[RunRow]) -> str:
    """The table as comma-separated values with one head line; empty where there is no value."""
    values = [row_values(row) for row in rows]
    stream = io.StringIO()
    writer = csv.DictWriter(stream, list(values[0]), lineterminator="\n")
    writer.writeheader()
    for row in values:
        writer.writerow({key: _cell(value) for key, value in row.items()})
    return stream.getvalue()


def _cell(value: object) -> object:
    """A value as a spreadsheet should take it: words that it would read as a formula stand behind an apostrophe."""
    if isinstance(value, float):
        return f"{value:.6g}"
    return f"'{value}" if isinstance(value, str) and value.startswith(FORMULA_STARTS) else value


def write_table(rows: list[RunRow], folder: Path) -> Path:
    """Write the table into the run's folder, in place of an older one. Raises: OutputError."""
    path = folder / TABLE_NAME
    write_text(path, csv_text(rows))
    return path


def found_words(row: RunRow) -> str:
    """Such as "1 error, 2 notes", or "clean"."""
    counted = ((row.errors, "error"), (row.warnings, "warning"), (row.notes, "note"))
    found = [f"{count} {name}{'s' if count != 1 else ''}" for count, name in counted if count]
    return ", ".join(found) or "clean"


KEEPS: Final = ("cells", "repeats")
"""cells: the cell keeps its size, the repeats round the ring change; repeats: the other way round."""

MIN_AROUND: Final = 3
_LOOK_SECONDS: Final = 0.2


@dataclass(frozen=True)
class RunOptions:
    """What to run and where to.

    sizes: finger sizes in the order wanted; keep: one of KEEPS; folder: where the meshes go, a folder that exists;
    endings: the mesh formats; stem: what the files' names begin with; tolerance_mm; workers: processes, None for one a
    core.
    Raises: InputError for sizes that are none, too many or given twice, or an unknown way to keep.
    """

    sizes: tuple[FingerSize, ...]
    keep: str
    folder: str
    endings: tuple[str, ...] = (".stl",)
    stem: str = "ring"
    tolerance_mm: float = FINAL_CHORD_MM
    workers: int | None = None

    def __post_init__(self) -> None:
        if not 1 <= len(self.sizes) <= MAX_SIZES:
            raise InputError(f"{len(self.sizes)} sizes were given", f"Give 1 to {MAX_SIZES}", "--sizes")
        labels = [size.label for size in self.sizes]
        twice = next((label for label in labels if labels.count(label) > 1), None)
        if twice is not None:
            raise InputError(f"{twice} is given twice", "Give each size once", "--sizes")
        if self.keep not in KEEPS:
            raise unknown_name(
                f"{self.keep!r} cannot be kept", self.keep, KEEPS, "--keep", f"Keep {' or '.join(KEEPS)}"
            )


@dataclass(frozen=True)
class RunRow:
    """One size of a run. Lengths mm, weights g; file: the names of what was written, with commas between; error: why
    there is no such ring, else empty."""

    size: str
    circumference_mm: float
    diameter_mm: float
    around: int
    across: int | None = None
    cells: int | None = None
    cell_mm2: float | None = None
    volume_mm3: float | None = None
    as_cast_g: float | None = None
    finished_g: float | None = None
    with_stones_g: float | None = None
    errors: int | None = None
    warnings: int | None = None
    notes: int | None = None
    worst: str = ""
    file: str = ""
    error: str = ""


class RunListener(Protocol):
    """Is told how each size of a run gets on; place is its number in the list. Called in the run's own thread."""

    def progressed(self, place: int, stage: str, fraction: float) -> None:
        """A size is being built: the stage at work and the fraction done.

        Parameters:
            place: index of the size in the run.
            stage: at work.
            fraction: of it that is done.
        """

    def finished(self, place: int, row: RunRow) -> None:
        """A size is done, or could not be made."""


def design_for(design: Design, size: FingerSize, keep: str) -> Design:
    """The design at another size.

    Keeping cells, the repeats round the ring change to the nearest whole number to the crown's length; a number of rows
    that was given stays, as the width does.

    Parameters:
        design: the design before the change.
        size: the other finger size.
        keep: `cells` or `repeats`.
    Returns: the design at that size.
    """
    sized = replace(design, size=size)
    if keep == "repeats" or size == design.size:
        return sized
    ratio = sized.make_band().crown_length / design.make_band().crown_length
    around = max(MIN_AROUND, abs(design.pattern.twist), round(design.pattern.around * ratio))
    return replace(sized, pattern=replace(design.pattern, around=around))


def run_sizes(
    design: Design, options: RunOptions, progress: Progress | None = None, listener: RunListener | None = None
) -> list[RunRow]:
    """Every size's ring built, checked and, where it is a sound body, written; rows in the order of the sizes.

    A size that cannot be built has its reason in its row and stops no other. Each file is whole or not there. Progress
    counts finished sizes.

    Parameters:
        design: the design to make.
        options: of the run.
        progress: told of the work and asked whether to stop.
        listener: told of each size.
    Returns: one row a size, in order.
    Raises: InputError where nothing can begin; Cancelled, the processes then being at an end.
    """
    progress = progress or Progress()
    folder = Path(options.folder)
    refuse_unusable_folder(folder, "--out-dir")
    jobs = [(design_for(design, size, options.keep), _files(options, size, design)) for size in options.sizes]
    refuse_unusable_targets([file for _, files in jobs for file in files], None)
    workers = max(1, min(len(jobs), options.workers or os.cpu_count() or 1))
    with progress.stage(f"{len(jobs)} sizes", 1.0):
        # A fresh interpreter each: forking a program that may have threads of its own is not safe.
        context = get_context("spawn")
        stop, reports = context.Event(), context.SimpleQueue()
        pool = ProcessPoolExecutor(workers, mp_context=context, initializer=begin_worker, initargs=(stop, reports))
        with _interrupt_held():
            futures = [
                pool.submit(made_size, sized, files, options.tolerance_mm, place)
                for place, (sized, files) in enumerate(jobs)
            ]
        try:
            _wait(futures, progress, reports, listener)
        except BaseException as error:
            stop.set()
            pool.shutdown(cancel_futures=True)
            raise _told(error, futures) from error
        pool.shutdown()
        return [future.result() for future in futures]


def files_of(design: Design, options: RunOptions) -> list[str]:
    """Every mesh that the run writes, size by size."""
    return [file for size in options.sizes for file in _files(options, size, design)]


def made_size(design: Design, files: tuple[str, ...], tolerance_mm: float, place: int = 0) -> RunRow:
    """One size, built, checked, written; runs in a process of its own.

    Parameters:
        design: the design at that size.
        files: to write.
        tolerance_mm: largest distance between mesh and true surface, mm.
        place: index of the size in the run.
    Returns: the size's row.
    Raises: Cancelled.
    """
    size = design.size
    progress = Progress(lambda stage, fraction: report(place, stage, fraction))
    row = RunRow(size.label, size.circumference_mm, size.diameter_mm, design.pattern.around)
    try:
        built = make_ring(design, tolerance_mm, progress)
        row = _measured(row, built)
        refuse_unsound(built.report.findings)
        written = write_files(built, files, None, progress)
    except Cancelled:
        raise
    except RingtexError as error:
        return replace(row, error=str(error))
    except Exception as error:
        # Whatever goes wrong with one size, the others are still wanted.
        reason = "there is not enough memory" if isinstance(error, MemoryError) else f"a fault of ringtex: {error}"
        return replace(row, error=f"This size could not be made ({reason})")
    return replace(row, file=", ".join(Path(each["file"]).name for each in written))


def _measured(row: RunRow, built: BuiltRing) -> RunRow:
    findings, weights, cells = built.report.findings, ring_weights(built), built.pattern.tiling.cells
    count = {level: sum(finding.level is level for finding in findings) for level in Level}
    return replace(
        row,
        around=built.pattern.around,
        across=built.pattern.across,
        cells=built.pattern.counted[0],
        cell_mm2=measure_cell_areas(built.solid, built.strip, cells, built.pattern.level).mean,
        volume_mm3=built.finished.mesh.volume,
        as_cast_g=weights.cast_g,
        finished_g=weights.finished_g,
        with_stones_g=weights.with_stones_g,
        errors=count[Level.ERROR],
        warnings=count[Level.WARNING],
        notes=count[Level.NOTE],
        worst=findings[0].message if findings else "",
    )


def _files(options: RunOptions, size: FingerSize, design: Design) -> tuple[str, ...]:
    """Such as "out/ring_iso_54.stl", marked where what is written is not the ring as drawn."""
    words = size.label.lower().replace("/", "-").replace(" ", "_")
    base = str(Path(options.folder) / f"{options.stem}_{words}")
    return tuple(casting_name(base + ending, design.make) for ending in options.endings)


def _wait(futures: list[Future[RunRow]], progress: Progress, reports: Reports, listener: RunListener | None) -> None:
    """Until all are done; looks every moment whether to stop, and passes on what the processes tell."""
    places = {future: place for place, future in enumerate(futures)}
    open_ones = set(futures)
    while open_ones:
        progress.report((len(futures) - len(open_ones)) / len(futures))
        done, open_ones = wait(open_ones, timeout=_LOOK_SECONDS, return_when=FIRST_COMPLETED)
        while not reports.empty():
            place, stage, fraction = reports.get()
            if listener is not None:
                listener.progressed(place, stage, fraction)
        for future in done:
            row = future.result()
            if listener is not None:
                listener.finished(places[future], row)


def _told(error: BaseException, futures: list[Future[RunRow]]) -> BaseException:
    """The error as a user must hear it: which files there are already, or that a process died."""
    if isinstance(error, BrokenProcessPool):
        message = "One of the run's processes was ended from outside"
        return RingtexError(message, "It may have been short of memory: use fewer --workers or a coarser --tolerance")
    ended = [f for f in futures if f.done() and not f.cancelled() and f.exception() is None]
    names = [future.result().file for future in ended if future.result().file]
    return StoppedPartway(names) if isinstance(error, Cancelled) and names else error


@contextmanager
def _interrupt_held() -> Iterator[None]:
    """Processes begun here never see Ctrl-C, which reaches the whole group: this one alone decides."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
