"""Import every module of the core, and make a ring, in a Python where Qt cannot be imported. Run as a script."""

from __future__ import annotations

import importlib
import pkgutil
import sys
from collections.abc import Sequence
from importlib.machinery import ModuleSpec
from types import ModuleType

BLOCKED = ("PySide6", "shiboken6", "pyqtgraph")


class QtBlocker:
    """An import finder before all others that refuses Qt, installed or not."""

    def find_spec(
        self, name: str, path: Sequence[str] | None = None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        if name.partition(".")[0] in BLOCKED:
            raise ModuleNotFoundError(f"{name} is blocked, as the core must do without it", name=name)
        return None


def main() -> int:
    sys.meta_path.insert(0, QtBlocker())
    for blocked in BLOCKED:
        try:
            importlib.import_module(blocked)
        except ModuleNotFoundError:
            continue
        print(f"the blocker let {blocked} through")
        return 1
    import ringtex

    names = [module.name for module in pkgutil.walk_packages(ringtex.__path__, "ringtex.")]
    core = [name for name in names if not name.startswith("ringtex.window")]
    for name in core:
        importlib.import_module(name)

    from ringtex.basics.resources import demo_folder
    from ringtex.design.design_file import read_design
    from ringtex.make_ring import make_ring

    built = make_ring(read_design(demo_folder() / "plain_flat.ring.json"))
    problems = built.solid.mesh.problems()
    print(
        f"{len(core)} modules imported, a ring of {len(built.solid.mesh.faces)} triangles made, without Qt", *problems
    )
    return len(problems)


if __name__ == "__main__":
    sys.exit(main())
