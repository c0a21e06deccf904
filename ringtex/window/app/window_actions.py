"""Every command of the window as data: its name, its key, its icon, what it does and when it can be done."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QMainWindow, QMenu, QToolBar

from ringtex.document.document import Document
from ringtex.window.app.error_display import ErrorDisplay
from ringtex.window.app.file_handling import FileHandling
from ringtex.window.app.making_dialogs import MakingDialogs
from ringtex.window.app.preferences import Preferences
from ringtex.window.app.start_row import StartRow
from ringtex.window.appearance.colours import colours
from ringtex.window.appearance.icons import icon
from ringtex.window.appearance.theme import Theme
from ringtex.window.building.view_state import ViewState
from ringtex.window.ring_view.ring_view import RingView
from ringtex.window.status.notices import NoticeBar


def _always() -> bool:
    return True


@dataclass(frozen=True)
class Command:
    """One command. title may be a function where it names what it does now ("Undo change the depth").

    key: a standard key of the platform, a text such as "Ctrl+E", or None. checked: for commands that are on or off.
    short: a word or two that stands beside the icon in the tool bar; without it the icon stands alone.
    """

    name: str
    title: str | Callable[[], str]
    about: str
    run: Callable[[], object]
    key: QKeySequence.StandardKey | str | None = None
    icon: str | None = None
    enabled: Callable[[], bool] = _always
    checked: Callable[[], bool] | None = None
    short: str = ""

    @property
    def words(self) -> str:
        """Its title as it is now."""
        return self.title if isinstance(self.title, str) else self.title()


class CommandWindow(QMainWindow):
    """What the commands need of the main window, which is one."""

    document: Document
    state: ViewState
    remembering: Preferences
    files: FileHandling
    making: MakingDialogs
    errors: ErrorDisplay
    notices: NoticeBar
    theme: Theme
    ring: RingView
    start_row: StartRow

    def toggle_start_row(self) -> None:
        """Show or hide the pictured starting points."""
        raise NotImplementedError

    def set_theme(self, mode: str) -> None:
        """Follow the system, or stay light or dark."""
        raise NotImplementedError

    def stop(self) -> None:
        """Take back what goes on, or stop what is being built, or build on."""
        raise NotImplementedError


class WindowActions:
    """The commands as Qt's actions, put into menus and the tool bar, and kept up to date by `refresh`."""

    def __init__(self, window: QMainWindow, commands: Iterable[Command]) -> None:
        self.commands = {command.name: command for command in commands}
        self.actions = {name: _action(window, command) for name, command in self.commands.items()}

    def refresh(self) -> None:
        """Bring titles, ticks and what can be done up to date."""
        for name, action in self.actions.items():
            command = self.commands[name]
            if action.text() != command.words:
                action.setText(command.words)
                action.setIconText(command.short)
                action.setToolTip(_tip(command, action))
            action.setEnabled(command.enabled())
            if command.checked is not None:
                action.setChecked(command.checked())

    def recolour(self, dark: bool) -> None:
        """Draw the icons in the theme's colours."""
        for name, action in self.actions.items():
            drawn = self.commands[name].icon
            if drawn is not None:
                action.setIcon(icon(drawn, colours(dark)))

    def fill(self, place: QMenu | QToolBar, names: Iterable[str]) -> None:
        """Put commands into a menu or bar; "-" is a line between groups."""
        for name in names:
            if name == "-":
                place.addSeparator()
            else:
                place.addAction(self.actions[name])


def _action(window: QMainWindow, command: Command) -> QAction:
    action = QAction(command.words, window)
    action.setObjectName(command.name)
    if command.key is not None:
        keys = QKeySequence.keyBindings(command.key) if not isinstance(command.key, str) else []
        action.setShortcuts(keys or ([QKeySequence(command.key)] if isinstance(command.key, str) else []))
    action.setToolTip(_tip(command, action))
    action.setStatusTip(command.about)
    action.setCheckable(command.checked is not None)
    action.setIconVisibleInMenu(False)
    action.setIconText(command.short)
    action.triggered.connect(lambda _=False: command.run())
    window.addAction(action)
    return action


def _tip(command: Command, action: QAction) -> str:
    keys = action.shortcut().toString(QKeySequence.SequenceFormat.NativeText)
    words = command.words.rstrip(". ").replace("&", "")
    return f"{words}{f' ({keys})' if keys else ''}: {command.about}"
