"""A picture's file as a motif for a design."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.basics.errors import InputError
from ringtex.basics.guarded_files import read_ordinary_file, shown_path
from ringtex.pattern.motif.import_motif import MAX_NAME, ImportedMotif, read_motif
from ringtex.pattern.motif.motif_options import MotifOptions
from ringtex.pattern.picture.grey_options import GreyOptions
from ringtex.pattern.picture.grey_reader import MAX_BYTES, picture_text, read_grey, reduced

ENDINGS: Final = (".png", ".tif", ".tiff")

WIDTH_MM: Final = 10.0
"""Of the page that a picture is taken for; only its proportion counts."""

BLEND: Final = 0.1
"""Of a repeat, where opposite borders do not meet."""

USUAL_JUMP: Final = 2.0
"""Opposite borders meet where they differ by no more than this many times the usual step between two pixels."""

ONCE_PROPORTION: Final = 3.0
"""Pictures at least so many times as long as high run once round the ring at first."""


def read_drawing_or_picture(path: Path) -> ImportedMotif:
    """The motif of a file, a picture by its name's ending. Raises: InputError as `read_picture` and `read_motif`."""
    return read_picture(path) if path.suffix.lower() in ENDINGS else read_motif(path)


def read_picture(path: Path) -> ImportedMotif:
    """The motif that a grey picture makes, with sentences on what was done to it.

    Raises: InputError in one sentence that names the file and the fault.
    """
    where = shown_path(path)
    samples = read_grey(read_ordinary_file(path, MAX_BYTES, "picture"), where)
    if samples.min() == samples.max():
        raise InputError("this picture is of one grey all over", "Use one with lights and darks", where)
    kept = reduced(samples)
    done = []
    if kept.shape != samples.shape:
        sizes = [f"{shape[1]:,} x {shape[0]:,}" for shape in (samples.shape, kept.shape)]
        done.append(f"the picture was reduced from {sizes[0]} to {sizes[1]} pixels")
    rows, columns = kept.shape
    once = columns >= ONCE_PROPORTION * rows
    grey = kept / float(np.iinfo(kept.dtype).max)
    open_borders = [
        f"{name} differ by {100.0 * jump:.0f} % of the greys"
        for name, jump, usual in (("left and right", *_jump(grey)), ("upper and lower", *_jump(grey.T)))
        if jump > USUAL_JUMP * usual + 0.01 and not (once and name.startswith("upper"))
    ]
    if open_borders:
        done.append(f"the picture's borders do not meet: {' and '.join(open_borders)}")
    options = GreyOptions(picture_text(kept), blend=BLEND if open_borders else 0.0, once=once)
    name = "".join(each for each in path.stem if each.isprintable())[:MAX_NAME]
    height_mm = min(max(WIDTH_MM * rows / columns, 1e-2), 1e4)
    return ImportedMotif(MotifOptions("", name, WIDTH_MM, height_mm, fit="page", grey=options), tuple(done))


def _jump(grey: Floats) -> tuple[float, float]:
    """Mean difference between the first and the last column, and between neighbouring ones."""
    return float(np.mean(np.abs(grey[:, 0] - grey[:, -1]))), float(np.mean(np.abs(np.diff(grey, axis=1))))
