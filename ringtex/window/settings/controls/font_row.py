"""The font of the inscription: the one that comes with the program, or a file of this computer."""

from __future__ import annotations

import os
import sys
from functools import lru_cache
from pathlib import Path
from typing import Final

from PySide6.QtCore import QStandardPaths, Qt
from PySide6.QtWidgets import QComboBox, QCompleter, QFileDialog, QLabel, QLineEdit, QWidget

from ringtex.edits.design_keys import has_key
from ringtex.solid.finishing.inscription_options import PACKAGED_FONT
from ringtex.window.settings.controls.basic_rows import NoWheelComboBox
from ringtex.window.settings.controls.setting_row import SettingRow
from ringtex.window.settings.design_editor import DesignEditor

ENDINGS: Final = (".ttf", ".otf")


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
    return tuple(sorted(found.items(), key=lambda item: item[0].lower()))


PACKAGED_NAME: Final = "DejaVu Sans, comes with ringtex"
OTHER: Final = "Another file ..."
HINT: Final = "Type to search. DejaVu Sans is the same everywhere; another font must be a .ttf or .otf file there too"


class FontBox(NoWheelComboBox):
    """Lists this computer's fonts when it is first opened; typed letters search for names that contain them."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._complete = False
        self.setMaxVisibleItems(16)
        self.setEditable(True)
        self.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
        line, completer = QLineEdit(self), QCompleter(self.model(), self)
        self.setLineEdit(line)
        completer.setFilterMode(Qt.MatchFlag.MatchContains)
        completer.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
        self.setCompleter(completer)
        line.textEdited.connect(self._search)
        line.editingFinished.connect(lambda: self.setEditText(self.itemText(self.currentIndex())))
        self.show_font(PACKAGED_FONT)

    def showPopup(self) -> None:  # noqa: N802 - Qt's name
        """List every font."""
        self.complete()
        super().showPopup()

    def _search(self, text: str) -> None:
        if not self._complete:
            self.complete()
            self.setEditText(text)

    def complete(self) -> None:
        """List every font of this computer."""
        if not self._complete:
            self._complete = True
            self.show_font(str(self.currentData()))

    def show_font(self, font: str) -> None:
        """Show a font as chosen."""
        known = [(PACKAGED_NAME, PACKAGED_FONT)]
        files = font_files() if self._complete else ()
        if font != PACKAGED_FONT and font not in [path for _, path in files]:
            known.append((Path(font).stem, font))
        wanted = [*known, *files, (OTHER, OTHER)]
        if [self.itemData(place) for place in range(self.count())] != [path for _, path in wanted]:
            self.clear()
            for name, path in wanted:
                self.addItem(name, path)
        self.setCurrentIndex(self.findData(font))


class FontRow(SettingRow):
    """Chooses the font's key of the design."""

    def __init__(self, key: str, editor: DesignEditor, parent: QWidget) -> None:
        super().__init__(key, key.split(".", maxsplit=1)[0], parent)
        self._editor = editor
        name = QLabel("Font", self)
        self.box = FontBox(self)
        self.box.setAccessibleName("Font")
        self.box.setAccessibleDescription(HINT)
        name.setBuddy(self.box)
        self.setToolTip(HINT)
        self.line.addWidget(name)
        self.line.addWidget(self.box, 1)
        self.box.activated.connect(self._choose)

    def refresh(self) -> None:
        """Show the design's font."""
        if has_key(self._editor.design, self.key):
            self.box.show_font(self._editor.value(self.key))
            self.clear_explanation()

    def matches_design(self) -> bool:
        """Whether the box shows the design's font."""
        return bool(self.box.currentData() == self._editor.value(self.key))

    def _choose(self, place: int) -> None:
        font = self.box.itemData(place)
        if font == OTHER:
            self.refresh()
            self._ask()
        else:
            self.take(font)

    def _ask(self) -> None:
        folders = font_folders()
        start = str(folders[0]) if folders else ""
        dialog = QFileDialog(self, "Font for the inscription", start, "Fonts (*.ttf *.otf *.TTF *.OTF)")
        dialog.setFileMode(QFileDialog.FileMode.ExistingFile)
        dialog.fileSelected.connect(self.take)
        dialog.open()

    def take(self, font: str) -> None:
        """Write in another font."""
        error = self._editor.set_value(self.key, font, "change the font")
        self.refresh()
        if error is not None:
            self.explain(error)
