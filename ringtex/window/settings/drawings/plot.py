"""What a drawing shows, in pyqtgraph's items over one view box: lines, areas, an axis of words, handles, lengths.

Importing pyqtgraph takes half a second; only what draws imports this module.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any, Final

import numpy as np
import pyqtgraph
from numpy.typing import ArrayLike
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QFont, QFontMetrics, QPainter, QPen
from PySide6.QtWidgets import QGraphicsView, QWidget

from ringtex.basics.arrays import Floats
from ringtex.window.appearance.colours import Colours
from ringtex.window.appearance.dimension_line import Dimension, paint_dimension

if TYPE_CHECKING:
    from ringtex.window.settings.drawings.handle_drawing import Handle

FRAME_PX: Final = 2
RADIUS_PX: Final = 4.0
ACTIVE_RADIUS_PX: Final = 5.5


class Plot(pyqtgraph.GraphicsView):  # type: ignore[misc] # the library is untyped
    """A view box without the library's mouse, wheel and menu, laid over its parent, which handles all input.

    Items are made at their first use and updated by their name afterwards. words: along the horizontal axis, and those
    of minor places, which show where there is room.
    """

    def __init__(
        self, parent: QWidget, to_scale: bool, words: tuple[Mapping[float, str], Mapping[float, str]] | None
    ) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        for part in (self, self.viewport()):
            part.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setViewportUpdateMode(QGraphicsView.ViewportUpdateMode.FullViewportUpdate)
        self.centralLayout.setContentsMargins(0, 0, 0, 0)
        self.centralLayout.setSpacing(0)
        self._box: Any = pyqtgraph.ViewBox(enableMouse=False, enableMenu=False, lockAspect=to_scale)
        self.centralLayout.addItem(self._box, 0, 0)
        self._axis: Any = None
        if words is not None:
            self._axis = pyqtgraph.AxisItem("bottom", linkView=self._box, maxTickLength=0)
            self._axis.setPen(None)
            self._axis.setStyle(tickTextOffset=1)
            self._axis.setGrid(110)
            self._axis.setTicks([list(each.items()) for each in words])
            self.centralLayout.addItem(self._axis, 1, 0)
        self._lines: dict[str, Any] = {}
        self._handles: Any = pyqtgraph.ScatterPlotItem(pxMode=True, antialias=True)
        self._handles.setZValue(20)
        self._box.addItem(self._handles, ignoreBounds=True)
        self._shown_handles: object = None
        self.texts: Sequence[tuple[str, Qt.AlignmentFlag]] = ()
        """Lines of text, each in a corner."""
        self._dimensions: Sequence[Dimension] = []
        self.show()

    def set_colours(self, colour: Colours, font: QFont) -> None:
        """Take the theme's colours and the parent's font."""
        self.colour = colour
        self.setFont(font)
        self.setBackground(QColor(colour.field))
        if self._axis is not None:
            self._axis.setTickFont(font)
            self._axis.setHeight(QFontMetrics(font).height() + 4)
            self._axis.setTextPen(QColor(colour.soft_text))
            self._axis.setTickPen(QPen(QColor(colour.line), 1.0, Qt.PenStyle.DotLine))

    def fit(
        self, x: tuple[float, float], y: tuple[float, float], margins_px: Sequence[float]
    ) -> tuple[QPointF, QPointF]:
        """Show the ranges x and y inside the parent less margins.

        Parameters:
            x: lowest and highest, in the drawing's units.
            y: lowest and highest, upwards.
            margins_px: left, top, right and bottom.
        Returns: the parent's pixels of (0, 0) and of (1, 1).
        """
        self.setGeometry(self.parentWidget().rect().adjusted(FRAME_PX, FRAME_PX, -FRAME_PX, -FRAME_PX))
        # A hidden view gets its size only when it is shown.
        self.resizeEvent(None)
        self.centralLayout.activate()
        left, top, right, bottom = margins_px
        wide, high = _widened(x, left, right, self._box.width()), _widened(y, bottom, top, self._box.height())
        self._box.setRange(xRange=wide, yRange=high, padding=0.0, disableAutoRange=True)
        corner = QPointF(FRAME_PX, FRAME_PX)
        origin, unit = (self._box.mapViewToScene(QPointF(at, at)) + corner for at in (0.0, 1.0))
        return origin, unit

    def line(
        self, name: str, x: ArrayLike, y: ArrayLike, pen: str = "soft_text", width: float = 1.5, dashed: bool = False
    ) -> None:
        """Draw or redraw a line.

        Parameters:
            name: of this line.
            x: (n,) in the drawing's units; none hides the line.
            y: (n,) in the drawing's units, upwards; a NaN breaks the line.
            pen: the name of a colour of the theme.
            width: of the pen, pixels.
            dashed: whether the line is broken.
        """
        style = Qt.PenStyle.DashLine if dashed else Qt.PenStyle.SolidLine
        self._item(name).setData(np.asarray(x), np.asarray(y), pen=self._pen(pen, width, style), connect="finite")

    def area(self, name: str, x: Floats, y: Floats, base: float | None = None, pen: str = "") -> None:
        """Fill what a line encloses, or what lies between it and a height.

        Parameters:
            name: of this area.
            x: (n,) in the drawing's units.
            y: (n,) in the drawing's units, upwards.
            base: the height to fill to; None where the line is closed.
            pen: the name of a colour of the theme for the outline; empty for none.
        """
        if base is not None:
            # The library fills open lines in pieces, whose seams show.
            x, y = np.concatenate((x[:1], x, x[-1:])), np.concatenate(([base], y, [base]))
        brush = QBrush(QColor(self.colour.hover))
        self._item(name).setData(x, y, pen=self._pen(pen, 1.5), fillLevel="enclosed", brush=brush)

    def show_handles(self, handles: Sequence[Handle], active: Sequence[bool], focused: int | None) -> None:
        """Draw handles: a disc moves both ways, a diamond one way; a mirror image is hollow.

        Parameters:
            handles: in the drawing's units.
            active: for each whether it is hovered or dragged.
            focused: the index of the one that the keys move, which has a ring round it; None for none.
        """
        spots = [(each.x, each.y, each.across is None, each.up is None, each.is_mirrored) for each in handles]
        shown = (spots, active, focused, self.colour)
        if shown == self._shown_handles:
            return
        self._shown_handles = shown
        drawn = []
        for index, (handle, is_active) in enumerate(zip(handles, active, strict=True)):
            radius = ACTIVE_RADIUS_PX if is_active or index == focused else RADIUS_PX
            both = handle.across is not None and handle.up is not None
            ground = QBrush(QColor(self.colour.field if handle.is_mirrored else self.colour.accent))
            spot = {"pos": (handle.x, handle.y), "pen": self._pen("accent", 1.5), "symbol": "o" if both else "d"}
            drawn.append({**spot, "size": 2.0 * radius * (1.0 if both else 1.15), "brush": ground})
            if index == focused:
                drawn.append({**spot, "symbol": "o", "size": 2.0 * radius + 6.0, "brush": QBrush()})
        self._handles.setData(drawn)

    def show_dimensions(self, dimensions: Sequence[Dimension]) -> None:
        """Draw these lengths over everything else."""
        if dimensions != self._dimensions:
            self._dimensions = dimensions
            self.viewport().update()

    def drawForeground(self, painter: QPainter, rect: QRectF, /) -> None:  # noqa: N802 - Qt's name
        """Texts and dimension lines, in pixels."""
        room = QRectF(self.rect())
        painter.setFont(self.font())
        painter.setPen(QColor(self.colour.soft_text))
        for text, corner in self.texts:
            painter.drawText(room.adjusted(6, 2, -6, -2), int(corner), text)
        for each in self._dimensions:
            ends = tuple(self._box.mapViewToScene(QPointF(*at)) for at in (each.start, each.end))
            offset = QPointF(*each.offset_px)
            paint_dimension(painter, ends, each.text, self.colour, room.adjusted(1, 1, -1, -1), offset)

    def _item(self, name: str) -> Any:
        if name not in self._lines:
            self._lines[name] = pyqtgraph.PlotCurveItem(antialias=True)
            self._lines[name].setZValue(len(self._lines))
            self._box.addItem(self._lines[name], ignoreBounds=True)
        return self._lines[name]

    def _pen(self, name: str, width: float, style: Qt.PenStyle = Qt.PenStyle.SolidLine) -> QPen:
        pen = QPen(QColor(getattr(self.colour, name)), width, style) if name else QPen(Qt.PenStyle.NoPen)
        pen.setCosmetic(True)
        return pen


def _widened(span: tuple[float, float], before_px: float, after_px: float, size_px: float) -> tuple[float, float]:
    """The span with margins added, so that all of it takes the size."""
    unit = (span[1] - span[0]) / max(size_px - before_px - after_px, 10.0)
    return span[0] - before_px * unit, span[1] + after_px * unit
