"""Work on ringtex with nothing but Python: `python3 dev.py run`, `python3 dev.py test`; `--help` lists the rest.

Everything is installed into `.venv` beside this file, and again only when pyproject.toml changes.
"""

from __future__ import annotations

import contextlib
import hashlib
import importlib.util
import json
import os
import shutil
import subprocess
import sys
import venv
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parent
ENVIRONMENT = ROOT / ".venv"
STAMP = ENVIRONMENT / "ringtex-installed.json"
OLDEST_PYTHON = (3, 11)
OUT = Path("out")
DEMO = Path("demo_patterns") / "dome.ring.json"


class SetupError(Exception):
    """Something that whoever runs this can put right, in a sentence."""


def python_path() -> Path:
    """The Python of the project's own environment."""
    folder = "Scripts" if os.name == "nt" else "bin"
    return ENVIRONMENT / folder / ("python.exe" if os.name == "nt" else "python")


def make_environment() -> None:
    """Make `.venv` where it is missing or unusable. Raises: SetupError with the package to install."""
    if works([str(python_path()), "-m", "pip", "--version"]):
        return
    if not has_venv():
        install_system_packages("python3-venv")
    if not has_venv():
        version = f"{sys.version_info.major}.{sys.version_info.minor}"
        raise SetupError(
            "Python's venv module is not complete on this machine. On Debian or Ubuntu: "
            f"apt install python3-venv (or python{version}-venv), then run this again."
        )
    print("Making the project's own Python environment in .venv ...", flush=True)
    try:
        venv.create(ENVIRONMENT, with_pip=True, clear=True, symlinks=os.name != "nt")
    except (OSError, subprocess.CalledProcessError) as error:
        raise SetupError(f"The environment {ENVIRONMENT} could not be made ({error}).") from None


def has_venv() -> bool:
    """Whether this Python can make an environment with pip in it: Debian's can only with another package."""
    importlib.invalidate_caches()
    return importlib.util.find_spec("ensurepip") is not None


def works(command: list[str]) -> bool:
    """Whether a command can be started and ends well."""
    try:
        return subprocess.run(command, capture_output=True, check=False, cwd=ROOT).returncode == 0
    except OSError:
        return False


def install(extras: set[str]) -> None:
    """Install ringtex, editable, with at least these extras, unless that was done for this very pyproject.toml.

    Raises: SetupError where the packages cannot be had.
    """
    make_environment()
    wanted = hashlib.sha256((ROOT / "pyproject.toml").read_bytes()).hexdigest()
    done_for, done = read_stamp()
    if done_for == wanted and extras <= done:
        return
    extras = extras | done
    what = f".[{','.join(sorted(extras))}]" if extras else "."
    print(f"Installing ringtex and what it needs ({what}); the first time takes a minute ...", flush=True)
    pip = [str(python_path()), "-m", "pip", "--disable-pip-version-check", "install", "--quiet"]
    if subprocess.run([*pip, "--editable", what], check=False, cwd=ROOT).returncode != 0:
        raise SetupError("The packages could not be installed; see pip's message above (is there a network?).")
    STAMP.write_text(json.dumps({"pyproject": wanted, "extras": sorted(extras)}), encoding="utf-8")


def read_stamp() -> tuple[str, set[str]]:
    """What was installed last: the pyproject.toml's hash, and the extras."""
    try:
        stamp = json.loads(STAMP.read_text(encoding="utf-8"))
        return str(stamp["pyproject"]), set(stamp["extras"])
    except (OSError, ValueError, KeyError, TypeError):
        return "", set()


def python(*arguments: str, environment: dict[str, str] | None = None) -> int:
    """Run the environment's Python in the project's folder. Returns: its exit code."""
    return subprocess.run([str(python_path()), *arguments], check=False, cwd=ROOT, env=environment).returncode


