"""The table of a size run: as comma-separated values, and in words."""

from __future__ import annotations

import csv
import io
from dataclasses import asdict
from pathlib import Path
from typing import Any, Final

from ringtex.basics.safe_files import write_text
from ringtex.document.size_run import RunRow

TABLE_NAME: Final = "run.csv"


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
        writer.writerow({key: f"{value:.6g}" if isinstance(value, float) else value for key, value in row.items()})
    return stream.getvalue()


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
