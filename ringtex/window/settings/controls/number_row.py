"""A number of the design: dragged by its name, typed, or stepped with the arrow keys."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import QPointF, QRect, QRectF, QSize, Qt, Signal, SignalInstance
from PySide6.QtGui import QColor, QFocusEvent, QHideEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QLabel, QSizePolicy, QToolButton, QWidget

from ringtex.basics.errors import InputError
from ringtex.edits.design_keys import has_key
from ringtex.window.appearance.colours import colours
from ringtex.window.appearance.painting import painting
from ringtex.window.building.view_state import ViewState
from ringtex.window.settings.controls.entry_field import EntryField
from ringtex.window.settings.controls.number_setting import NumberSetting, number_of, stepped, text_of
from ringtex.window.settings.controls.setting_row import SettingRow
from ringtex.window.settings.design_editor import DesignEditor

CLICK_PX = 3
"""A press that moves less is a click."""
TRACK_PX = 2
SPACE_PX = 5


class DragLabel(QWidget):
    """A dragged distance is given as a fraction of the label's width; Escape aborts the drag."""

    drag_begun = Signal()
    dragged = Signal(float)
    drag_ended = Signal()
    drag_cancelled = Signal()
    clicked = Signal()

    def __init__(self, text: str, state: ViewState, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.set_text(text)
        self._state = state
        self._fraction: float | None = None
        self._pressed: QPointF | None = None
        self._dragging = False
        self._inside = False
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self.setCursor(Qt.CursorShape.SizeHorCursor)
        # A click takes the focus from a field, which commits its text; Tab passes by.
        self.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
        self.setAccessibleName(f"{text}, drag to change")

    def set_text(self, text: str) -> None:
        """Show another name."""
        self.text = text
        self.updateGeometry()
        self.update()

    def set_fraction(self, share: float | None) -> None:
        """Where the number lies in its range, 0 to 1; None for nowhere."""
        if share != self._fraction:
            self._fraction = share
            self.update()

    @property
    def dragging(self) -> bool:
        """Whether it is being dragged."""
        return self._dragging

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """The text on one line."""
        metrics = self.fontMetrics()
        return QSize(metrics.horizontalAdvance(self.text) + 2, metrics.height() + SPACE_PX + TRACK_PX)

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Its longest word."""
        metrics = self.fontMetrics()
        longest = max(metrics.horizontalAdvance(word) for word in self.text.split())
        return QSize(longest + 2, metrics.height() + SPACE_PX + TRACK_PX)

    def hasHeightForWidth(self) -> bool:  # noqa: N802 - Qt's name
        """A narrow label breaks into lines."""
        return True

    def heightForWidth(self, width: int, /) -> int:  # noqa: N802 - Qt's name
        """Height of the text at that width."""
        return self._text_box(width).height() + SPACE_PX + TRACK_PX

    def _text_box(self, width: int) -> QRect:
        return self.fontMetrics().boundingRect(0, 0, max(width, 1), 10_000, int(Qt.TextFlag.TextWordWrap), self.text)

    def paintEvent(self, event: QPaintEvent, /) -> None:  # noqa: N802 - Qt's name
        """The name, and the range with the part up to the number."""
        chosen = colours(self._state.dark)
        with painting(self) as painter:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            lively = self._inside or self._dragging
            painter.setPen(QColor(chosen.text if self.isEnabled() else chosen.faint_text))
            flags = int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft | Qt.TextFlag.TextWordWrap)
            painter.drawText(QRectF(0, 0, self.width(), self.height() - SPACE_PX), flags, self.text)
            if self._fraction is None:
                return
            line = QRectF(0, self.height() - TRACK_PX - 1, self.width(), TRACK_PX)
            painter.fillRect(line, QColor(chosen.line))
            end = min(max(self._fraction, 0.0), 1.0) * self.width()
            line.setWidth(end)
            painter.fillRect(line, QColor(chosen.accent if lively else chosen.soft_text))
            if lively:
                painter.setPen(Qt.PenStyle.NoPen)
                painter.setBrush(QColor(chosen.accent))
                at = min(max(end, 4.0), self.width() - 4.0)
                painter.drawEllipse(QPointF(at, line.center().y() - 1.0), 4.0, 4.0)

    def mousePressEvent(self, event: QMouseEvent, /) -> None:  # noqa: N802 - Qt's name
        """A drag may begin."""
        if event.button() == Qt.MouseButton.LeftButton:
            self._pressed = event.position()

    def mouseMoveEvent(self, event: QMouseEvent, /) -> None:  # noqa: N802 - Qt's name
        """Drag."""
        if self._pressed is None:
            return
        moved = event.position().x() - self._pressed.x()
        if not self._dragging:
            if abs(moved) < CLICK_PX:
                return
            self._dragging = True
            self.drag_begun.emit()
        self.dragged.emit(moved / max(self.width(), 1))
        self.update()

    def mouseReleaseEvent(self, event: QMouseEvent, /) -> None:  # noqa: N802 - Qt's name
        """End the drag; a click focuses the number."""
        was_pressed, self._pressed = self._pressed is not None, None
        if self._dragging:
            self._stop_and(self.drag_ended)
        elif was_pressed:
            self.clicked.emit()

    def keyPressEvent(self, event: QKeyEvent, /) -> None:  # noqa: N802 - Qt's name
        """Escape aborts the drag."""
        if event.key() == Qt.Key.Key_Escape and self._dragging:
            self._pressed = None
            self._stop_and(self.drag_cancelled)
        else:
            super().keyPressEvent(event)

    def focusOutEvent(self, event: QFocusEvent, /) -> None:  # noqa: N802 - Qt's name
        """A drag that loses the focus ends."""
        super().focusOutEvent(event)
        self._let_go()

    def hideEvent(self, event: QHideEvent, /) -> None:  # noqa: N802 - Qt's name
        """A drag on a label that is hidden ends."""
        super().hideEvent(event)
        self._let_go()

    def stop(self) -> None:
        """Forget the drag, which was ended from elsewhere."""
        self._pressed, self._dragging = None, False
        self.update()

    def _let_go(self) -> None:
        self._pressed = None
        if self._dragging:
            self._stop_and(self.drag_ended)

    def _stop_and(self, signal: SignalInstance) -> None:
        self._dragging = False
        self.update()
        signal.emit()

    def enterEvent(self, event: object, /) -> None:  # noqa: N802 - Qt's name
        """Show that it can be dragged."""
        self._inside = True
        self.update()

    def leaveEvent(self, event: object, /) -> None:  # noqa: N802 - Qt's name
        """Calm again."""
        self._inside = False
        self.update()


AUTO = "auto"


class NumberRow(SettingRow):
    """A number with its unit. With `automatic` it may also be "auto", chosen by a button or typed."""

    def __init__(
        self,
        setting: NumberSetting,
        editor: DesignEditor,
        state: ViewState,
        automatic: bool = False,
        parent: QWidget | None = None,
        auto_value: object = AUTO,
    ) -> None:
        super().__init__(setting.key, setting.highlight_name, parent)
        self.setting = setting
        self._editor = editor
        self._automatic = automatic
        self._auto_value = auto_value
        self._auto_number: float | None = None
        self._begun = 0.0
        self.label = DragLabel(setting.label, state, self)
        self.auto = QToolButton(self)
        self.auto.setText("auto")
        self.auto.setCheckable(True)
        self.auto.setVisible(automatic)
        self.auto.setAccessibleName(f"{setting.label}, chosen by itself")
        self.auto.setToolTip("Let the number be chosen by itself")
        self.field = EntryField(setting.label, parent=self)
        self.unit = QLabel(setting.unit, self)
        self.unit.setProperty("role", "soft")
        self.line.addWidget(self.label, 1)
        self.line.addWidget(self.auto)
        self.line.addWidget(self.field)
        self.line.addWidget(self.unit)
        self._describe()
        self._connect()

    def _connect(self) -> None:
        self.field.committed.connect(self._enter)
        self.field.stepped.connect(self._step)
        self.field.reverted.connect(self.clear_explanation)
        self.auto.clicked.connect(self._switch_auto)
        self.label.drag_begun.connect(self._begin)
        self.label.dragged.connect(self._drag)
        self.label.drag_ended.connect(self._editor.end_drag)
        self.label.drag_cancelled.connect(self._editor.cancel_drag)
        self.label.clicked.connect(self._focus_number)

    def _describe(self) -> None:
        tip = f"{self.setting.hint}. {self.setting.limits_text}"
        for part in (self, self.label, self.field):
            part.setToolTip(tip)
        self.field.setAccessibleDescription(tip)

    def changeEvent(self, event: object, /) -> None:  # noqa: N802 - Qt's name
        """The column of units is as wide as its widest."""
        super().changeEvent(event)  # type: ignore[arg-type]
        if hasattr(self, "unit"):
            self._fit_unit()

    def showEvent(self, event: object, /) -> None:  # noqa: N802 - Qt's name
        """As for a change of the text's size."""
        super().showEvent(event)  # type: ignore[arg-type]
        self._fit_unit()

    def _fit_unit(self) -> None:
        room = self.unit.fontMetrics().horizontalAdvance("mm") + 2
        if self.unit.minimumWidth() != room:
            self.unit.setFixedWidth(room)

    def set_key(self, key: str) -> None:
        """Stand for another key of the same kind, such as the next station's width."""
        if key != self.key:
            self.key = key
            self.setting = replace(self.setting, key=key)
            self.field.revert()
            self.refresh()

    def set_label(self, label: str) -> None:
        """Be called otherwise, such as "Ridge" in place of "Groove"."""
        if label != self.setting.label:
            self.setting = replace(self.setting, label=label)
            self.label.set_text(label)
            self.field.setAccessibleName(label)

    def set_auto_number(self, number: float | None) -> None:
        """What "auto" came to in the ring in view."""
        self._auto_number = number
        self.refresh()

    @property
    def value(self) -> float | str | None:
        """The design's value."""
        return self._editor.value(self.key)  # type: ignore[no-any-return]

    def refresh(self) -> None:
        """Show the design's value; explanation and uncommitted text go, unless it is still being typed."""
        if not has_key(self._editor.design, self.key):
            return
        value = self.value
        typing = self.field.hasFocus() and self.field.is_uncommitted
        self.field.show_text(self._text(value))
        if not (typing and self.field.is_uncommitted):
            self.clear_explanation()
        self.auto.setChecked(self._is_auto(value))
        number = self._auto_number if self._is_auto(value) else value
        low, high = self.setting.drag_range
        self.label.set_fraction((number - low) / (high - low) if isinstance(number, int | float) else None)
        if self.label.dragging and not self._editor.document.dragging:
            self.label.stop()

    def matches_design(self) -> bool:
        """Whether the field shows the design's value, or says why it shows another."""
        return self.field.text() == self._text(self.value) or bool(self.explained)

    def _is_auto(self, value: object) -> bool:
        return self._automatic and value == self._auto_value

    def _text(self, value: float | str | None) -> str:
        if self._is_auto(value):
            return AUTO if self._auto_number is None else text_of(self._auto_number, self.setting.decimals)
        return "" if value is None or isinstance(value, str) else text_of(value, self.setting.decimals)

    # --- typed

    def _enter(self, text: str) -> None:
        if self._automatic and text.strip().lower() in (AUTO, "automatic"):
            self._editor.set_value(self.key, self._auto_value, self.setting.change_label)
            self.field.show_text(self._text(self.value), replacing=True)
            return
        try:
            wanted = number_of(text, self.setting.unit, self.setting.whole, self.key)
        except InputError as error:
            self._refuse(error, None)
            return
        error_met = self._editor.set_number(self.setting, wanted)
        if error_met is None:
            self.field.show_text(self._text(self.value), replacing=True)
            self.clear_explanation()
        else:
            self._refuse(error_met, wanted)

    def _refuse(self, error: InputError, wanted: float | None) -> None:
        now = self.value
        if wanted is not None:
            nearest = self._editor.nearest(self.setting, wanted)
        else:
            nearest = now if isinstance(now, int | float) else None
        if nearest is None:
            self.explain(error)
            return
        unit = self.setting.unit
        shown = text_of(nearest, self.setting.decimals) + (f" {unit}" if unit not in ("", "°") else unit)
        self.explain(error, f"Use {shown}", lambda: self._take(nearest))

    def _take(self, value: float) -> None:
        self._editor.set_number(self.setting, value)
        self.field.revert()
        self.refresh()
        self.field.setFocus()

    # --- stepped

    def _number_now(self) -> float:
        value = self.value
        if self._is_auto(value) and self._auto_number is not None:
            return self._auto_number
        return value if isinstance(value, int | float) else self.setting.low

    def _step(self, count: int) -> None:
        if self.explained:
            return
        wanted = stepped(self._number_now(), self.setting.step, count)
        wanted = min(max(wanted, self.setting.low), self.setting.high)
        error = self._editor.set_number(self.setting, wanted)
        if error is not None:
            held = self._editor.nearest(self.setting, wanted)
            if held is None or held == self.value:
                self._refuse(error, wanted)
            else:
                self._editor.set_number(self.setting, held)
        self.field.selectAll()

    def _switch_auto(self, on: bool) -> None:
        low, high = self.setting.drag_range
        number = self._auto_number or stepped(low + (high - low) / 4.0, self.setting.step, 0)
        fixed = int(number) if self.setting.whole else number
        self._editor.set_value(self.key, self._auto_value if on else fixed, self.setting.change_label)
        self.refresh()

    # --- dragged

    def _focus_number(self) -> None:
        self.field.setFocus(Qt.FocusReason.MouseFocusReason)
        self.field.selectAll()

    def _begin(self) -> None:
        self._begun = self._number_now()
        self._editor.begin_drag(self.setting.change_label)

    def _drag(self, share: float) -> None:
        low, high = self.setting.drag_range
        wanted = stepped(self._begun + share * (high - low), self.setting.step, 0)
        wanted = min(max(wanted, min(self.setting.low, self._begun)), max(high, self._begun))
        wanted = max(wanted, low) if self._begun >= low else wanted
        if not self._editor.drag_number(self.setting, wanted):
            self.label.stop()
