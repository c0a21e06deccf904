"""The installed Qt release survives what every window does."""

from __future__ import annotations

import subprocess
import sys

# PySide6 6.12.0 on Python 3.11 loses a reference to None with each call that returns nothing and aborts in
# none_dealloc after about 5,000 of them (measured; 6.8.3 to 6.11.3 are clean).
CALLS = """
from PySide6.QtCore import QObject
thing = QObject()
for number in range(20_000):
    thing.setObjectName("a")
print("alive")
"""


def test_twenty_thousand_calls_that_return_nothing() -> None:
    ended = subprocess.run([sys.executable, "-c", CALLS], capture_output=True, text=True, check=False)
    assert (ended.returncode, ended.stdout.strip()) == (0, "alive"), ended.stderr
