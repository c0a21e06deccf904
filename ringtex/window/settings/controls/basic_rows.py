"""Rows of one choice among names, one yes or no, one line of text."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPalette, QPen, QPolygonF, QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QBoxLayout, QCheckBox, QComboBox, QLabel, QPushButton, QSizePolicy, QWidget

from ringtex.edits.design_keys import has_key
from ringtex.window.appearance.painting import painting
from ringtex.window.settings.controls.entry_field import EntryField
from ringtex.window.settings.controls.setting_row import SettingRow
from ringtex.window.settings.design_editor import DesignEditor


class NoWheelComboBox(QComboBox):
    """A box that drops down, lets the wheel pass by, and shortens what does not fit."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToContents)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Room for a few letters and the arrow."""
        return QSize(self.fontMetrics().height() * 5, super().minimumSizeHint().height())

    def paintEvent(self, event: QPaintEvent, /) -> None:  # noqa: N802 - Qt's name
        """Frame, name, arrow."""
        palette = self.palette()
        with painting(self) as painter:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            width = 2.0 if self.hasFocus() else 1.0
            role = QPalette.ColorRole.Highlight if self.hasFocus() else QPalette.ColorRole.Mid
            painter.setPen(QPen(palette.color(role), width))
            painter.setBrush(
                palette.color(QPalette.ColorRole.Midlight if self.underMouse() else QPalette.ColorRole.Base)
            )
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), 4, 4)
            line = self.fontMetrics().height()
            box = self.rect().adjusted(8, 0, -line - 8, 0)
            painter.setPen(palette.color(QPalette.ColorRole.Text))
            if not self.isEditable():
                text = self.fontMetrics().elidedText(self.currentText(), Qt.TextElideMode.ElideRight, box.width())
                painter.drawText(box, int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft), text)
            size, middle = line / 4.0, QPointF(self.width() - line / 2.0 - 6.0, self.height() / 2.0)
            painter.setPen(QPen(palette.color(QPalette.ColorRole.PlaceholderText), 1.75))
            arrow = [QPointF(-size, -size / 2.0), QPointF(0.0, size / 2.0), QPointF(size, -size / 2.0)]
            painter.drawPolyline(QPolygonF([middle + corner for corner in arrow]))

    def wheelEvent(self, event: QWheelEvent, /) -> None:  # noqa: N802 - Qt's name
        """The wheel scrolls the column, never a choice."""
        event.ignore()


class ChoiceRow(SettingRow):
    """One of several values of a key, each with its name for the screen."""

    def __init__(
        self,
        key: str,
        label: str,
        choices: Sequence[tuple[str, object]],
        hint: str,
        editor: DesignEditor,
        highlight_name: str = "",
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(key, highlight_name or key.rsplit(".", 1)[-1], parent)
        self._editor = editor
        self._values = [value for _, value in choices]
        self._change_label = f"change the {label.lower()}"
        name = QLabel(label, self)
        name.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Preferred)
        self.box = NoWheelComboBox(self)
        self.box.addItems([text for text, _ in choices])
        self.box.setAccessibleName(label)
        self.box.setAccessibleDescription(hint)
        name.setBuddy(self.box)
        self._name = name
        self.setToolTip(hint)
        self.line.addWidget(name)
        self.line.addWidget(self.box, 1)
        self.box.activated.connect(self._choose)

    def resizeEvent(self, event: QResizeEvent, /) -> None:  # noqa: N802 - Qt's name
        """The name goes above the box where both do not fit beside each other."""
        super().resizeEvent(event)
        wanted = self._name.sizeHint().width() + self.line.spacing() + self.box.sizeHint().width()
        beside = wanted <= self.width()
        self.line.setDirection(QBoxLayout.Direction.LeftToRight if beside else QBoxLayout.Direction.TopToBottom)
        self.line.setSpacing(8 if beside else 4)

    def refresh(self) -> None:
        """Show the design's choice."""
        if has_key(self._editor.design, self.key):
            self.box.setCurrentIndex(self._values.index(self._editor.value(self.key)))
            self.clear_explanation()

    def matches_design(self) -> bool:
        """Whether the box shows the design's choice."""
        return bool(self._values[self.box.currentIndex()] == self._editor.value(self.key))

    def _choose(self, place: int) -> None:
        error = self._editor.set_value(self.key, self._values[place], self._change_label)
        self.refresh()
        if error is not None:
            self.explain(error)


