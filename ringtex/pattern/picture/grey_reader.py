"""Grey pictures from PNG and TIFF files, 8 and 16 bit, and as the text that a design keeps."""

from __future__ import annotations

import base64
import binascii
import io
import warnings
from typing import Any, Final

import numpy as np

from ringtex.basics.arrays import Floats
from ringtex.basics.errors import InputError

MAX_BYTES: Final = 60_000_000
"""Of a picture's file: 25 million samples of 16 bits take 50 MB unpacked."""

MAX_READ_PIXELS: Final = 25_000_000
"""Looked at before anything is unpacked: some 100 MB of memory and a second."""

MAX_KEPT_PIXELS: Final = 1_000_000
"""In a design: 2,000 x 500 is a pixel of 0.03 mm round a usual ring, about a printer's own."""

MAX_TEXT: Final = 3_000_000
"""A million samples of 16 bits of noise, which do not deflate, in base64."""

_REFUSED: Final = {
    "P": "a palette of colours", "PA": "a palette of colours", "RGB": "colours", "RGBA": "colours and transparency",
    "RGBX": "colours", "LA": "transparency", "La": "transparency", "CMYK": "printing colours (CMYK)", "LAB": "colours",
    "YCbCr": "colours", "HSV": "colours", "I": "samples of 32 bits", "F": "fractional samples",
}  # fmt: skip


def read_grey(content: bytes, where: str, max_pixels: int = MAX_READ_PIXELS) -> np.ndarray[Any, Any]:
    """The samples of a grey PNG or TIFF picture.

    Parameters:
        content: the file's bytes.
        where: names the file in errors.
        max_pixels: the most that is unpacked.
    Returns: (rows, columns) uint8 or uint16, the first row at the top.
    Raises: InputError in one sentence that names the fault.
    """
    from PIL import Image

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # Of too many pixels; they are refused below.
            picture = Image.open(io.BytesIO(content), formats=("PNG", "TIFF"))
            _refuse(picture, where, max_pixels)
            samples = np.asarray(picture.convert("L") if picture.mode == "1" else picture)
    except InputError:
        raise
    except Image.DecompressionBombError:
        raise _too_many("over 178 million", where, max_pixels) from None
    except Exception as error:  # Damaged files make the reader raise nearly anything.
        message = "this is not a whole PNG or TIFF picture"
        if "truncated" in str(error):
            message = "this picture ends too early: its file is truncated"
        raise InputError(message, "Save it anew as a grey PNG of 8 or 16 bits", where) from None
    return np.asarray(samples.astype(np.uint8 if samples.dtype.itemsize == 1 else np.uint16))


def _refuse(picture: Any, where: str, max_pixels: int) -> None:
    columns, rows = picture.size
    if columns * rows > max_pixels:
        raise _too_many(f"{columns:,} x {rows:,}", where, max_pixels)
    if min(columns, rows) < 2:
        raise InputError(f"a picture of {columns} x {rows} pixels has no shape", "Use a larger picture", where)
    fault = _REFUSED.get(picture.mode)
    if fault is None and "transparency" in picture.info:
        fault = "transparency"
    if fault is None and picture.mode not in ("1", "L", "I;16", "I;16B", "I;16L"):
        fault = f"samples of the kind {picture.mode}"
    if fault is None and getattr(picture, "n_frames", 1) > 1:
        fault = "several pages"
    if fault is None and picture.mode.startswith("I;16") and dict(getattr(picture, "tag_v2", {})).get(262) == 0:
        fault = "white stored as 0"
    if fault is not None:
        advice = "Save it as one grey picture of 8 or 16 bits without transparency"
        raise InputError(f"this picture has {fault}, which says no height", advice, where)


def _too_many(size: str, where: str, max_pixels: int) -> InputError:
    advice = f"Make it smaller: at most {max_pixels / 1e6:g} million pixels are read"
    return InputError(f"this picture has too many pixels ({size})", advice, where)


def reduced(samples: np.ndarray[Any, Any], max_pixels: int = MAX_KEPT_PIXELS) -> np.ndarray[Any, Any]:
    """The picture with at most so many pixels, each the mean of those it stands for; itself where it has no more."""
    rows, columns = samples.shape
    if rows * columns <= max_pixels:
        return samples
    ratio = float(np.sqrt(max_pixels / (rows * columns)))
    mean: Any = samples
    for axis, count in ((0, rows), (1, columns)):
        first = np.arange(max(2, int(count * ratio))) * count // max(2, int(count * ratio))
        total = np.add.reduceat(mean, first, axis=axis, dtype=np.float64)
        sizes = np.diff(first, append=count)
        mean = total / (sizes[:, None] if axis == 0 else sizes)
    return np.asarray(np.rint(mean).astype(samples.dtype))


def picture_text(samples: np.ndarray[Any, Any]) -> str:
    """The samples as base64 of a deflated PNG, which `picture_from_text` reads."""
    from PIL import Image

    stream = io.BytesIO()
    Image.fromarray(samples).save(stream, "PNG", compress_level=9)
    return base64.b64encode(stream.getvalue()).decode("ascii")


def picture_from_text(text: str, where: str = "pattern.motif.grey.pixels") -> Floats:
    """(rows, columns) grey from 0, black, to 1, white, exactly k / 255 or k / 65535.

    Raises: InputError for text that holds no such picture.
    """
    advice = "Choose the picture anew"
    if len(text) > MAX_TEXT:
        raise InputError("the picture in this design is too large", advice, where)
    try:
        content = base64.b64decode(text, validate=True)
    except (binascii.Error, ValueError):
        raise InputError("the picture in this design is damaged", advice, where) from None
    samples = read_grey(content, where, MAX_KEPT_PIXELS)
    return np.asarray(samples / float(np.iinfo(samples.dtype).max))
