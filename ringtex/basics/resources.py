"""Where the files lie that come with the program: in a checkout, and in an installed wheel."""

from __future__ import annotations

from pathlib import Path

from ringtex.basics.errors import InputError

_PACKAGE = Path(__file__).resolve().parent.parent


def resource_folder() -> Path:
    """The folder `resources`: beside the package in a checkout, inside it in an installed wheel."""
    installed = _PACKAGE / "_resources"
    return installed if installed.is_dir() else _PACKAGE.parent / "resources"


def demo_folder() -> Path:
    """The folder `demo_patterns`, likewise."""
    installed = _PACKAGE / "_resources" / "demo_patterns"
    return installed if installed.is_dir() else _PACKAGE.parent / "demo_patterns"


def resource(name: str) -> Path:
    """The path of one file of `resources`.

    Raises: InputError where the file is missing, which means a broken installation.
    """
    path = resource_folder() / name
    if not path.is_file():
        raise InputError(
            f"the file {name}, which belongs to the program, is missing", "Install ringtex again", str(path)
        )
    return path