def install_system_packages(*names: str) -> None:
    """Install Debian packages where that is possible: as root, with apt. The caller looks whether it helped."""
    if not (hasattr(os, "geteuid") and os.geteuid() == 0 and works(["apt-get", "--version"])):
        return
    print(f"Installing system packages: {' '.join(names)} ...", flush=True)
    environment = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    subprocess.run(["apt-get", "update", "-qq"], check=False, env=environment)
    wanted = ["apt-get", "install", "-y", "-qq", "--no-install-recommends", *names]
    subprocess.run(wanted, check=False, env=environment, stdout=subprocess.DEVNULL)


def bring_window_packages(*more: str) -> bool:
    """Install the system packages that Qt and the programs `more` (Debian package names) need, or name them.

    Returns: whether all of it is there now.
    """
    from ringtex.window.platform_checks import DEBIAN_PACKAGES

    check = "from ringtex.window.platform_checks import missing_library; raise SystemExit(missing_library() or 0)"
    probe = [str(python_path()), "-c", check]
    commands = [name.capitalize() for name in more]

    def complete() -> bool:
        return all(shutil.which(command) for command in commands) and works(probe)

    if not sys.platform.startswith("linux") or complete():
        return True
    packages = [*DEBIAN_PACKAGES.split(), *more]
    install_system_packages(*packages)
    if complete():
        return True
    print(f"The window needs system packages. On Debian or Ubuntu: apt install {' '.join(packages)}", flush=True)
    return False


@contextlib.contextmanager
def virtual_display() -> Iterator[dict[str, str]]:
    """Start a virtual display with OpenGL for as long as the block runs.

    Yields: the environment that names it. Raises: SetupError if it does not start.
    """
    reading, writing = os.pipe()
    screen = ["-screen", "0", "2560x1440x24", "+extension", "GLX"]
    command = ["Xvfb", "-displayfd", str(writing), *screen]
    quiet = subprocess.DEVNULL
    server = subprocess.Popen(command, pass_fds=[writing], stdin=quiet, stdout=quiet, stderr=quiet)
    os.close(writing)
    try:
        with os.fdopen(reading) as answer:
            number = answer.readline().strip()
        if not number:
            raise SetupError("The virtual display (Xvfb) did not start, so the window cannot be tested.")
        yield {**os.environ, "DISPLAY": f":{number}", "RINGTEX_NEEDS_DISPLAY": "1"}
    finally:
        server.terminate()
        server.wait()


def run_program(rest: list[str]) -> int:
    """Open the window; where there is no display, make, check and picture the demo ring instead."""
    install({"window"})
    has_display = not sys.platform.startswith("linux") or bool({"DISPLAY", "WAYLAND_DISPLAY"} & set(os.environ))
    if has_display and bring_window_packages():
        return python("-m", "ringtex", *rest)
    print("There is no display to open the window on, so the demo ring is made without it.", flush=True)
    return run_demo(rest)


def run_demo(rest: list[str]) -> int:
    """Make, check and picture the demo dome ring."""
    (ROOT / OUT).mkdir(exist_ok=True)
    ring, picture = OUT / "dome.stl", OUT / "dome.png"
    print(f"\nMaking the ring of {DEMO}:", flush=True)
    made = python("-m", "ringtex", "make", str(DEMO), "--out", str(ring), "--picture", str(picture), *rest)
    if made == 2:
        return made
    print("\nChecking the mesh that was written:", flush=True)
    checked = python("-m", "ringtex", "check", str(ring))
    print(f"\nThe ring, ready to print, is in {ROOT / ring}\nA picture of it is in {ROOT / picture}")
    print(f"To make another: {python_path()} -m ringtex --help")
    return max(made, checked)


