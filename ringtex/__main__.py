"""Where the program starts: without arguments the window opens, with arguments the command line runs."""

from __future__ import annotations

import sys


def main() -> int:
    """Run the program on `sys.argv` and give its exit code."""
    arguments = sys.argv[1:]
    try:
        if not arguments:
            from ringtex.window.app.main import open_window

            return open_window()
        from ringtex.command.main import run_command

        return run_command(arguments)
    except KeyboardInterrupt:
        # Ctrl-C before any work has begun, while Python still imports.
        print("Stopped.", file=sys.stderr)
        return 130


if __name__ == "__main__":
    sys.exit(main())
