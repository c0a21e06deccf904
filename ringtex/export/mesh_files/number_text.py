"""Rows of numbers as text, in numpy: a million rows in a fraction of a second, the same bytes everywhere."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Bytes
from ringtex.basics.errors import SelfCheckError

DECIMALS: Final = 7
"""Digits after the point for millimetres: a tenth of a nanometre, finer than float32 from 1 mm on."""

ROUNDING_MM: Final = 0.5000001 * 10.0**-DECIMALS
"""Largest error of a number written so (half the last digit, and the float64 rounding beside it)."""

_ROWS_AT_ONCE = 1 << 16

_LARGEST = 1e8
"""Whole parts have at most eight digits."""

# Four digits at a time by look-up.
_FOUR_DIGITS = (np.arange(10_000)[:, None] // [1000, 100, 10, 1] % 10 + ord("0")).astype(np.uint8)


def decimal_rows(values: NDArray[np.float64], before: tuple[bytes, ...], after: bytes) -> Iterator[bytes]:
    """Rows of numbers with a fixed count of decimals.
    Returns: the text in pieces of some ten thousand rows. No exponent, no leading zeros, never "-0".

    Parameters:
        values: (n, k) float64, each under 1e8.
        before: k pieces of text, one before each number.
        after: the end of each row.
    """
    if values.size and not np.all(np.abs(values) < _LARGEST):
        raise SelfCheckError("A coordinate is not finite, or too large to write")
    for start in range(0, len(values), _ROWS_AT_ONCE):
        scaled = np.rint(values[start : start + _ROWS_AT_ONCE] * 10.0**DECIMALS).astype(np.int64)
        yield _joined([_decimal_field(column) for column in scaled.T], before, after)


def whole_rows(values: NDArray[np.int32], before: tuple[bytes, ...], after: bytes) -> Iterator[bytes]:
    """Rows of whole numbers from 0 to 99 999 999: as `decimal_rows`.

    Parameters:
        values: (n, k) whole numbers from 0 to 99 999 999.
        before: k pieces of text, one before each number.
        after: the end of each row.
    Returns: the text in pieces of some ten thousand rows.
    """
    if values.size and not 0 <= int(values.min()) <= int(values.max()) < _LARGEST:
        raise SelfCheckError("A number is negative, or too large to write")
    for start in range(0, len(values), _ROWS_AT_ONCE):
        yield _joined([_whole_field(column) for column in values[start : start + _ROWS_AT_ONCE].T], before, after)


def _joined(fields: list[tuple[Bytes, NDArray[np.bool_]]], before: tuple[bytes, ...], after: bytes) -> bytes:
    """Text rows from fields (rows, width) and the mask of the bytes that are kept."""
    rows = len(fields[0][0])
    width = sum(map(len, before)) + len(after) + sum(field.shape[1] for field, _ in fields)
    text = np.empty((rows, width), dtype=np.uint8)
    kept = np.ones((rows, width), dtype=bool)
    at = 0
    for words, (field, mask) in zip(before, fields, strict=True):
        text[:, at : at + len(words)] = np.frombuffer(words, dtype=np.uint8)
        at += len(words)
        text[:, at : at + field.shape[1]] = field
        kept[:, at : at + field.shape[1]] = mask
        at += field.shape[1]
    text[:, at:] = np.frombuffer(after, dtype=np.uint8)
    return text[kept].tobytes()


def _whole_field(values: NDArray[np.int32] | NDArray[np.int64]) -> tuple[Bytes, NDArray[np.bool_]]:
    """Eight digits or fewer, leading zeros masked out."""
    high, low = np.divmod(values, 10_000)
    text = np.concatenate((_FOUR_DIGITS[high], _FOUR_DIGITS[low]), axis=1)
    digits = max(1, len(str(int(values.max())))) if len(values) else 1
    steps = 10 ** np.arange(digits - 1, -1, -1)
    steps[-1] = 0  # the last digit always stays
    return text[:, 8 - digits :], values[:, None] >= steps


def _decimal_field(scaled: NDArray[np.int64]) -> tuple[Bytes, NDArray[np.bool_]]:
    """Sign, whole part, point and decimals of values times 10 ** DECIMALS."""
    whole, fraction = np.divmod(np.abs(scaled), 10**DECIMALS)
    whole_text, whole_kept = _whole_field(whole)
    high, low = np.divmod(fraction, 10_000)
    digits = whole_text.shape[1]
    text = np.empty((len(scaled), digits + DECIMALS + 2), dtype=np.uint8)
    kept = np.ones(text.shape, dtype=bool)
    text[:, 0] = ord("-")
    kept[:, 0] = scaled < 0
    text[:, 1 : digits + 1] = whole_text
    kept[:, 1 : digits + 1] = whole_kept
    text[:, digits + 1] = ord(".")
    text[:, digits + 2 : digits + 5] = _FOUR_DIGITS[high][:, 1:]
    text[:, digits + 5 :] = _FOUR_DIGITS[low]
    return text, kept
