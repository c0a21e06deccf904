"""The patterns that can be put on a ring: those that come with the program, and the user's own in a folder."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from ringtex.basics.errors import InputError, OutputError
from ringtex.basics.safe_files import output_error
from ringtex.basics.user_folders import data_folder
from ringtex.design.design import Design
from ringtex.design.design_file import PatternSheet, read_pattern, write_pattern
from ringtex.document.starting_points import (
    PATTERN_ENDING,
    StartingPoint,
    demo_patterns,
    demo_rings,
)

MAX_NAME: Final = 60
FORBIDDEN: Final = '/\\:*?"<>|'
"""In a file's name on one system or another."""


def library_folder() -> Path:
    """Where this user's own patterns lie on this system."""
    return data_folder("patterns")


@dataclass(frozen=True)
class OwnPattern(StartingPoint):
    """A pattern that the user saved; its name is that of its file, spaces and all."""

    @property
    def title(self) -> str:
        """Its name."""
        return self.name

    @property
    def picture(self) -> Path:
        """Beside the pattern; the file may be missing."""
        return self.path.parent / f"{self.name}.png"


class PatternLibrary:
    """Every pattern that can be used, and the user's own kept in a folder."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def patterns(self, words: str = "") -> list[StartingPoint]:
        """The user's own by name, then those of the program, whose titles hold all of the words."""
        files = self.folder.glob(f"*{PATTERN_ENDING}") if self.folder.is_dir() else []
        own = [OwnPattern(file.name.removesuffix(PATTERN_ENDING), file) for file in files]
        every = [*sorted(own, key=lambda point: point.name.casefold()), *demo_patterns(), *demo_rings()]
        wanted = words.casefold().split()
        return [point for point in every if all(word in point.title.casefold() for word in wanted)]

    def save(self, design: Design, name: str) -> OwnPattern:
        """Keep the pattern, zones, relief and rails of a design under a name.

        Raises: InputError for a name that cannot be used or is taken; OutputError where it cannot be written.
        """
        point = self._free(name)
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise output_error(error, str(self.folder)) from None
        write_pattern(PatternSheet.of(design, point.name), point.path)
        return point

    def rename(self, point: OwnPattern, name: str) -> OwnPattern:
        """Give one of the user's own patterns another name; its picture goes with it.

        Raises: as `save`.
        """
        if name.strip() == point.name:
            return point
        renamed = self._free(name)
        write_pattern(replace(read_pattern(point.path), name=renamed.name), renamed.path)
        try:
            if point.picture.exists():
                point.picture.replace(renamed.picture)
            point.path.unlink()
        except OSError as error:
            raise output_error(error, str(point.path)) from None
        return renamed

    def delete(self, point: OwnPattern) -> None:
        """Remove one of the user's own patterns and its picture. Raises: OutputError where it cannot be removed."""
        try:
            point.path.unlink()
            point.picture.unlink(missing_ok=True)
        except OSError as error:
            raise output_error(error, str(point.path)) from None

    def _free(self, name: str) -> OwnPattern:
        """A pattern of this name that is not there yet."""
        name = name.strip()
        if not name or len(name) > MAX_NAME or name.startswith(".") or any(c in FORBIDDEN or ord(c) < 32 for c in name):
            message = f"{name!r} cannot be the name of a pattern"
            raise InputError(message, f"Give 1 to {MAX_NAME} characters without {' '.join(FORBIDDEN)}", "name")
        taken = {point.title.casefold() for point in self.patterns()}
        if name.casefold() in taken:
            raise OutputError(f"there is already a pattern called {name}", "Choose another name", name)
        return OwnPattern(name, self.folder / f"{name}{PATTERN_ENDING}")
