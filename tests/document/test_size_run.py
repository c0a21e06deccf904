"""Size runs: what is kept, what is written, what stops what."""

from __future__ import annotations

import csv
import io
import math
from pathlib import Path

import pytest
from zoo import DOME, plain_design

from ringtex.band.finger_size import FingerSize
from ringtex.basics.errors import Cancelled, InputError
from ringtex.basics.progress import Progress
from ringtex.design.design_file import design_from_json
from ringtex.document.ring_files import write_files
from ringtex.document.size_run import RunOptions, RunRow, csv_text, design_for, made_size, run_sizes
from ringtex.make_ring import make_ring

EVEN = {"around": 24, "across": 4}


def iso(*values: str) -> tuple[FingerSize, ...]:
    return tuple(FingerSize("iso", value) for value in values)


def test_cells_keep_their_size_as_nearly_as_whole_numbers_allow() -> None:
    """Crown length 54 + 2 pi 1.6 = 64.05 for 24 cells: 2.669 each; at 48 that asks for 21.75, at 60 for 26.25."""
    design = design_from_json(plain_design(pattern=EVEN))
    pitch = (54.0 + 2.0 * math.pi * 1.6) / 24.0
    for value, around in (("48", 22), ("54", 24), ("60", 26)):
        sized = design_for(design, *iso(value), "cells")
        assert sized.pattern.around == around == round((float(value) + 2.0 * math.pi * 1.6) / pitch)
        assert sized.size.circumference_mm == float(value)
        assert design_for(design, *iso(value), "repeats").pattern.around == 24


def test_few_repeats_and_twists_are_not_gone_under() -> None:
    few = design_from_json(plain_design(pattern={"around": 3, "across": 2}))
    assert design_for(few, *iso("40"), "cells").pattern.around == 3
    twisted = design_from_json(plain_design(pattern={"around": 6, "across": 2, "twist": 6}))
    assert design_for(twisted, *iso("40"), "cells").pattern.around == 6


def test_every_size_is_written_as_make_would_and_told_in_its_row(tmp_path: Path) -> None:
    design = design_from_json(plain_design(pattern=EVEN, make={"shrinkage_percent": 2}))
    rows = run_sizes(design, RunOptions(iso("50", "58"), "cells", str(tmp_path), workers=2))
    assert [row.size for row in rows] == ["ISO 50", "ISO 58"]
    assert [row.file for row in rows] == ["ring_iso_50_scaled_2pct.stl", "ring_iso_58_scaled_2pct.stl"]
    built = make_ring(design_for(design, *iso("58"), "cells"))
    write_files(built, [str(tmp_path / "one.stl")], None, Progress())
    assert (tmp_path / rows[1].file).read_bytes() == (tmp_path / "one.stl").read_bytes()
    assert rows[1].volume_mm3 == built.finished.mesh.volume
    assert (rows[1].errors, rows[1].error) == (0, "")
    # Each is off by at most half a repeat in about 22.
    assert rows[0].cell_mm2 == pytest.approx(rows[1].cell_mm2, rel=2.0 * 0.5 / 22.0)
    assert not list(tmp_path.glob(".ringtex*"))


def test_a_size_that_cannot_be_made_stops_no_other(tmp_path: Path) -> None:
    """28 stones 2 mm apart are 56 mm: too long a row for the outside of ISO 44, 54.1 mm."""
    stone = {"u": 0.5, "v": 0.5, "diameter": 1.2, "collar": 0.2}
    row = {"count": 28, "spacing": 2.0, "stone": stone}
    design = design_from_json(plain_design(pattern=EVEN, stones=[row]))
    options = RunOptions(iso("44", "56"), "repeats", str(tmp_path), tolerance_mm=0.02, workers=2)
    small, large = run_sizes(design, options)
    assert "stones" in small.error
    assert (small.file, small.cells) == ("", None)
    assert large.cells == 96


def test_a_relief_through_the_bore_is_checked_and_not_written(tmp_path: Path) -> None:
    body = plain_design(pattern=EVEN, relief={"form": "sunk", "depth": 1.0})
    body["band"]["stations"][0] |= {"height": 0.8, "edge_height": 0.8}
    row = made_size(design_from_json(body), (str(tmp_path / "a.stl"),), 0.02)
    assert row.errors
    assert row.error
    assert not list(tmp_path.iterdir())


def test_it_can_be_stopped(tmp_path: Path) -> None:
    progress = Progress()
    progress.cancel()
    design = design_from_json(plain_design(band=DOME, pattern={"around": 24}))
    with pytest.raises(Cancelled):
        run_sizes(design, RunOptions(iso("50", "58"), "cells", str(tmp_path), workers=1), progress)
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize(
    ("sizes", "keep", "where"),
    [((), "cells", "--sizes"), (("54", "54.0"), "cells", "--sizes"), (("54",), "both", "--keep")],
)
def test_bad_options_are_refused(sizes: tuple[str, ...], keep: str, where: str) -> None:
    with pytest.raises(InputError) as refused:
        RunOptions(iso(*sizes), keep, ".")
    assert refused.value.where == where


def test_a_missing_folder_is_refused(tmp_path: Path) -> None:
    options = RunOptions(iso("54"), "cells", str(tmp_path / "none"))
    with pytest.raises(InputError, match="no folder"):
        run_sizes(design_from_json(plain_design()), options)


@pytest.mark.parametrize("start", ["=", "+", "-", "@"])
def test_no_name_in_the_table_is_a_formula(start: str) -> None:
    """As OWASP's page on CSV injection has it: an apostrophe before what a spreadsheet would reckon out."""
    row = RunRow("ISO 54", 54.0, 17.19, 24, file=f"{start}1+1_iso_54.stl", volume_mm3=-0.5)
    (cells,) = csv.DictReader(io.StringIO(csv_text([row])))
    assert cells["file"] == f"'{start}1+1_iso_54.stl"
    assert cells["volume_mm3"] == "-0.5"
