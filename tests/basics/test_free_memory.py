"""Freed memory goes back to the system."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest

from ringtex.basics.free_memory import return_free_memory


def resident_pages() -> int:
    return int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="pages are counted in Linux's own way")
def test_pages_between_living_blocks_are_returned() -> None:
    """60 MB in blocks that are too small for pages of their own, every hundredth of which lives on."""
    blocks = [np.zeros(1000) for _ in range(7500)]
    if not return_free_memory():
        pytest.skip("another allocator")
    full = resident_pages()
    living = blocks[::100]
    del blocks
    return_free_memory()
    assert len(living) == 75
    assert (full - resident_pages()) * 4096 > 40e6
