"""What the window remembers from one run to the next: layout, last folder, recent files, scales, light or dark."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Final

from PySide6.QtCore import QByteArray, QObject, QSettings, QStandardPaths, Signal

from ringtex.basics.time_limit import files_within, within

MAX_RECENT: Final = 10
LOOK_SECONDS: Final = 0.5
"""What is remembered may lie on a drive that no longer answers: nobody waits for it longer than this."""


class Preferences(QObject):
    """Kept in the user's own settings file; whatever is damaged or missing there reads as nothing remembered."""

    recent_changed = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._store = QSettings(QSettings.Format.IniFormat, QSettings.Scope.UserScope, "ringtex", "window")
        self._gone: set[str] = set()

    @property
    def folder(self) -> Path:
        """The folder used last, where it answers in time; otherwise the user's documents, as at first."""
        documents = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.DocumentsLocation)
        return self._first_there(self._text("folder"), documents)

    @property
    def drawings(self) -> Path:
        """The folder that the last own drawing or picture came from; at first that of the designs."""
        kept = self._text("drawings")
        return self._first_there(kept) if kept else self.folder

    def set_drawings(self, folder: Path) -> None:
        """Remember the folder that a drawing or picture came from."""
        self._store.setValue("drawings", str(folder))

    def _first_there(self, *names: str) -> Path:
        """The first of these folders that answers in time, or the user's own."""
        for name in names:
            if name and name not in self._gone and within(LOOK_SECONDS, Path(name).is_dir, False):
                return Path(name)
            self._gone.add(name)
        return Path.home()

    def set_folder(self, folder: Path) -> None:
        """Remember the folder used last."""
        self._store.setValue("folder", str(folder))

    @property
    def recent(self) -> list[Path]:
        """Files opened or saved last, the newest first; those that are gone or do not answer are left out."""
        paths = [Path(name) for name in self._texts("recent") if name not in self._gone]
        found = files_within(LOOK_SECONDS, paths)
        self._gone.update(str(path) for path, there in found.items() if there is None)
        return [path for path in paths if found[path]]

    @property
    def unreachable(self) -> list[Path]:
        """Recent files of which nobody can tell whether they are there: a folder that may not be entered, a name that
        is too long, a drive that does not answer. They are left out until they are opened again."""
        return [Path(name) for name in self._texts("recent") if name in self._gone]

    def opened(self, path: Path) -> None:
        """Remember a file that was opened or saved."""
        names = [str(path.absolute()), *self._texts("recent")]
        self._gone -= {str(path.absolute()), str(path.absolute().parent)}
        self._store.setValue("recent", list(dict.fromkeys(names))[:MAX_RECENT])
        self.set_folder(path.absolute().parent)
        self.recent_changed.emit()

    @property
    def scales(self) -> list[str]:
        """The chosen finger size scales; empty where none were chosen yet."""
        return self._texts("scales")

    def set_scales(self, scales: Sequence[str]) -> None:
        """Remember the chosen scales."""
        self._store.setValue("scales", list(scales))

    @property
    def folded(self) -> list[str]:
        """Titles of the settings' sections that are folded away."""
        return self._texts("folded")

    def set_folded(self, titles: Sequence[str]) -> None:
        """Remember which sections are folded away."""
        self._store.setValue("folded", list(titles))

    @property
    def theme(self) -> str:
        """ "system", "light" or "dark"."""
        return self._text("theme") or "system"

    def set_theme(self, mode: str) -> None:
        """Remember light or dark."""
        self._store.setValue("theme", mode)

    @property
    def finish(self) -> str:
        """The finish shown last; empty for none."""
        return self._text("finish")

    def set_finish(self, finish: str) -> None:
        """Remember the finish shown."""
        self._store.setValue("finish", finish)

    @property
    def true_size(self) -> bool:
        """Whether the strip is drawn in true size."""
        return self._text("strip") == "true_size"

    def set_true_size(self, true_size: bool) -> None:
        """Remember the strip's look."""
        self._store.setValue("strip", "true_size" if true_size else "rectangle")

    @property
    def start_row_shown(self) -> bool:
        """Whether the row of starting points is in sight."""
        return self._text("start_row") != "hidden"

    def set_start_row_shown(self, shown: bool) -> None:
        """Remember whether the row is in sight."""
        self._store.setValue("start_row", "shown" if shown else "hidden")

    def layout(self, name: str) -> QByteArray | None:
        """Geometry or splitter state kept under a name; None for none."""
        kept = self._store.value(f"layout/{name}")
        return kept if isinstance(kept, QByteArray) else None

    def set_layout(self, name: str, state: QByteArray) -> None:
        """Keep a geometry or splitter state."""
        self._store.setValue(f"layout/{name}", state)

    def flush(self) -> None:
        """Write to disk now."""
        self._store.sync()

    def _text(self, key: str) -> str:
        kept = self._store.value(key)
        return kept if isinstance(kept, str) else ""

    def _texts(self, key: str) -> list[str]:
        kept = self._store.value(key)
        if isinstance(kept, str):
            return [kept] if kept else []
        return [text for text in kept if isinstance(text, str)] if isinstance(kept, list) else []
