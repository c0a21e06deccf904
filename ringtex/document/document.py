"""The design that is being worked on: where it is saved, what was done to it, and what it is compared with.

The window holds one document; its views read from it, change it, and are told when it has changed. All calls come from
one thread. Workers get the frozen `design`, never the document.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Final

from ringtex.basics.errors import InputError
from ringtex.design.design import Design
from ringtex.design.design_file import read_design, write_design
from ringtex.document.disk_watch import DiskStamp, DiskState, disk_state, stamp_of
from ringtex.document.history import History
from ringtex.document.listeners import Listeners

DESIGN_ENDING: Final = ".ring.json"
UNNAMED: Final = "Unnamed ring"
FLIP_LABEL: Final = "flip to the kept ring"
REVERT_LABEL: Final = "go back to the saved ring"


class Document:
    """One design with its file, history and kept state. Whoever listens is told after every real change, once."""

    def __init__(self, design: Design, name: str = UNNAMED) -> None:
        self._history = History(design)
        self._saved: Design | None = design
        self._path: Path | None = None
        self._name = name
        self._stamp: DiskStamp | None = None
        self._drag: tuple[str, History] | None = None
        self._kept: Design | None = None
        # What was last flipped away from, and the history as it was then.
        self._away: History | None = None
        self._listeners = Listeners()

    # --- what it is

    @property
    def design(self) -> Design:
        """The design as it is now."""
        return self._history.design

    @property
    def history(self) -> History:
        """What was done, as a frozen value. Inside a drag: what was done before it."""
        return self._history if self._drag is None else self._drag[1]

    @property
    def path(self) -> Path | None:
        """The file that `save` writes; None for a design that was never saved."""
        return self._path

    @property
    def name(self) -> str:
        """What to call it: the file's name without its ending, or the name that it was begun with."""
        if self._path is None:
            return self._name
        return self._path.name.removesuffix(DESIGN_ENDING).removesuffix(".json") or self._path.name

    @property
    def changed(self) -> bool:
        """Whether it differs from what is saved (from how it was begun, where nothing is)."""
        return self.design != self._saved

    @property
    def dragging(self) -> bool:
        """Whether a drag is going on."""
        return self._drag is not None

    @property
    def undo_label(self) -> str | None:
        """Name of the step that `undo` takes back (in a drag, the drag's); None where there is none."""
        if self._drag is not None and self.design != self._drag[1].design:
            return self._drag[0]
        return self.history.undo_label

    @property
    def redo_label(self) -> str | None:
        """Name of the step that `redo` brings back; None where there is none."""
        if self._drag is not None and self.design != self._drag[1].design:
            return None
        return self.history.redo_label

    def listen(self, callback: Callable[[], None]) -> Callable[[], None]:
        """Have `callback` called after every real change. Returns the function that ends this."""
        return self._listeners.add(callback)

    # --- changing it

    def change(self, design: Design, label: str) -> None:
        """Make `design` the current one, as one step that can be undone by the name `label` ("change the depth").

        Nothing happens where it equals the current one. Inside a drag it only moves the drag on.
        """
        before = self._state()
        if self._drag is None:
            self._history = self._history.stepped(design, label)
        elif design != self.design:
            self._history = History(design)
        self._tell(before)

    def begin_drag(self, label: str) -> None:
        """From here to `end_drag` all changes are one step. A drag that still goes on is ended first."""
        self.end_drag()
        self._drag = (label, self._history)

    def end_drag(self) -> None:
        """What the drag did is one step; none where it led back to where it began. Without a drag: nothing."""
        if self._drag is None:
            return
        before = self._state()
        (label, begun), design = self._drag, self.design
        self._drag = None
        self._history = begun.stepped(design, label)
        self._tell(before)

    def cancel_drag(self) -> None:
        """All is as it was before the drag, the undone steps too. Without a drag: nothing."""
        if self._drag is None:
            return
        before = self._state()
        self._history, self._drag = self._drag[1], None
        self._tell(before)

    def undo(self) -> None:
        """Take the last step back; a drag that goes on is ended and taken back."""
        self._go(History.undone)

    def redo(self) -> None:
        """Bring the step back that was undone last."""
        self._go(History.redone)

    # --- comparing

    @property
    def kept(self) -> Design | None:
        """The design held for comparing."""
        return self._kept

    @property
    def showing_kept(self) -> bool:
        """Whether the current design is the kept one."""
        return self._kept is not None and self.design == self._kept

    @property
    def can_flip(self) -> bool:
        """Whether there are two designs to flip between."""
        return self._kept is not None and (not self.showing_kept or self._away is not None)

    def keep(self) -> None:
        """Hold the current design for comparing, in place of what was held."""
        self.end_drag()
        before = self._state()
        self._kept, self._away = self.design, None
        self._tell(before)

    def flip(self) -> None:
        """Go to the kept design, or from there back to what it was flipped from. Without a kept design: nothing.

        Flipping there is a step like any other; flipping straight back leaves no trace in the history.
        """
        self.end_drag()
        if self._kept is None or not self.can_flip:
            return
        before = self._state()
        if not self.showing_kept:
            self._away = self._history
            self._history = self._history.stepped(self._kept, FLIP_LABEL)
        elif self._away is not None:
            there = self._away.stepped(self._kept, FLIP_LABEL)
            back = self._history == there
            self._history = self._away if back else self._history.stepped(self._away.design, FLIP_LABEL)
        self._tell(before)

    # --- files

    def new(self, design: Design, name: str = UNNAMED) -> None:
        """Begin anew, with no file and no history."""
        self._begin(design, None, name, design)

    def open(self, path: Path) -> None:
        """Begin anew with the design in a file. Raises: InputError in one sentence; nothing has then changed."""
        stamp = stamp_of(path)
        design = read_design(path)
        self._begin(design, path.absolute(), UNNAMED, design, stamp)

    def recover(self, design: Design, path: Path | None, name: str) -> None:
        """Begin anew with work that was never saved; it counts as changed until it is.

        Parameters:
            design: the recovered design.
            path: of the file it came from, or None.
            name: of the design.
        """
        self._begin(
            design, None if path is None else path.absolute(), name, None, None if path is None else stamp_of(path)
        )

    def save(self, path: Path | None = None) -> None:
        """Write the design to `path` (from then on its file), or to the file that it has.

        Raises: InputError where it has none; OutputError where it cannot be written. Nothing has then changed.
        """
        self.end_drag()
        target = self._path if path is None else path.absolute()
        if target is None:
            raise InputError("this design has no file yet", "Give it a name with Save as")
        write_design(self.design, target)
        before = self._state()
        self._saved, self._path, self._stamp = self.design, target, stamp_of(target)
        self._tell(before)

    def revert(self) -> None:
        """Go back to what the file holds now, as one step that can be undone.

        Raises: InputError where there is no file or it cannot be read. Nothing has then changed.
        """
        self.end_drag()
        if self._path is None:
            raise InputError("this design has no file to go back to", "Undo the steps instead")
        stamp = stamp_of(self._path)
        design = read_design(self._path)
        before = self._state()
        self._history = self._history.stepped(design, REVERT_LABEL)
        self._saved, self._stamp = design, stamp
        self._tell(before)

    def changed_on_disk(self) -> DiskState:
        """What became of its file since it was read or written here; "same" where it has none."""
        if self._path is None or self._stamp is None:
            return "same"
        return disk_state(self._path, self._stamp)

    def accept_disk(self) -> None:
        """The user has seen that the file changed and goes on with the work in hand: do not report it again."""
        if self._path is not None:
            before = self._state()
            self._stamp, self._saved = stamp_of(self._path), None
            self._tell(before)

    # --- inside

    def _begin(
        self, design: Design, path: Path | None, name: str, saved: Design | None, stamp: DiskStamp | None = None
    ) -> None:
        before = self._state()
        self._drag, self._kept, self._away = None, None, None
        self._history, self._saved, self._path, self._name, self._stamp = History(design), saved, path, name, stamp
        self._tell(before)

    def _go(self, move: Callable[[History], History]) -> None:
        self.end_drag()
        before = self._state()
        self._history = move(self._history)
        self._tell(before)

    def _state(self) -> tuple[object, ...]:
        return self._history, self._saved, self._path, self._name, self._kept, self._away

    def _tell(self, before: tuple[object, ...]) -> None:
        if self._state() != before:
            self._listeners.tell()


def with_ending(path: Path) -> Path:
    """The path as a design's file is named: with `.ring.json` where it ends in no `.json` yet."""
    return path if path.suffix.lower() == ".json" else path.with_name(path.name + DESIGN_ENDING)
