"""A layout that fills rows from left to right and begins a new one where the width ends."""

from __future__ import annotations

from PySide6.QtCore import QPoint, QRect, QSize, Qt
from PySide6.QtWidgets import QLayout, QLayoutItem, QWidget


class FlowLayout(QLayout):
    """Items in rows; as high as the width asks for, so that nothing is cut where the text is large."""

    def __init__(self, parent: QWidget | None = None, gap: int = 8) -> None:
        super().__init__(parent)
        self._items: list[QLayoutItem] = []
        self._gap = gap

    def addItem(self, item: QLayoutItem, /) -> None:  # noqa: N802 - Qt's name
        """Take one more item."""
        self._items.append(item)

    def count(self) -> int:
        """How many items there are."""
        return len(self._items)

    def itemAt(self, index: int, /) -> QLayoutItem | None:  # noqa: N802 - Qt's name
        """The item at a place, None beyond the last."""
        return self._items[index] if 0 <= index < len(self._items) else None

    def takeAt(self, index: int, /) -> QLayoutItem | None:  # noqa: N802 - Qt's name
        """Remove the item at a place."""
        return self._items.pop(index) if 0 <= index < len(self._items) else None

    def expandingDirections(self) -> Qt.Orientation:  # noqa: N802 - Qt's name
        """It wants no more room than its items."""
        return Qt.Orientation(0)

    def hasHeightForWidth(self) -> bool:  # noqa: N802 - Qt's name
        """Narrower means higher."""
        return True

    def heightForWidth(self, width: int, /) -> int:  # noqa: N802 - Qt's name
        """Height in pixels of all rows at this width."""
        return self._place(QRect(0, 0, width, 0), move=False)

    def setGeometry(self, rect: QRect, /) -> None:  # noqa: N802 - Qt's name
        """Place the items."""
        super().setGeometry(rect)
        self._place(rect, move=True)

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """One row."""
        shown = [item.sizeHint() for item in self._items if not item.isEmpty()]
        width = sum(size.width() for size in shown) + self._gap * max(len(shown) - 1, 0)
        return self._with_margins(QSize(width, max((size.height() for size in shown), default=0)))

    def minimumSize(self) -> QSize:  # noqa: N802 - Qt's name
        """Room for the largest single item."""
        least = QSize(0, 0)
        for item in self._items:
            if not item.isEmpty():
                least = least.expandedTo(item.minimumSize())
        return self._with_margins(least)

    def _with_margins(self, size: QSize) -> QSize:
        margins = self.contentsMargins()
        return size + QSize(margins.left() + margins.right(), margins.top() + margins.bottom())

    def _place(self, rect: QRect, move: bool) -> int:
        """Go through the rows; gives the height used."""
        margins = self.contentsMargins()
        inside = rect.marginsRemoved(margins)
        x, y, row_height = inside.x(), inside.y(), 0
        for item in self._items:
            if item.isEmpty():
                continue
            size = item.sizeHint().boundedTo(QSize(max(inside.width(), 1), 1 << 20))
            if x > inside.x() and x + size.width() > inside.right() + 1:
                x, y, row_height = inside.x(), y + row_height + self._gap // 4, 0
            if move:
                item.setGeometry(QRect(QPoint(x, y), size))
            x, row_height = x + size.width() + self._gap, max(row_height, size.height())
        return y + row_height - rect.y() + margins.bottom()
