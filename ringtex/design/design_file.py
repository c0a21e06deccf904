"""Whole designs as `*.ring.json` files."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from ringtex.basics.errors import InputError
from ringtex.basics.safe_files import write_bytes
from ringtex.design.alternative_keys import diameters_given, with_one_wall_width
from ringtex.design.design import Design
from ringtex.design.file_versions import DESIGN_KIND, current_version, old_key_names, upgraded
from ringtex.design.json_layout import laid_out
from ringtex.design.json_options import options_from_json, options_to_json
from ringtex.design.json_text import read_json_file


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
    try:
        return design_from_json(data)
    except InputError as error:
        raise InputError(error.message, error.advice, f"{path}, {error.where}" if error.where else str(path)) from None


def write_design(design: Design, path: Path) -> None:
    """Write the design beside `path`, then replace: the same bytes for equal designs.

    Raises: OutputError where it cannot be written; an old file stays as it was.
    """
    write_bytes(path, laid_out(design_to_json(design)).encode())
