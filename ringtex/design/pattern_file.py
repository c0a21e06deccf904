"""Patterns with their relief and rails as `*.pattern.json` files, to be put on any band."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from ringtex.basics.errors import InputError
from ringtex.basics.safe_files import write_bytes
from ringtex.design.alternative_keys import with_one_wall_width
from ringtex.design.design import Design, check_name
from ringtex.design.edit_options import EditOptions
from ringtex.design.file_versions import PATTERN_KIND, current_version, old_key_names, upgraded
from ringtex.design.json_layout import laid_out
from ringtex.design.json_options import options_from_json, options_to_json
from ringtex.design.json_text import read_json_file
from ringtex.pattern.pattern_options import PatternOptions, RailOptions
from ringtex.relief.relief_options import ReliefOptions


@dataclass(frozen=True)
class PatternSheet:
    """What a pattern file holds: the part of a design that does not depend on the finger or the band."""

    name: str = ""
    pattern: PatternOptions = field(default_factory=PatternOptions)
    relief: ReliefOptions = field(default_factory=ReliefOptions)
    rails: RailOptions = field(default_factory=RailOptions)

    def __post_init__(self) -> None:
        check_name(self.name)

    def on(self, design: Design) -> Design:
        """The design with this pattern, relief and rails in place of its own; edits of single cells go with the old."""
        return replace(
            design, name=self.name, pattern=self.pattern, relief=self.relief, rails=self.rails, edits=EditOptions()
        )


def sheet_from_json(data: dict[str, Any]) -> PatternSheet:
    """The pattern that a JSON object of any known version describes.

    Raises: InputError whose `where` is the path of the key.
    """
    body = with_one_wall_width(upgraded(data, PATTERN_KIND))
    with old_key_names(data):
        return options_from_json(PatternSheet, body, "")


def sheet_to_json(sheet: PatternSheet) -> dict[str, Any]:
    """The pattern as the JSON object of the current version, every key written."""
    return {"kind": PATTERN_KIND, "version": current_version(PATTERN_KIND), **options_to_json(sheet)}


def read_pattern(path: Path) -> PatternSheet:
    """The pattern in a file.

    Raises: InputError in one sentence whose `where` is the path of the file and that of the key.
    """
    data = read_json_file(path)
    try:
        return sheet_from_json(data)
    except InputError as error:
        raise InputError(error.message, error.advice, f"{path}, {error.where}" if error.where else str(path)) from None


def write_pattern(sheet: PatternSheet, path: Path) -> None:
    """Write the pattern beside `path`, then replace: the same bytes for equal patterns.

    Raises: OutputError where it cannot be written; an old file stays as it was.
    """
    write_bytes(path, laid_out(sheet_to_json(sheet)).encode())
