"""Where the program starts."""

from __future__ import annotations

import sys

NO_WINDOW = (
    "ringtex: this version has no window yet. Use the command line: `ringtex make DESIGN --out FILE` makes a ring, "
    "`ringtex --help` lists the commands."
)


def main() -> int:
    """Run the program on `sys.argv` and give its exit code."""
    arguments = sys.argv[1:]
    if not arguments:
        print(NO_WINDOW, file=sys.stderr)
        return 2
    try:
        from ringtex.command.main import run_command

        return run_command(arguments)
    except KeyboardInterrupt:
        # Ctrl-C before any work has begun, while Python still imports.
        print("Stopped.", file=sys.stderr)
        return 130


if __name__ == "__main__":
    sys.exit(main())
