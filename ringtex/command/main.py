"""The command line: which commands there are, and how each ending becomes an exit code."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from typing import Final

from ringtex import __version__
from ringtex.basics.errors import Cancelled, RingtexError
from ringtex.basics.guarded_files import read_error, shown_path
from ringtex.command import (
    check_command,
    compare_command,
    families_command,
    keys_command,
    make_command,
    new_command,
    sheet_command,
    size_run_command,
    sizes_command,
)
from ringtex.command.console import ENVIRONMENT_FLAG, Console, fault_sentence

UNUSABLE: Final = 2
INTERRUPTED: Final = 130
"""128 + SIGINT, as shells count."""


def run_command(arguments: Sequence[str]) -> int:
    """Run one command line (without the program's name) and give its exit code.

    0: done and clean; 1: done, and the ring or mesh has errors; 2: unusable input, or nothing could be written, or a
    fault of ringtex; 130: stopped by Ctrl-C. Endings 2 and 130 are told in one sentence on standard error.
    """
    parsed = command_parser().parse_args(arguments)
    console = Console(as_json=parsed.json)
    try:
        code: int = parsed.run(parsed, console)
        sys.stdout.flush()
    except (Cancelled, KeyboardInterrupt) as error:
        console.warn(_sentence(error) if isinstance(error, Cancelled) else "Stopped.")
        return INTERRUPTED
    except RingtexError as error:
        console.warn(f"ringtex: {_sentence(error)}")
        return UNUSABLE
    except BrokenPipeError:
        # The reader of our output has gone (as in `ringtex sizes 54 | head -1`); Python must not flush to it at exit.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return UNUSABLE
    except OSError as error:
        console.warn(f"ringtex: {_sentence(read_error(error, shown_path(error.filename or '')))}")
        return UNUSABLE
    except MemoryError:
        console.warn("ringtex: there is not enough memory. Use a coarser --tolerance or fewer cells.")
        return UNUSABLE
    except Exception as error:
        if os.environ.get(ENVIRONMENT_FLAG):
            raise
        console.warn(f"ringtex: {fault_sentence(error)}")
        return UNUSABLE
    return code


def _sentence(error: RingtexError) -> str:
    text = str(error)
    return text if text.endswith((".", "?")) else f"{text}."


def command_parser() -> argparse.ArgumentParser:
    """The parser of the whole command line; each command sets `run` and `json` in what it parses."""
    about = "Seamless relief patterns on finger rings: from a finger size to a watertight, checked mesh ready to cast."
    parser = argparse.ArgumentParser(prog="ringtex", description=about, allow_abbrev=False)
    parser.add_argument("--version", action="version", version=f"ringtex {__version__}")
    commands = parser.add_subparsers(title="commands", metavar="COMMAND", required=True)
    every = (
        make_command, check_command, compare_command, sheet_command, size_run_command, sizes_command, new_command,
        families_command, keys_command,
    )  # fmt: skip
    for command in every:
        command.add_to(commands)
    return parser