def run_tests(rest: list[str]) -> int:
    """Run the tests, the window's on a virtual display, and list what was skipped; what follows goes to pytest."""
    install({"test", "window"})
    spread = (
        []
        if any(option.startswith(("-n", "--numprocesses")) for option in rest)
        else ["-n", "auto", "--dist", "worksteal"]
    )
    # Each process begins with a half of the tests in their order, so that what a file's tests share is made once.
    # Each of several processes keeps to one core; the many started by the tests share the compiled files.
    threads = {f"{library}_NUM_THREADS": "1" for library in ("OMP", "OPENBLAS", "MKL")} | {
        "PYTHONDONTWRITEBYTECODE": ""
    }
    command = ["-m", "pytest", "-rs", *spread, *rest]
    if not sys.platform.startswith("linux"):
        return python(*command, environment={**os.environ, **threads})
    if bring_window_packages("xvfb"):
        with virtual_display() as environment:
            return python(*command, environment={**environment, **threads})
    if bring_window_packages() and "DISPLAY" in os.environ:
        print("There is no virtual display (Xvfb), so windows will open on yours.", flush=True)
        return python(*command, environment={**os.environ, **threads})
    if os.environ.get("RINGTEX_NEEDS_DISPLAY"):
        raise SetupError("RINGTEX_NEEDS_DISPLAY is set, so the window's tests may not be left out.")
    print("The window's tests are left out for want of these packages.", flush=True)
    without = ["-p", "no:pytest-qt", "--override-ini", "addopts=-q", "--ignore", "tests/window"]
    return python(*command, *without, environment={**os.environ, **threads})


def run_benchmarks(rest: list[str]) -> int:
    """Run the benchmarks named (all of tests/benchmarks by default) one after another."""
    install({"test", "window"})
    named = [Path(name).stem for name in rest]
    files = sorted((ROOT / "tests" / "benchmarks").glob("bench_*.py"))
    chosen = [file for file in files if not named or file.stem in named or file.stem.removeprefix("bench_") in named]
    if not chosen:
        raise SetupError(f"There is no such benchmark; there are {', '.join(file.stem for file in files) or 'none'}.")
    codes = []
    for file in chosen:
        print(f"\n{file.stem}", flush=True)
        codes.append(python(str(file)))
    return max(codes)


def run_format(rest: list[str]) -> int:
    """Put all code into the one layout."""
    install({"test", "window"})
    return max(python("-m", "ruff", "check", "--fix", "--quiet", *rest), python("-m", "ruff", "format", *rest))


def run_checks(rest: list[str]) -> int:
    """Everything that looks at the code without running it: layout, ruff, types, layers."""
    install({"test", "window"})
    steps = {
        "layout": ["-m", "ruff", "format", "--check"],
        "ruff": ["-m", "ruff", "check"],
        "types": ["-m", "mypy"],
        "layers": ["-c", "from importlinter.cli import lint_imports_command; lint_imports_command()"],
    }
    failed = []
    for name, step in steps.items():
        print(f"\n{name}:", flush=True)
        if python(*step, *rest) != 0:
            failed.append(name)
    print(f"\nNot in order: {', '.join(failed)}" if failed else "\nAll in order.")
    return 1 if failed else 0


COMMANDS = {
    "run": (run_program, "open the window (without a display: make, check and picture the demo dome ring)"),
    "test": (run_tests, "run the tests (what follows goes to pytest)"),
    "bench": (run_benchmarks, "run the benchmarks (or only those named)"),
    "format": (run_format, "put all code into the one layout"),
    "check": (run_checks, "layout, ruff, types and layers, without running the tests"),
}


def main() -> int:
    """Run one of COMMANDS."""
    if sys.version_info < OLDEST_PYTHON:
        print(f"ringtex needs Python 3.11 or newer; this is {sys.version.split()[0]}.", file=sys.stderr)
        return 2
    chosen, rest = (sys.argv[1], sys.argv[2:]) if len(sys.argv) > 1 else ("--help", [])
    if chosen not in COMMANDS:
        listed = "\n".join(f"  python3 dev.py {name:<7} {about}" for name, (_, about) in COMMANDS.items())
        print(f"Work on ringtex:\n{listed}")
        return 0 if chosen in ("--help", "-h", "help") else 2
    try:
        return COMMANDS[chosen][0](rest)
    except SetupError as error:
        print(f"\n{error}", file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        return 130


if __name__ == "__main__":
    sys.exit(main())
