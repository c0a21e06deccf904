"""The user's own patterns in their folder: kept, found, renamed, removed; names that cannot be used are refused."""

from __future__ import annotations

from pathlib import Path

import pytest
from zoo import plain_design

from ringtex.basics.errors import InputError, OutputError
from ringtex.basics.progress import Progress
from ringtex.design.design_file import design_from_json, read_pattern
from ringtex.document.pattern_library import MAX_NAME, OwnPattern, PatternLibrary

DESIGN = design_from_json(plain_design(pattern={"family": "rhombille", "around": 12, "across": 2}))


def test_a_pattern_is_kept_found_renamed_and_removed(tmp_path: Path) -> None:
    library = PatternLibrary(tmp_path / "patterns")
    demos = len(library.patterns())
    kept = library.save(DESIGN, "  Tide marks ")
    kept.draw_picture(Progress())
    assert kept.picture.stat().st_size > 1000
    sheet = read_pattern(kept.path)
    assert (sheet.name, sheet.pattern, sheet.relief, sheet.rails) == (
        "Tide marks", DESIGN.pattern, DESIGN.relief, DESIGN.rails,
    )  # fmt: skip
    assert library.patterns("MARKS tide") == [kept]
    assert len(library.patterns()) == demos + 1
    renamed = library.rename(kept, "Ebb")
    assert (renamed.picture.exists(), kept.path.exists(), kept.picture.exists()) == (True, False, False)
    assert read_pattern(renamed.path).name == "Ebb"
    library.delete(renamed)
    assert len(library.patterns()) == demos
    assert list(library.folder.iterdir()) == []


@pytest.mark.parametrize("name", ["", "   ", "a/b", "..", "x" * (MAX_NAME + 1), "a\nb", 'say "no"'])
def test_names_that_no_file_can_have_are_refused(tmp_path: Path, name: str) -> None:
    with pytest.raises(InputError, match="cannot be the name"):
        PatternLibrary(tmp_path).save(DESIGN, name)


def test_a_taken_name_and_a_vanished_file_are_told(tmp_path: Path) -> None:
    library = PatternLibrary(tmp_path)
    with pytest.raises(OutputError, match="already a pattern"):
        library.save(DESIGN, "slate ROOF")
    with pytest.raises(OutputError):
        library.delete(OwnPattern("gone", tmp_path / "gone.pattern.json"))
