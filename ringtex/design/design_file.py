"""Whole designs as `*.ring.json` files; a pattern with its relief and rails as a `*.pattern.json` file."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from ringtex.basics.errors import InputError
from ringtex.basics.limits import LEFT_OUT_WHEN_EMPTY
from ringtex.basics.safe_files import write_bytes
from ringtex.design.alternative_keys import diameters_given, with_one_wall_width
from ringtex.design.design import Design, check_name
from ringtex.design.edit_options import EditOptions
from ringtex.design.file_versions import DESIGN_KIND, PATTERN_KIND, current_version, old_key_names, upgraded
from ringtex.design.json_options import options_from_json, options_to_json
from ringtex.design.json_text import laid_out, read_json_file
from ringtex.pattern.panels.panel_options import Panel, check_panels
from ringtex.pattern.pattern_options import PatternOptions, RailOptions
from ringtex.pattern.zone_options import ZoneOptions, check_zones
from ringtex.relief.relief_options import ReliefOptions


@dataclass(frozen=True)
class PatternSheet:
    """What a pattern file holds: the part of a design that does not depend on the finger or the band."""

    name: str = ""
    pattern: PatternOptions = field(default_factory=PatternOptions)
    relief: ReliefOptions = field(default_factory=ReliefOptions)
    rails: RailOptions = field(default_factory=RailOptions)
    zones: tuple[ZoneOptions, ...] = field(default=(), metadata=LEFT_OUT_WHEN_EMPTY)
    panels: tuple[Panel, ...] = field(default=(), metadata=LEFT_OUT_WHEN_EMPTY)

    def __post_init__(self) -> None:
        check_name(self.name)
        check_zones(self.zones, self.pattern)
        check_panels(self.panels, self.pattern, bool(self.zones))

    def on(self, design: Design) -> Design:
        """The design with this pattern, zones, panels, relief and rails in place of its own; edits of single cells go
        with the old."""
        return replace(
            design,
            name=self.name,
            pattern=self.pattern,
            zones=self.zones,
            panels=self.panels,
            relief=self.relief,
            rails=self.rails,
            edits=EditOptions(),
        )

    @staticmethod
    def of(design: Design, name: str) -> PatternSheet:
        """What a pattern file keeps of a design, under a name."""
        return PatternSheet(name, design.pattern, design.relief, design.rails, design.zones, design.panels)


def sheet_from_json(data: dict[str, Any]) -> PatternSheet:
    """The pattern that a JSON object of any known version describes.

    Raises: InputError whose `where` is the path of the key.
    """
    body = with_one_wall_width(upgraded(data, PATTERN_KIND))
    with old_key_names(data):
        return options_from_json(PatternSheet, body, "")


def read_pattern(path: Path) -> PatternSheet:
    """The pattern in a file.

    Raises: InputError in one sentence whose `where` is the path of the file and that of the key.
    """
    data = read_json_file(path)
    with _path_before_key(path):
        return sheet_from_json(data)


def write_pattern(sheet: PatternSheet, path: Path) -> None:
    """Write the pattern beside `path`, then replace.

    Raises: OutputError where it cannot be written; an old file stays as it was.
    """
    body = options_to_json(sheet)
    made = {"kind": PATTERN_KIND, "version": current_version(PATTERN_KIND), "name": body.pop("name"), **body}
    write_bytes(path, laid_out(made).encode())


def design_from_json(data: dict[str, Any]) -> Design:
    """The design that a JSON object of any known version describes.

    Raises: InputError whose `where` is the path of the key.
    """
    body = with_one_wall_width(upgraded(data, DESIGN_KIND))
    with old_key_names(data):
        return options_from_json(Design, diameters_given(body), "")


def design_to_json(design: Design) -> dict[str, Any]:
    """The design as the JSON object of the current version, every key written."""
    body = options_to_json(design)
    return {"kind": DESIGN_KIND, "version": current_version(DESIGN_KIND), "name": body.pop("name"), **body}


def read_design(path: Path) -> Design:
    """The design in a file.

    Raises: InputError in one sentence whose `where` is the path of the file and that of the key.
    """
    data = read_json_file(path)
    with _path_before_key(path):
        return design_from_json(data)


def write_design(design: Design, path: Path) -> None:
    """Write the design beside `path`, then replace: the same bytes for equal designs.

    Raises: OutputError where it cannot be written; an old file stays as it was.
    """
    write_bytes(path, laid_out(design_to_json(design)).encode())


@contextmanager
def _path_before_key(path: Path) -> Iterator[None]:
    try:
        yield
    except InputError as error:
        raise InputError(error.message, error.advice, f"{path}, {error.where}" if error.where else str(path)) from None
