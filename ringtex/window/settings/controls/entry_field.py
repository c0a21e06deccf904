"""A field whose typed text is committed on Enter or when the focus leaves."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QEvent, QKeyCombination, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QKeySequence, QWheelEvent
from PySide6.QtWidgets import QLineEdit, QSizePolicy, QWidget

from ringtex.window.appearance.theme import even_figures

EXPORT: Final = QKeyCombination(Qt.KeyboardModifier.ControlModifier, Qt.Key.Key_E).toCombined()
HISTORY: Final = (QKeySequence.StandardKey.Undo, QKeySequence.StandardKey.Redo)

FAST = 10
"""How many steps an arrow key goes with Shift."""


class EntryField(QLineEdit):
    """Right-aligned, figures of equal width. Commits typed text on Enter or when the focus leaves; arrow
    keys are steps; the wheel passes by; Escape brings back what was shown.
    """

    committed = Signal(str)
    """The typed text."""
    stepped = Signal(int)
    """Steps up or down."""
    reverted = Signal()
    """The typed text was discarded."""

    def __init__(self, name: str, widest: str = "0000.00", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._shown = ""
        self._widest = widest
        self.setFont(even_figures(self.font()))
        self.setAlignment(Qt.AlignmentFlag.AlignRight)
        self.setAccessibleName(name)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self._fit()

    @property
    def shown(self) -> str:
        """The text that stands for the design's value."""
        return self._shown

    @property
    def is_uncommitted(self) -> bool:
        """Whether the text differs from the design's value."""
        return self.text() != self._shown

    def show_text(self, text: str, replacing: bool = False) -> None:
        """Show the design's value. Uncommitted text in the focused field stays while that value stays."""
        keeps = self.is_uncommitted and self.hasFocus() and text == self._shown and not replacing
        self._shown = text
        if not keeps and self.text() != text:
            self.setText(text)
            if self.hasFocus():
                self.selectAll()

    def mark_refused(self, refused: bool) -> None:
        """Frame it, or not, as a text that cannot be had."""
        if bool(self.property("refused")) != refused:
            self.setProperty("refused", refused)
            self.style().unpolish(self)
            self.style().polish(self)

    def revert(self) -> None:
        """Discard the typed text."""
        self.show_text(self._shown, replacing=True)
        self.reverted.emit()

    def changeEvent(self, event: QEvent, /) -> None:  # noqa: N802 - Qt's name
        """Larger text needs more room."""
        super().changeEvent(event)
        if event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange):
            self._fit()

    def _fit(self) -> None:
        room = self.fontMetrics().horizontalAdvance(self._widest) + 20
        if self.minimumWidth() != room:
            self.setFixedWidth(room)

    def event(self, event: QEvent, /) -> bool:
        """Undo and redo go to the design unless text is uncommitted; Ctrl+E always exports."""
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            mine = event.keyCombination().toCombined() != EXPORT and (
                self.is_uncommitted or not any(map(event.matches, HISTORY))
            )
            if not mine:
                event.ignore()
                return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent, /) -> None:  # noqa: N802 - Qt's name
        """Enter, Escape and the arrows up and down."""
        fast = FAST if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else 1
        key = event.key()
        if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.commit()
            self.selectAll()
        elif key == Qt.Key.Key_Escape and self.is_uncommitted:
            self.revert()
        elif key in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            self.commit()
            self.stepped.emit(fast if key == Qt.Key.Key_Up else -fast)
        elif self._is_undo(event):
            event.ignore()
        else:
            super().keyPressEvent(event)

    def _is_undo(self, event: QKeyEvent) -> bool:
        """The line's own undo would only bring back text; without uncommitted text the document undoes."""
        keys = (QKeySequence.StandardKey.Undo, QKeySequence.StandardKey.Redo)
        return not self.is_uncommitted and any(event.matches(key) for key in keys)

    def focusInEvent(self, event: QFocusEvent, /) -> None:  # noqa: N802 - Qt's name
        """Select all, so that typing replaces."""
        super().focusInEvent(event)
        if event.reason() in (Qt.FocusReason.TabFocusReason, Qt.FocusReason.BacktabFocusReason):
            self.selectAll()

    def focusOutEvent(self, event: QFocusEvent, /) -> None:  # noqa: N802 - Qt's name
        """Leaving the field commits; opening a menu or another window does not."""
        super().focusOutEvent(event)
        if event.reason() not in (Qt.FocusReason.PopupFocusReason, Qt.FocusReason.ActiveWindowFocusReason):
            self.commit()

    def wheelEvent(self, event: QWheelEvent, /) -> None:  # noqa: N802 - Qt's name
        """The wheel scrolls the column, never a number."""
        event.ignore()

    def commit(self) -> None:
        """Commit the typed text."""
        if self.is_uncommitted:
            self.committed.emit(self.text())