class TickRow(SettingRow):
    """A box to tick. `when_on` and `when_off` make the key's values; a key counts as on unless it has the off value."""

    def __init__(
        self,
        key: str,
        label: str,
        hint: str,
        editor: DesignEditor,
        when_on: Callable[[], object] = lambda: True,
        when_off: object = False,
        highlight_name: str = "",
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(key, highlight_name or key.rsplit(".", 1)[-1], parent)
        self._editor = editor
        self._on, self._off = when_on, when_off
        self._change_label = f"change {label[0].lower()}{label[1:]}"
        self.box = QCheckBox(label, self)
        self.box.setAccessibleName(label)
        self.box.setAccessibleDescription(hint)
        self.setToolTip(hint)
        self.line.addWidget(self.box, 1)
        self.box.clicked.connect(self._tick)

    def refresh(self) -> None:
        """Show what the design says."""
        if has_key(self._editor.design, self.key):
            self.box.setChecked(self._editor.value(self.key) != self._off)
            self.clear_explanation()

    def matches_design(self) -> bool:
        """Whether the box shows what the design says."""
        return self.box.isChecked() == bool(self._editor.value(self.key) != self._off)

    def _tick(self, on: bool) -> None:
        error = self._editor.set_value(self.key, self._on() if on else self._off, self._change_label)
        self.refresh()
        if error is not None:
            self.explain(error)


class TextField(EntryField):
    """As wide as there is room, read from the left."""

    def __init__(self, name: str, parent: QWidget) -> None:
        super().__init__(name, parent=parent)
        self.setAlignment(Qt.AlignmentFlag.AlignLeft)

    def _fit(self) -> None:
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setMinimumWidth(self.fontMetrics().horizontalAdvance("m" * 8))


class TextRow(SettingRow):
    """Some words: taken on Enter or when the line is left."""

    def __init__(self, key: str, label: str, hint: str, editor: DesignEditor, parent: QWidget) -> None:
        super().__init__(key, key.split(".", maxsplit=1)[0], parent)
        self._editor = editor
        self._change_label = f"change the {label.lower()}"
        name = QLabel(label, self)
        self.field = TextField(label, self)
        self.field.setAccessibleDescription(hint)
        name.setBuddy(self.field)
        self.setToolTip(hint)
        self.line.addWidget(name)
        self.line.addWidget(self.field, 1)
        self.field.committed.connect(self._enter)
        self.field.reverted.connect(self.clear_explanation)

    def refresh(self) -> None:
        """Show the design's text."""
        if has_key(self._editor.design, self.key):
            typing = self.field.hasFocus() and self.field.is_uncommitted
            self.field.show_text(str(self._editor.value(self.key)))
            if not (typing and self.field.is_uncommitted):
                self.clear_explanation()

    def matches_design(self) -> bool:
        """Whether the line shows the design's text, or says why it shows another."""
        return self.field.text() == self._editor.value(self.key) or bool(self.explained)

    def _enter(self, text: str) -> None:
        error = self._editor.set_value(self.key, text, self._change_label)
        if error is not None:
            self.explain(error)
        else:
            self.field.show_text(str(self._editor.value(self.key)), replacing=True)
            self.clear_explanation()


class EffectRow(SettingRow):
    """Says beside a control that it has no effect now, and offers what would give it one."""

    def __init__(self, key: str, note: str, offer: str, act: Callable[[], None], parent: QWidget) -> None:
        super().__init__(f"{key}.effect", key.rsplit(".", 1)[-1], parent)
        self.note = QLabel(note, self)
        self.note.setProperty("role", "soft")
        self.note.setWordWrap(True)
        self.offer = QPushButton(offer, self)
        self.offer.clicked.connect(act)
        self.line.addWidget(self.note, 1)
        self.line.addWidget(self.offer)

    def refresh(self) -> None:
        """Who made it shows and hides it."""

    def matches_design(self) -> bool:
        """It shows no value."""
        return True
