"""What the window remembers from one run to the next: layout, last folder, recent files, scales, light or dark."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Final

from PySide6.QtCore import QByteArray, QObject, QSettings, QStandardPaths, Signal

MAX_RECENT: Final = 10


class Preferences(QObject):
    """Kept in the user's own settings file; whatever is damaged or missing there reads as nothing remembered."""

    recent_changed = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._store = QSettings(QSettings.Format.IniFormat, QSettings.Scope.UserScope, "ringtex", "window")

    @property
    def folder(self) -> Path:
        """The folder used last; the user's documents at first."""
        kept = Path(self._text("folder"))
        if self._text("folder") and kept.is_dir():
            return kept
        documents = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.DocumentsLocation)
        return Path(documents) if documents and Path(documents).is_dir() else Path.home()

    def set_folder(self, folder: Path) -> None:
        """Remember the folder used last."""
        self._store.setValue("folder", str(folder))

    @property
    def recent(self) -> list[Path]:
        """Files opened or saved last, the newest first; those that are gone are left out."""
        return [Path(name) for name in self._texts("recent") if Path(name).is_file()]

    def opened(self, path: Path) -> None:
        """Remember a file that was opened or saved."""
        names = [str(path.absolute()), *self._texts("recent")]
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
