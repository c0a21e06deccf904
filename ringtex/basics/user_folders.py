"""Where this user's own files lie on each system, by the system's own conventions.

Sources: XDG Base Directory Specification 0.8 (Linux); Known Folders (Windows); File System Programming Guide (macOS).
"""

from __future__ import annotations

import os
import sys
from pathlib import Path


def data_folder(name: str) -> Path:
    """A folder for files that the user made and wants on other machines too."""
    return _own_folder(("APPDATA", "Roaming"), ("XDG_DATA_HOME", "share"), name)


def state_folder(name: str) -> Path:
    """A folder for what belongs to this machine and outlives the program."""
    return _own_folder(("LOCALAPPDATA", "Local"), ("XDG_STATE_HOME", "state"), name)


def _own_folder(windows: tuple[str, str], linux: tuple[str, str], name: str) -> Path:
    home = Path.home()
    if sys.platform == "win32":
        base = Path(os.environ.get(windows[0]) or home / "AppData" / windows[1])
    elif sys.platform == "darwin":
        base = home / "Library" / "Application Support"
    else:
        base = Path(os.environ.get(linux[0]) or home / ".local" / linux[1])
    return base / "ringtex" / name
