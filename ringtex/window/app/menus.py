"""Menus and tool bar, filled from the window's commands."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt
from PySide6.QtWidgets import QToolButton

from ringtex.window.app.help_pages import HelpPage, about_html, cautions_html, keys_html
from ringtex.window.app.view_commands import MENUS, TOOLS, edit_commands, file_commands, view_commands
from ringtex.window.app.window_actions import Command, CommandWindow, WindowActions


class WindowMenus:
    """The window's commands in their places."""

    def __init__(self, window: CommandWindow) -> None:
        self._window = window
        commands = [*file_commands(window), *edit_commands(window), *view_commands(window), *self._help_commands()]
        self.all = WindowActions(window, commands)
        self._fill_menus()
        self._fill_tool_bar()
        window.remembering.recent_changed.connect(self._fill_recent)
        window.state.theme_changed.connect(lambda: self.all.recolour(window.state.dark))
        self.all.recolour(window.state.dark)
        self._fill_recent()

    def refresh(self) -> None:
        """Bring everything up to date."""
        self.all.refresh()

    def trigger(self, name: str) -> None:
        """Do what the command's menu entry does."""
        self.all.actions[name].trigger()

    def _fill_menus(self) -> None:
        for title, names in MENUS.items():
            menu = self._window.menuBar().addMenu(title)
            menu.setToolTipsVisible(True)
            for name in names:
                if name == "recent":
                    self._recent = menu.addMenu("Open &recent")
                else:
                    self.all.fill(menu, [name])

    def _fill_tool_bar(self) -> None:
        bar = self._window.addToolBar("Tools")
        bar.setObjectName("tools")
        bar.setMovable(False)
        bar.setIconSize(QSize(20, 20))
        bar.setContextMenuPolicy(Qt.ContextMenuPolicy.PreventContextMenu)
        self.all.fill(bar, TOOLS)
        bar.toggleViewAction().setEnabled(False)
        for button in bar.findChildren(QToolButton):
            button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            action = button.defaultAction()
            if action is not None:
                button.setAccessibleName(action.text().replace("&", ""))
                if self.all.commands[action.objectName()].short:
                    button.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)

    def _fill_recent(self) -> None:
        self._recent.clear()
        for path in self._window.remembering.recent:
            entry = self._recent.addAction(f"{path.name}   {path.parent}")
            entry.triggered.connect(lambda _=False, path=path: self._window.files.open_file(path))
        self._recent.setEnabled(not self._recent.isEmpty())

    def _help_commands(self) -> list[Command]:
        window = self._window
        return [
            Command("keys", "&Keys and mouse", "What keys and mouse do",
                    lambda: HelpPage("Keys and mouse", keys_html(self.all), window).open(), "F1"),
            Command("cautions", "&Take care", "What to beware of when the ring is made and worn",
                    lambda: HelpPage("Take care", cautions_html(window.document.design), window).open()),
            Command("about", "&About ringtex", "Version and license",
                    lambda: HelpPage("About ringtex", about_html(), window).open()),
        ]  # fmt: skip
