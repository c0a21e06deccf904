"""A part of the column that folds away, with a summary that stays."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFont, QFontMetrics, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QAbstractButton, QLabel, QSizePolicy, QVBoxLayout, QWidget

from ringtex.window.appearance.colours import colours
from ringtex.window.appearance.painting import painting
from ringtex.window.appearance.theme import even_figures
from ringtex.window.building.view_state import ViewState


class FoldHeader(QAbstractButton):
    """The section's name with a small arrow, and what it is set to in a softer tone."""

    def __init__(self, title: str, state: ViewState, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.title = title
        self.summary = ""
        self._state = state
        self.setCheckable(True)
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)
        self.setChecked(True)
        self.setText(title)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setToolTip(f"Fold or unfold {title}")
        self.set_summary("")

    def set_summary(self, text: str) -> None:
        """Say in a few words what the section is set to."""
        self.summary = text
        self.setAccessibleName(f"{self.title}{', ' + text if text else ''}")
        self.update()

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Room for one line."""
        return QSize(self._title_width() + 40, self.fontMetrics().height() + 16)

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Room for the name; the summary gives way."""
        return self.sizeHint()

    def _title_font(self) -> QFont:
        font = QFont(self.font())
        font.setWeight(QFont.Weight.DemiBold)
        return font

    def _title_width(self) -> int:
        return QFontMetrics(self._title_font()).horizontalAdvance(self.title)

    def paintEvent(self, event: QPaintEvent, /) -> None:  # noqa: N802 - Qt's name
        """Arrow, name, summary; a frame where it has the focus."""
        chosen = colours(self._state.dark)
        with painting(self) as painter:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            if self.underMouse():
                painter.fillRect(self.rect(), QColor(chosen.hover))
            if self.hasFocus():
                painter.setPen(QPen(QColor(chosen.accent), 2))
                painter.drawRoundedRect(self.rect().adjusted(1, 1, -1, -1), 4, 4)
            middle, size = self.height() / 2.0, self.fontMetrics().height() / 4.0
            self._paint_arrow(painter, QColor(chosen.soft_text), 8.0 + size, middle, size)
            left = int(8 + 2 * size + 8)
            painter.setFont(self._title_font())
            painter.setPen(QColor(chosen.text))
            box = self.rect().adjusted(left, 0, -8, 0)
            painter.drawText(box, int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft), self.title)
            painter.setFont(even_figures(self.font()))
            painter.setPen(QColor(chosen.soft_text))
            box.setLeft(left + self._title_width() + 16)
            short = painter.fontMetrics().elidedText(self.summary, Qt.TextElideMode.ElideRight, box.width())
            painter.drawText(box, int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight), short)

    def _paint_arrow(self, painter: QPainter, colour: QColor, x: float, y: float, size: float) -> None:
        arrow = [QPointF(-size, -size / 2), QPointF(0.0, size / 2), QPointF(size, -size / 2)]
        painter.save()
        painter.translate(x, y)
        painter.rotate(0.0 if self.isChecked() else -90.0)
        painter.setPen(QPen(colour, 1.75))
        painter.drawPolyline(QPolygonF(arrow))
        painter.restore()


class FoldSection(QWidget):
    """A header and what it folds."""

    folded_changed = Signal()

    def __init__(self, title: str, state: ViewState, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.header = FoldHeader(title, state, self)
        self.body = QWidget(self)
        self.column = QVBoxLayout(self.body)
        self.column.setContentsMargins(16, 4, 16, 16)
        self.column.setSpacing(8)
        self.message = QLabel(self.body)
        self.message.setProperty("role", "explanation")
        self.message.setWordWrap(True)
        self.message.setVisible(False)
        self.column.addWidget(self.message)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.setSpacing(0)
        outer.addWidget(self.header)
        outer.addWidget(self.body)
        self.header.toggled.connect(self._fold)

    @property
    def folded(self) -> bool:
        """Whether only the header shows."""
        return not self.header.isChecked()

    def set_folded(self, folded: bool) -> None:
        """Fold or unfold."""
        self.header.setChecked(not folded)

    def show_message(self, text: str) -> None:
        """Explain what concerns the section as a whole; empty for nothing."""
        self.message.setText(text)
        self.message.setAccessibleName(text)
        self.message.setVisible(bool(text))

    def _fold(self, shown: bool) -> None:
        self.body.setVisible(shown)
        self.folded_changed.emit()
