"""The window's commands, in the order of its menus."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from PySide6.QtGui import QKeySequence

from ringtex.basics.errors import InputError
from ringtex.edits.pattern_ties import SOME_SCATTER, can_scatter, seed_has_effect, with_scatter
from ringtex.edits.strip_edits import with_seed
from ringtex.window.app.window_actions import Command, CommandWindow
from ringtex.window.appearance.theme import MODES
from ringtex.window.building.view_state import FINISHES, OVERLAYS
from ringtex.window.ring_view.view_row import VIEW_BUTTONS

Keys = QKeySequence.StandardKey

MENUS: Final = {
    "&File": (
        "begin",
        "open",
        "recent",
        "-",
        "save",
        "save_as",
        "revert",
        "-",
        "export",
        "sheet",
        "size_run",
        "-",
        "quit",
    ),
    "&Edit": ("undo", "redo", "-", "seed_previous", "seed_next", "-", "keep", "flip", "-", "stop"),
    "&View": (
        *(f"view_{name}" for name, *_ in VIEW_BUTTONS),
        "-",
        "seam",
        "true_size",
        "-",
        *(f"overlay_{name}" for name in OVERLAYS),
        "compare",
        "-",
        *(f"finish_{name}" for name in FINISHES),
        "-",
        *(f"theme_{mode}" for mode in MODES),
    ),
    "&Help": ("keys", "cautions", "about"),
}
TOOLS: Final = (
    "begin", "open", "save", "export", "sheet", "-", "undo", "redo", "-", "seed_previous", "seed_next", "-", "keep",
    "flip", "-", "seam",
)  # fmt: skip


SEED_WITHOUT_EFFECT: Final = "Another seed changes nothing here: at scatter 0 neither cells nor depths are random."


def file_commands(window: CommandWindow) -> list[Command]:
    """New, open, save and export."""
    files, document = window.files, window.document
    return [
        Command("begin", "&New from ...", "Show pictures of what one can begin with", window.toggle_start_row,
                Keys.New, "new", checked=lambda: window.start_row.isVisibleTo(window),
                short="New"),
        Command("open", "&Open ...", "Open a ring design, or put a pattern on this ring", files.open,
                Keys.Open, "open"),
        Command("save", "&Save", "Save this design", files.save, Keys.Save, "save"),
        Command("save_as", "Save &as ...", "Save this design under another name", files.save_as, "Ctrl+Shift+S"),
        Command("revert", "Go back to the saved ring", "Take what the file holds; this can be undone", files.revert,
                enabled=lambda: document.path is not None and document.changed),
        Command("export", "&Export ...", "Write the finished mesh for printing", files.export, "Ctrl+E", "export",
                short="Export"),
        Command("sheet", "&Workshop sheet ...", "Write pictures, measures, weights and cautions to pin up at the bench",
                window.making.open_sheet, "Ctrl+P", "sheet", short="Sheet"),
        Command("size_run", "Si&ze run ...", "Make this design in many finger sizes at once",
                window.making.open_size_run, "Ctrl+Shift+E"),
        Command("quit", "&Quit", "Close the window", window.close, Keys.Quit),
    ]  # fmt: skip


def edit_commands(window: CommandWindow) -> list[Command]:
    """Undo and redo by name, seeds, comparing, stopping."""
    document = window.document
    return [
        Command("undo", lambda: _named("&Undo", document.undo_label), "Take the last step back", document.undo,
                Keys.Undo, "undo", lambda: document.undo_label is not None),
        Command("redo", lambda: _named("&Redo", document.redo_label), "Bring the undone step back", document.redo,
                Keys.Redo, "redo", lambda: document.redo_label is not None),
        Command("seed_previous", "&Previous seed", "Go back to the seed before", lambda: step_seed(window, -1),
                "Shift+N", "seed_previous"),
        Command("seed_next", "&Next seed", "Try the next arrangement of scattered cells and depths",
                lambda: step_seed(window, 1), "N", "seed_next",
                short="Next seed"),
        Command("keep", "&Keep this", "Hold this ring, to flip between it and what comes", document.keep, "K", "keep",
                short="Keep this"),
        Command("flip", "&Flip", "Flip both views between the kept ring and this one", document.flip, "F", "flip",
                lambda: document.can_flip, lambda: document.showing_kept, "Flip"),
        Command("stop", "&Stop building", "Stop the ring that is being built; once more builds on", window.stop, "Esc"),
    ]  # fmt: skip


def view_commands(window: CommandWindow) -> list[Command]:
    """Where both views look from, and what they show."""
    state = window.state
    found = [
        Command(f"view_{name}", title, tip, _call(window.ring.show_from, name), key)
        for name, title, key, tip in VIEW_BUTTONS
    ]
    found.append(Command("seam", "Show the &seam", "Put the seam in the middle of both views", state.show_seam,
                         "S", "seam", short="Seam"))  # fmt: skip
    found.append(Command("true_size", "Strip in &true size", "Draw the strip as wide as the ring is at every angle; "
                         "otherwise as the rectangle that patterns are made on",
                         lambda: state.set_true_size(not state.true_size), "T",
                         checked=lambda: state.true_size))  # fmt: skip
    titles = {"none": "No overlay", "stretch": "Stretch", "angle_error": "Angle error", "cell_size": "Cell size",
              "thickness": "Thickness", "findings": "Findings"}  # fmt: skip
    for key, name in enumerate(OVERLAYS):
        found.append(Command(f"overlay_{name}", titles[name], "Colours over strip and ring, with a legend",
                             _call(state.set_overlay, name), f"Alt+{key}",
                             checked=_equals(lambda: state.overlay, name)))  # fmt: skip
    found.append(Command("compare", "Compare &mappings ...", "Lengths, shape, area kept or even cells, side by side",
                         window.making.open_comparison, "M"))  # fmt: skip
    for name in FINISHES:
        found.append(Command(f"finish_{name}", _metal_title(name), "Show the ring in this metal",
                             _call(state.set_finish, name), checked=_equals(lambda: state.finish, name)))  # fmt: skip
    modes = {"system": "Light or dark as the system", "light": "Light", "dark": "Dark"}
    for mode in MODES:
        found.append(Command(f"theme_{mode}", modes[mode], "Colours of the window", _call(window.set_theme, mode),
                             checked=_equals(lambda: window.theme.mode, mode)))  # fmt: skip
    return found


def _metal_title(name: str) -> str:
    return "As the alloy" if name == "alloy" else name.replace("_", " ").capitalize()


def step_seed(window: CommandWindow, step: int) -> None:
    """Another seed for pattern and relief alike, as one step that can be undone; none where nothing is random."""
    document = window.document
    if not seed_has_effect(document.design) and document.design.relief.depth_scatter == 0.0:
        offers = [(f"Scatter {SOME_SCATTER:g}", lambda: _scatter(window))] if can_scatter(document.design) else []
        window.notices.tell("seed", "note", SEED_WITHOUT_EFFECT, offers)
        return
    try:
        document.change(with_seed(document.design, step), "take another seed")
    except InputError as error:
        window.errors.show_error(error, "seed")
        return
    window.notices.clear("seed")


def _scatter(window: CommandWindow) -> None:
    window.document.change(with_scatter(window.document.design), "scatter the cells")


def _named(word: str, label: str | None) -> str:
    return f"{word} {label}" if label else word


def _call(act: Callable[[str], None], name: str) -> Callable[[], None]:
    return lambda: act(name)


def _equals(current: Callable[[], str], name: str) -> Callable[[], bool]:
    return lambda: current() == name
