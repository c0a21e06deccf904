"""Freed memory goes back to the system, or is kept."""

from __future__ import annotations

import subprocess
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


KEPT = """
import numpy, resource
from ringtex.basics.free_memory import keep_free_memory
if keep_free_memory():
    for _ in range(2):
        began = resource.getrusage(resource.RUSAGE_SELF).ru_minflt
        for _ in range(10):
            numpy.ones(2_000_000)
    print(resource.getrusage(resource.RUSAGE_SELF).ru_minflt - began)
"""


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="glibc's own way")
def test_memory_that_is_kept_is_used_again() -> None:
    """Ten arrays of 16 MB one after the other, the second time: 39,000 pages to be made anew where they are given
    back. In a process of its own, which it is for."""
    done = subprocess.run([sys.executable, "-c", KEPT], capture_output=True, text=True, check=True)
    if not done.stdout:
        pytest.skip("another allocator")
    assert int(done.stdout) < 1000
