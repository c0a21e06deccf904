"""The font files of this computer."""

from __future__ import annotations

import os
import sys
from functools import lru_cache
from pathlib import Path
from typing import Final

from PySide6.QtCore import QStandardPaths

ENDINGS: Final = (".ttf", ".otf")
MOST: Final = 400
"""A list that is longer is no list to choose from; other files are chosen by hand."""


def font_folders() -> list[Path]:
    """Where fonts are kept here, those that there are."""
    named = QStandardPaths.standardLocations(QStandardPaths.StandardLocation.FontsLocation)
    places = [Path(name) for name in named]
    if sys.platform == "win32":
        places.append(Path(os.environ.get("WINDIR", "C:/Windows")) / "Fonts")
    elif sys.platform == "darwin":
        places += [Path("/Library/Fonts"), Path("/System/Library/Fonts")]
    else:
        places += [Path("/usr/share/fonts"), Path("/usr/local/share/fonts")]
    return [place for place in dict.fromkeys(places) if place.is_dir()]


@lru_cache(maxsize=1)
def font_files() -> tuple[tuple[str, str], ...]:
    """(name, path) of each font file, in the order of their names; read once."""
    found: dict[str, str] = {}
    for folder in font_folders():
        for place, _, names in os.walk(folder):
            for name in names:
                stem, ending = os.path.splitext(name)
                if ending.lower() in ENDINGS:
                    found.setdefault(stem.replace("_", " "), str(Path(place) / name))
    return tuple(sorted(found.items(), key=lambda item: item[0].lower())[:MOST])
