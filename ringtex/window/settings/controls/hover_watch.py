"""Tells the views which setting is hovered or focused."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject
from PySide6.QtWidgets import QApplication, QWidget

from ringtex.window.building.view_state import ViewState


class HoverWatch(QObject):
    """Sets `hovered_setting` while a watched widget is pointed at or, where none is, has the focus."""

    def __init__(self, state: ViewState, parent: QObject) -> None:
        super().__init__(parent)
        self._state = state
        self._names: dict[QObject, str] = {}
        self._pointed: str | None = None
        self._focused: str | None = None
        application = QApplication.instance()
        assert isinstance(application, QApplication)
        application.focusChanged.connect(self._follow_focus)

    def watch(self, widget: QWidget, name: str) -> None:
        """Watch a widget with what is inside it; again, to give it another name.

        Only the widget itself is filtered: a filter in Python on each of 700 widgets slows every event down.
        """
        if widget not in self._names:
            widget.installEventFilter(self)
        self._names[widget] = name

    def point_at(self, name: str | None) -> None:
        """Say what is pointed at where a widget has several settings, such as the handles of a drawing."""
        self._pointed = name
        self._tell()

    def eventFilter(self, watched: QObject, event: QEvent, /) -> bool:  # noqa: N802 - Qt's name
        """Follow the pointer. Qt tells a widget also of the pointer's coming to one inside it, outer ones first."""
        kind = event.type()
        if kind == QEvent.Type.Enter:
            self.point_at(self._names.get(watched))
        elif kind == QEvent.Type.Leave and isinstance(watched, QWidget):
            outer = watched.parentWidget()
            while outer is not None and not (outer in self._names and outer.underMouse()):
                outer = outer.parentWidget()
            self.point_at(None if outer is None else self._names[outer])
        return False

    def _follow_focus(self, _before: QWidget | None, now: QWidget | None) -> None:
        while now is not None and now not in self._names:
            now = now.parentWidget()
        self._focused = None if now is None else self._names[now]
        self._tell()

    def _tell(self) -> None:
        self._state.set_hovered_setting(self._pointed or self._focused)
