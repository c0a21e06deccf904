"""Where the program starts: without arguments, or with a design, the window opens; else the command line runs."""

from __future__ import annotations

import gc
import os
import signal
import sys
from types import FrameType


def main() -> int:
    """Run the program on `sys.argv` and give its exit code."""
    arguments = sys.argv[1:]
    try:
        if not arguments or (len(arguments) == 1 and arguments[0].endswith(".ring.json")):
            from ringtex.window.app.main import open_window

            return open_window(arguments)
        # From the first moment: KeyboardInterrupt, raised while a library is imported, may become another error or be
        # lost.
        signal.signal(signal.SIGINT, _stop_at_once)
        # What modules are made of becomes no rubbish; it is looked for once they are loaded (`command.console`).
        gc.disable()
        from ringtex.command.main import run_command

        return run_command(arguments)
    finally:
        _let_go_of_bodies()


def _let_go_of_bodies() -> None:
    """Empty the caches: modules that `gc.freeze` keeps are not taken apart at the end, and manifold3d would then
    complain, in fifty lines, of the bodies that they hold."""
    if "manifold3d" in sys.modules:
        from ringtex.basics.caches import clear_all_caches

        clear_all_caches()


def _stop_at_once(number: int, frame: FrameType | None) -> None:
    """End on Ctrl-C where no work is under way that could stop in order (`command.console.stop_on_interrupt`)."""
    if "ringtex.basics.safe_files" in sys.modules:
        from ringtex.basics.safe_files import remove_unfinished

        remove_unfinished()
    os.write(2, b"Stopped.\n")
    os._exit(130)


if __name__ == "__main__":
    sys.exit(main())
