"""Work on ringtex with nothing but Python: `python3 dev.py run`, `python3 dev.py test`; `--help` lists the rest.

Everything is installed into `.venv` beside this file, and again only when pyproject.toml changes.
"""

from __future__ import annotations

import hashlib
import importlib.util
import json
import os
import subprocess
import sys
import venv
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
    if importlib.util.find_spec("ensurepip") is None:
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


def python(*arguments: str) -> int:
    """Run the environment's Python in the project's folder; gives its exit code."""
    return subprocess.run([str(python_path()), *arguments], check=False, cwd=ROOT).returncode


def bring_window_packages() -> bool:
    """Whether Qt can be loaded; brings what the system lacks where that is allowed, and names it where it is not."""
    from ringtex.window.platform_checks import DEBIAN_PACKAGES

    check = "from ringtex.window.platform_checks import missing_library; raise SystemExit(missing_library() or 0)"
    probe = [str(python_path()), "-c", check]
    if not sys.platform.startswith("linux") or works(probe):
        return True
    wanted = ["apt-get", "install", "-y", "-qq", "--no-install-recommends", *DEBIAN_PACKAGES.split()]
    if hasattr(os, "geteuid") and os.geteuid() == 0 and works(["apt-get", "--version"]):
        print("Installing what the window needs of the system ...", flush=True)
        environment = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
        subprocess.run(["apt-get", "update", "-qq"], check=False, env=environment)
        subprocess.run(wanted, check=False, env=environment, stdout=subprocess.DEVNULL)
    if works(probe):
        return True
    print(f"The window needs packages of the system. On Debian or Ubuntu: apt install {DEBIAN_PACKAGES}", flush=True)
    return False


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
    """Run the tests; whatever follows goes to pytest."""
    install({"test", "window"})
    without = [] if bring_window_packages() else ["-p", "no:pytest-qt", "--override-ini", "addopts=-q"]
    return python("-m", "pytest", *without, *(["--ignore", "tests/window"] if without else []), *rest)


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
