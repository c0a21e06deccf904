"""One line of the column: a name, a control, and room for an explanation below."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from ringtex.basics.errors import RingtexError
from ringtex.window.settings.controls.entry_field import EntryField
from ringtex.window.settings.controls.fold_section import FoldSection


class SettingRow(QWidget):
    """A control of one key. `line` takes the name and the control; the explanation shows only when there is one."""

    def __init__(self, key: str, highlight_name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.key = key
        self.highlight_name = highlight_name
        self._use: Callable[[], None] | None = None
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        self.line = QHBoxLayout()
        self.line.setSpacing(8)
        column.addLayout(self.line)
        self.explanation = QLabel(self)
        self.explanation.setProperty("role", "explanation")
        self.explanation.setWordWrap(True)
        self.explanation.setTextFormat(Qt.TextFormat.PlainText)
        self.explanation.setVisible(False)
        self.use_nearest = QPushButton(self)
        self.use_nearest.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Fixed)
        self.use_nearest.setVisible(False)
        self.use_nearest.clicked.connect(self._use_it)
        column.addWidget(self.explanation)
        column.addWidget(self.use_nearest)

    @property
    def explained(self) -> str:
        """The explanation that shows; empty where there is none."""
        return self.explanation.text() if not self.explanation.isHidden() else ""

    def refresh(self) -> None:
        """Show what the design says. Never changes it."""
        raise NotImplementedError

    def matches_design(self) -> bool:
        """Whether the control shows what the design says."""
        raise NotImplementedError

    def explain(self, error: RingtexError, offer: str = "", use: Callable[[], None] | None = None) -> None:
        """Explain in a sentence why a value is refused, and offer the nearest that is accepted.

        Parameters:
            error: why the value cannot be had.
            offer: text of the button that offers another.
            use: what the button does.
        """
        text = sentence(error)
        self.explanation.setText(text)
        self.explanation.setAccessibleName(text)
        self.explanation.setVisible(True)
        self.use_nearest.setText(offer)
        self.use_nearest.setAccessibleName(f"{offer} instead" if offer else "")
        self.use_nearest.setVisible(bool(offer))
        self._use = use
        self._mark(True)
        self._come_in_sight()

    def _come_in_sight(self) -> None:
        """Unfold what the row is folded away in."""
        above = self.parentWidget()
        while above is not None:
            if isinstance(above, FoldSection):
                above.set_folded(False)
            above = above.parentWidget()

    def _mark(self, refused: bool) -> None:
        for field in self.findChildren(EntryField):
            field.mark_refused(refused)

    def clear_explanation(self) -> None:
        """Nothing to explain."""
        if self.explained:
            self.explanation.setVisible(False)
            self.use_nearest.setVisible(False)
            self._use = None
            self._mark(False)

    def _use_it(self) -> None:
        if self._use is not None:
            self._use()


def sentence(error: RingtexError) -> str:
    """The error as one or two sentences, without its key."""
    text = f"{error.message[:1].upper()}{error.message[1:]}."
    return f"{text} {error.advice}." if error.advice else text
