"""Notices: plain sentences under the tool bar that wait for an answer without stopping the work."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QToolButton, QVBoxLayout, QWidget

from ringtex.window.appearance.colours import colours
from ringtex.window.appearance.icons import icon, icon_picture
from ringtex.window.building.view_state import ViewState

STOPPED: Final = "Stopped. The ring in view is the last that was built; Esc or the next change builds on."

Answer = tuple[str, Callable[[], None]]
"""A button's text and what it does; the notice goes when it is pressed."""


class NoticeBar(QWidget):
    """A stack of notices, the newest on top. A notice of the same subject replaces the older one."""

    changed = Signal()
    """A notice came or went."""

    def __init__(self, state: ViewState, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._state = state
        self._notices: dict[str, Notice] = {}
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(0)
        state.theme_changed.connect(self._recolour)
        self.hide()

    def tell(self, subject: str, level: str, text: str, answers: Sequence[Answer] = ()) -> None:
        """Show a notice: level "note", "warning" or "error"; text in whole sentences; a button for each answer.

        Parameters:
            subject: a notice of the same subject is replaced.
            level: "note", "warning" or "error".
            text: in whole sentences.
            answers: a button each.
        """
        self.clear(subject)
        notice = Notice(level, text, answers, lambda: self.clear(subject), self)
        notice.recolour(self._state.dark)
        self._notices[subject] = notice
        # Whoever makes room does so before the notice takes it, or the window would grow.
        self.changed.emit()
        self._column.insertWidget(0, notice)
        self.show()

    def clear(self, subject: str) -> None:
        """Take a notice away; nothing where there is none."""
        notice = self._notices.pop(subject, None)
        if notice is not None:
            self._column.removeWidget(notice)
            notice.hide()
            notice.deleteLater()
            self.setVisible(bool(self._notices))
            self.changed.emit()

    @property
    def wanted_height(self) -> int:
        """Pixels that all notices take, those included that are about to come."""
        return sum(notice.sizeHint().height() for notice in self._notices.values())

    def text(self, subject: str) -> str:
        """What the notice of a subject says; empty where there is none."""
        return self._notices[subject].text if subject in self._notices else ""

    def notice(self, subject: str) -> Notice | None:
        """The notice of a subject."""
        return self._notices.get(subject)

    def _recolour(self) -> None:
        for notice in self._notices.values():
            notice.recolour(self._state.dark)


class Notice(QFrame):
    """A shape, a sentence, answers and a cross."""

    def __init__(
        self, level: str, text: str, answers: Sequence[Answer], close: Callable[[], None], parent: QWidget
    ) -> None:
        super().__init__(parent)
        self.setProperty("role", "notice")
        self.setProperty("level", level)
        self.text = text
        self._level = level
        self._shape = QLabel(self)
        sentence = QLabel(text, self)
        sentence.setWordWrap(True)
        sentence.setTextFormat(Qt.TextFormat.PlainText)
        sentence.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self._close = QToolButton(self)
        self._close.setToolTip("Close this notice")
        self._close.setAccessibleName("Close this notice")
        self._close.setIconSize(QSize(16, 16))
        self._close.clicked.connect(close)
        self.setAccessibleName(text)
        row = QHBoxLayout(self)
        row.setContentsMargins(16, 4, 8, 4)
        row.setSpacing(8)
        row.addWidget(self._shape)
        row.addWidget(sentence, 1)
        self.buttons: dict[str, QPushButton] = {}
        for name, act in answers:
            button = QPushButton(name, self)
            button.clicked.connect(_then(act, close))
            row.addWidget(button)
            self.buttons[name] = button
        row.addWidget(self._close)

    def recolour(self, dark: bool) -> None:
        """Draw shape and cross in the theme's colours."""
        chosen = colours(dark)
        level_colour = getattr(chosen, self._level)
        self._shape.setPixmap(icon_picture(self._level, 20, level_colour, self.devicePixelRatioF()))
        self._close.setIcon(icon("close", chosen))


def _then(act: Callable[[], None], close: Callable[[], None]) -> Callable[[], None]:
    """Close the notice first, so that whatever the answer does may show another one."""

    def both() -> None:
        close()
        act()

    return both
