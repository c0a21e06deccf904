"""A choice among small drawings, each with its name."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QButtonGroup, QSizePolicy, QToolButton, QVBoxLayout, QWidget

from ringtex.edits.design_keys import has_key
from ringtex.window.appearance.colours import Colours, colours
from ringtex.window.appearance.flow_layout import FlowLayout
from ringtex.window.appearance.painting import painting
from ringtex.window.building.view_state import ViewState
from ringtex.window.settings.controls.setting_row import SettingRow
from ringtex.window.settings.design_editor import DesignEditor

PaintPicture = Callable[[QPainter, QRectF, Colours], None]


@dataclass(frozen=True)
class Picture:
    """One thing to choose: the key's value, its name, its drawing, and a line on what it is."""

    value: object
    name: str
    paint: PaintPicture
    hint: str = ""


class PictureButton(QAbstractButton):
    """A drawing over its name; the chosen one has a frame and a mark."""

    def __init__(self, picture: Picture, state: ViewState, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.picture = picture
        self._state = state
        self.setCheckable(True)
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)
        self.setText(picture.name)
        self.setAccessibleName(picture.name)
        self.setToolTip(picture.hint or picture.name)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Room for the name, and three lines' height for the drawing."""
        line = self.fontMetrics().height()
        width = max(self.fontMetrics().horizontalAdvance(self.text()) + 12, int(line * 3.5))
        return QSize(width, int(line * 3.25) + 10)

    def paintEvent(self, event: QPaintEvent, /) -> None:  # noqa: N802 - Qt's name
        """Ground, drawing, name, frame."""
        chosen = colours(self._state.dark)
        with painting(self) as painter:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            box = QRectF(self.rect()).adjusted(1.5, 1.5, -1.5, -1.5)
            ground = chosen.hover if self.underMouse() else chosen.field
            on = self.isChecked()
            painter.setBrush(QColor(ground))
            painter.setPen(QPen(QColor(chosen.accent if on else chosen.line), 2.0 if on else 1.0))
            painter.drawRoundedRect(box, 4, 4)
            if self.hasFocus():
                painter.setBrush(Qt.BrushStyle.NoBrush)
                painter.setPen(QPen(QColor(chosen.text), 1.0, Qt.PenStyle.DotLine))
                painter.drawRoundedRect(box.adjusted(3, 3, -3, -3), 3, 3)
            line = self.fontMetrics().height()
            name = QRectF(box.left(), box.bottom() - line - 3, box.width(), line)
            painter.setPen(QColor(chosen.text if on else chosen.soft_text))
            painter.drawText(name, int(Qt.AlignmentFlag.AlignCenter), self.text())
            inside = QRectF(box.left() + 6, box.top() + 5, box.width() - 12, name.top() - box.top() - 8)
            painter.save()
            painter.setClipRect(inside)
            self.picture.paint(painter, inside, chosen)
            painter.restore()


class PictureChoice(SettingRow):
    """One of several pictured values of a key."""

    def __init__(
        self,
        key: str,
        label: str,
        pictures: Sequence[Picture],
        editor: DesignEditor,
        state: ViewState,
        parent: QWidget | None = None,
        few: int = 0,
    ) -> None:
        """Of more than `few` pictures, where that is given, only so many and the chosen one are shown at first."""
        super().__init__(key, key.rsplit(".", 1)[-1], parent)
        self._editor = editor
        self._change_label = f"change the {label.lower()}"
        self.setAccessibleName(label)
        holder = QWidget(self)
        holder.setAccessibleName(label)
        flow = FlowLayout(holder, 4)
        flow.setContentsMargins(0, 0, 0, 0)
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        holder.setSizePolicy(policy)
        self._group = QButtonGroup(self)
        self.buttons = [PictureButton(picture, state, holder) for picture in pictures]
        for place, button in enumerate(self.buttons):
            flow.addWidget(button)
            self._group.addButton(button, place)
            button.clicked.connect(lambda _=False, button=button: self._choose(button))
        column = self.layout()
        assert isinstance(column, QVBoxLayout)
        column.insertWidget(0, holder)
        self._few = few
        self.more = QToolButton(self)
        self.more.setCheckable(True)
        self.more.setText(f"All {len(pictures)}")
        self.more.setToolTip("Show every one, or only the usual ones and the chosen one")
        self.more.setVisible(0 < few < len(pictures))
        self.more.toggled.connect(lambda _: self._show_few())
        column.insertWidget(1, self.more)
        self._show_few()

    def _show_few(self) -> None:
        for place, button in enumerate(self.buttons):
            hidden = 0 < self._few <= place and not self.more.isChecked() and not button.isChecked()
            button.setVisible(not hidden)

    def button_of(self, value: object) -> PictureButton:
        """The button of a value. Raises: StopIteration for no such value."""
        return next(button for button in self.buttons if button.picture.value == value)

    def refresh(self) -> None:
        """Show the design's choice."""
        if has_key(self._editor.design, self.key):
            self.button_of(self._editor.value(self.key)).setChecked(True)
            self._show_few()
            self.clear_explanation()

    def matches_design(self) -> bool:
        """Whether the marked drawing is the design's choice."""
        return self.button_of(self._editor.value(self.key)).isChecked()

    def _choose(self, button: PictureButton) -> None:
        error = self._editor.set_value(self.key, button.picture.value, self._change_label)
        self.refresh()
        if error is not None:
            self.explain(error)
