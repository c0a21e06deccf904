"""A fault of the program itself: one line for the user, the details in a file."""

from __future__ import annotations

import os
import platform
import sys
import tempfile
import traceback

from ringtex import __version__

ENVIRONMENT_FLAG = "RINGTEX_TRACEBACK"
"""Set to anything, a fault raises as usual instead; for whoever works on the program."""


def fault_sentence(error: Exception) -> str:
    """One line about an unexpected exception, its details saved in a file of the temporary folder."""
    summary = f"{type(error).__name__}: {error}".splitlines()[0][:200]
    details = "".join(traceback.format_exception(error))
    text = f"ringtex {__version__}, Python {platform.python_version()}, {platform.platform()}\n{sys.argv}\n\n{details}"
    try:
        handle, path = tempfile.mkstemp(prefix="ringtex-fault-", suffix=".txt")
        with os.fdopen(handle, "w", encoding="utf-8", errors="backslashreplace") as stream:
            stream.write(text)
    except OSError:
        return f"This is a fault of ringtex ({summary}); its details could not be saved."
    return f"This is a fault of ringtex ({summary}). Please report it with the details saved in {path}."
