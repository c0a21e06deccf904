"""Stands in for a window that is killed: keeps changing a design and says each time when it is on disk.

Run as: python killed_window.py FOLDER
"""

from __future__ import annotations

import sys
import time
from dataclasses import replace
from pathlib import Path

from ringtex.basics.resources import resource
from ringtex.design.design_file import read_design
from ringtex.document.autosave import Autosave

design = read_design(resource("starting_design.ring.json"))
autosave = Autosave(Path(sys.argv[1]))
for number in range(10, 1000):
    edited = replace(design, pattern=replace(design.pattern, around=number))
    autosave.write(edited, Path("/rings/mine.ring.json"), "mine").result()
    print(number, flush=True)
    time.sleep(0.002)
