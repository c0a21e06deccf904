"""`ringtex run`: one design over a list of finger sizes."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ringtex.band.finger_size import SCALES, FingerSize
from ringtex.basics.errors import InputError
from ringtex.basics.tolerances import FINAL_CHORD_MM

if TYPE_CHECKING:
    from ringtex.command.console import Console
    from ringtex.document.size_run import RunOptions, RunRow


def add_to(commands: Any) -> None:
    """Add this command to the parser's subcommands."""
    parser = commands.add_parser("run", help="one design over a list of finger sizes", allow_abbrev=False)
    parser.add_argument("design", help="the design file (*.ring.json)")
    parser.add_argument("--sizes", required=True, help='such as "48 50 52"; with commas where a size has a space')
    parser.add_argument("--scale", default="iso", help=f"the sizes' scale: {', '.join(SCALES)} (default: iso)")
    parser.add_argument("--keep", required=True, help="cells (their size; repeats change) or repeats (cells change)")
    parser.add_argument("--out-dir", required=True, metavar="FOLDER", help="where meshes and run.csv go")
    parser.add_argument("--format", default="stl", help="ending of the meshes, as for make --out (default: stl)")
    parser.add_argument("--tolerance", type=float, default=FINAL_CHORD_MM, metavar="MM", help="as for make")
    parser.add_argument("--workers", type=int, metavar="NUMBER", help="processes at a time (default: one a core)")
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace, console: Console) -> int:
    """Make every size: 0 where all are clean, 1 where one has errors or cannot be made.

    Raises: InputError for an unusable design or option; OutputError where the table cannot be written; Cancelled.
    """
    from ringtex.basics.progress import Progress
    from ringtex.command.console import stop_on_interrupt
    from ringtex.design.design_file import read_design
    from ringtex.document.size_run import TABLE_NAME, row_values, run_sizes, write_table

    options = _options(arguments)
    design = read_design(Path(arguments.design))
    progress = Progress(console.progress)
    with stop_on_interrupt(progress):
        rows = run_sizes(design, options, progress)
    table = write_table(rows, Path(arguments.out_dir))
    values = [row_values(row) for row in rows]
    console.clear()
    console.give({"keep": options.keep, "table": str(table), "seconds": progress.seconds, "rows": values})
    for line in table_lines(rows):
        console.say(line)
    console.say(f"Wrote {sum(bool(row.file) for row in rows)} rings and {TABLE_NAME} in {arguments.out_dir}")
    return 1 if any(row.errors or row.error for row in rows) else 0


def _options(arguments: argparse.Namespace) -> RunOptions:
    from ringtex.document.size_run import RunOptions
    from ringtex.export.mesh_files.mesh_files import format_of
    from ringtex.make_ring import refuse_tolerance

    ending = f".{arguments.format.lower().removeprefix('.')}"
    format_of(f"ring{ending}")
    refuse_tolerance(arguments.tolerance)
    if arguments.workers is not None and not 1 <= arguments.workers <= 256:
        raise InputError(f"{arguments.workers} processes cannot be used", "Give 1 to 256", "--workers")
    return RunOptions(
        sizes=_sizes(arguments.sizes, arguments.scale),
        keep=arguments.keep,
        folder=arguments.out_dir,
        endings=(ending,),
        stem=Path(arguments.design).name.split(".")[0] or "ring",
        tolerance_mm=arguments.tolerance,
        workers=arguments.workers,
    )


def _sizes(text: str, scale: str) -> tuple[FingerSize, ...]:
    """The sizes of the list. Raises: InputError that names the argument."""
    from ringtex.document.size_run import sizes_in

    try:
        return sizes_in(text, scale)
    except InputError as error:
        raise InputError(error.message, error.advice, "--scale" if "scale" in error.where else "--sizes") from None


def table_lines(rows: list[RunRow]) -> list[str]:
    """The table for a person."""
    from ringtex.document.size_run import found_words

    head = f"{'size':<12}{'round':>7}{'inside':>8}{'around':>8}{'across':>8}{'cell mm2':>10}{'cast g':>9}{'done g':>9}"
    lines = [f"{head}  {'findings':<22}file"]
    for row in rows:
        start = f"{row.size:<12}{row.circumference_mm:7.2f}{row.diameter_mm:8.2f}{row.around:8d}"
        if row.cells is None or row.cell_mm2 is None or row.as_cast_g is None or row.finished_g is None:
            lines.append(f"{start}  not made: {row.error}")
            continue
        made = f"{row.across:8d}{row.cell_mm2:10.3f}{row.as_cast_g:9.2f}{row.finished_g:9.2f}"
        lines.append(f"{start}{made}  {found_words(row):<22}{row.file or f'not written: {row.error}'}")
    lines += [f"{row.size}: {row.worst}." for row in rows if row.errors and row.worst]
    return lines
