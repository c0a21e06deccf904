"""`ringtex families`: the families of cells that a pattern can have."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from ringtex.command.console import Console


def add_to(commands: Any) -> None:
    """Add this command to the parser's subcommands."""
    parser = commands.add_parser("families", help="the families of cells that a pattern can have", allow_abbrev=False)
    parser.add_argument("words", nargs="*", help="only those whose name or description has all of these words")
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace, console: Console) -> int:
    """Print the families: 0. Raises: InputError where none has the words."""
    from ringtex.basics.errors import InputError
    from ringtex.pattern.lattice.families import ALL_FAMILIES

    wanted = [word.casefold() for word in arguments.words]
    chosen = {
        name: family
        for name, family in ALL_FAMILIES.items()
        if all(word in f"{name} {family.label} {family.hint}".casefold() for word in wanted)
    }
    if not chosen:
        raise InputError("no family has these words", "`ringtex families` lists them all", " ".join(arguments.words))
    values = [{"name": name, "title": family.label, "cells": family.hint} for name, family in chosen.items()]
    console.give({"families": values})
    for name, family in chosen.items():
        title = "" if family.label == name.replace("_", " ") else f" (in the window: {family.label})"
        console.say(f"{name:<26}{family.hint}{title}")
    return 0
