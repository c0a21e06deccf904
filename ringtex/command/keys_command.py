"""`ringtex keys`: the keys of a design file, with what each takes and means."""

from __future__ import annotations

import argparse
import textwrap
from dataclasses import asdict
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from ringtex.command.console import Console

WIDTH: Final = 100


def add_to(commands: Any) -> None:
    """Add this command to the parser's subcommands."""
    parser = commands.add_parser("keys", help="the keys of a design file and what they mean", allow_abbrev=False)
    parser.add_argument("part", nargs="?", default="", help="only those whose path holds this, such as relief or seed")
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace, console: Console) -> int:
    """Print the keys. Raises: InputError where no key's path holds the part."""
    from ringtex.basics.known_names import unknown_name
    from ringtex.design.key_list import design_keys

    every = design_keys()
    chosen = [entry for entry in every if arguments.part.casefold() in entry.path]
    if not chosen:
        names = list(dict.fromkeys(entry.path.split(".")[-1] for entry in every))
        raise unknown_name(f"no key's path holds {arguments.part[:40]!r}", arguments.part, names, "keys")
    console.give({"keys": [asdict(entry) for entry in chosen]})
    for entry in chosen:
        left_out = f"; left out: {entry.default}" if entry.default else ""
        console.say(f"{entry.path}: {entry.takes}{left_out}")
        for line in textwrap.wrap(entry.meaning, WIDTH):
            console.say(f"    {line}")
    console.say()
    console.say(
        'A file also has "kind" and "version", which `ringtex new` writes. Of wall_width and top_size give one;'
    )
    console.say("a stone may have carat in place of diameter. Lengths are millimetres, angles degrees.")
    return 0
