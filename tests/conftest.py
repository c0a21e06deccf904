"""What all tests share: hypothesis settings, and the program run as a process of its own."""

from __future__ import annotations

import ctypes
import gc
import os
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from hypothesis.internal.conjecture import providers
from hypothesis.internal.constants_ast import Constants

from ringtex.basics.caches import BoundedCache
from ringtex.strip import unwrap

ROOT = Path(__file__).resolve().parent.parent

# Machines differ in speed, so no example has a deadline; the same examples everywhere, so that a run can be repeated.
# The long run over the whole design space: `python3 dev.py test --hypothesis-profile=long tests/test_whole_space.py`.
settings.register_profile("usual", deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("long", deadline=None, max_examples=2000, suppress_health_check=list(HealthCheck))
settings.load_profile("usual")

# Started by nohup, the tests would hand on to every process that it must not end when the terminal goes.
if hasattr(signal, "SIGHUP") and signal.getsignal(signal.SIGHUP) is signal.SIG_IGN:
    signal.signal(signal.SIGHUP, signal.SIG_DFL)

Process = subprocess.CompletedProcess[str]

# The same bands come again and again among others, and one that varies takes a fifth of a second to flatten.
unwrap._cache = BoundedCache(48)  # type: ignore[misc]

# Seven thousand collected tests are 330,000 objects that stay: searching them for garbage again and again took a fifth
# of the time of collecting and a twentieth of that of the tests.
gc.disable()


@pytest.hookimpl(trylast=True)  # After hypothesis has taken the profile from the command line.
def pytest_configure() -> None:
    """Let examples depend on their test alone.

    Hypothesis mixes numbers and words of all sources that a process has imported so far into what it draws: examples
    then depend on how the tests are shared out among processes, and the sizes of meshes, among those numbers, make
    rings that take five times as long.
    """
    if settings().derandomize and hasattr(providers, "_get_local_constants"):
        none = Constants()
        providers._get_local_constants = lambda: none


def pytest_collection_finish() -> None:
    """From now on look for garbage among what the tests make."""
    gc.freeze()
    gc.enable()


@pytest.fixture(scope="session")
def environment() -> dict[str, str]:
    """The environment in which the program finds itself, installed or not, without a display."""
    shown = {name: value for name, value in os.environ.items() if name not in ("DISPLAY", "WAYLAND_DISPLAY")}
    return {**shown, "PYTHONPATH": str(ROOT)}


@pytest.fixture
def ringtex(tmp_path: Path, environment: dict[str, str]) -> Callable[..., Process]:
    """Run `ringtex ARGUMENTS` as a process in the test's own folder."""

    def run(*arguments: str | Path) -> Process:
        command = [sys.executable, "-m", "ringtex", *map(str, arguments)]
        return subprocess.run(
            command,
            cwd=tmp_path,
            env=environment,
            capture_output=True,
            text=True,
            check=False,
            stdin=subprocess.DEVNULL,
        )

    return run


@pytest.fixture(scope="session")
def demo() -> Callable[[str], Path]:
    """The path of a file in demo_patterns."""
    return lambda name: ROOT / "demo_patterns" / name


@pytest.fixture(scope="session")
def give_up_rights() -> Callable[[], None]:
    """For `preexec_fn`: the process then obeys permissions, although root may read and write everything."""
    if sys.platform != "linux":
        pytest.skip("rights are given up in Linux's own way")
    if os.geteuid() != 0:
        return lambda: None
    prctl = ctypes.CDLL(None, use_errno=True).prctl

    def give_up() -> None:
        # PR_CAPBSET_DROP of CAP_DAC_OVERRIDE and CAP_DAC_READ_SEARCH (capabilities(7)): gone after the next exec.
        for capability in (1, 2):
            if prctl(24, capability, 0, 0, 0) != 0:
                raise OSError(ctypes.get_errno(), "rights cannot be given up")

    return give_up
