"""An own motif before it is put on the ring: large round the seam, what joins its repeats, and how it is fitted."""

from __future__ import annotations

from dataclasses import dataclass, replace
from html import escape
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QImage, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QDoubleSpinBox,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QSpinBox,
    QVBoxLayout,
    QWidget,
)

from ringtex.basics.errors import RingtexError
from ringtex.basics.progress import Progress
from ringtex.design.design import Design
from ringtex.document.document import Document
from ringtex.document.seam_view import SeamView, seam_view
from ringtex.edits.design_keys import with_all
from ringtex.edits.motif_edits import with_motif
from ringtex.edits.text_motif import text_motif
from ringtex.pattern.motif.import_motif import ImportedMotif
from ringtex.pattern.motif.motif_options import MAX_TEXT
from ringtex.window.appearance.error_sentences import sentence_of
from ringtex.window.appearance.painting import painting
from ringtex.window.building.background_job import BackgroundJob
from ringtex.window.settings.controls.basic_rows import NoWheelComboBox
from ringtex.window.settings.controls.font_row import FontBox
from ringtex.window.strip_editor.state.metal_tones import metal_colours, tone_number, tones

ROWS: Final = 240
"""Samples across the patterned part: a sample is some two pixels of the picture."""

LIGHT: Final = (315.0, 35.0)
"""Azimuth and elevation, degrees: from the upper left, as reliefs are usually drawn."""

ARRANGEMENTS: Final = (("straight", "straight"), ("like bricks", "brick"), ("half-drop", "half_drop"))
ALTERNATIONS: Final = (("all alike", "none"), ("mirrored", "mirrored"), ("turned by half", "turned"))
FITS: Final = (("motif in its proportions", "motif"), ("page fills the repeat", "page"))
FIT_HINT: Final = "Whether the drawing keeps its proportions, or its page is stretched so that repeats join"
LAYINGS: Final = (("repeated", False), ("once round the ring", True))
FIRST_TEXT: Final = "always"


@dataclass(frozen=True, eq=False)
class _Tried:
    """A motif on the ring, not kept yet: its design, the piece round the seam and its picture."""

    found: ImportedMotif
    design: Design
    view: SeamView
    colours: NDArray[np.uint8]


@dataclass(frozen=True)
class _Wish:
    """What is to be tried: a motif or a text with its font, and keys of the design that were set here."""

    found: ImportedMotif | None
    text: tuple[str, str]
    keys: tuple[tuple[str, Any], ...]


def _tried(base: Design, wish: _Wish, metal: str, progress: Progress) -> _Tried:
    """Work it out, in a thread of its own. Raises: InputError where the motif or a value cannot be had."""
    found = text_motif(*wish.text) if wish.found is None else wish.found
    design = with_motif(base, found.motif)
    design = with_all(design, dict(wish.keys))
    view = seam_view(design, ROWS, progress)
    down, along = np.gradient(view.height_mm, view.step_mm)
    normal = np.stack((-along, down, np.ones_like(down)), axis=-1).reshape(-1, 3)
    normal /= np.linalg.norm(normal, axis=1)[:, None]
    tone = tones(normal, view.height_mm.ravel(), LIGHT, design.relief.depth_mm)
    return _Tried(found, design, view, metal_colours(metal)[tone_number(tone)].reshape(*view.height_mm.shape, 3))


def _listed(sentences: tuple[str, ...]) -> str:
    """Sentences one below the other; letters of a drawing's own are shown as they are."""
    return "<br>".join(escape(each) for each in sentences)


def _name(field: QWidget, name: str) -> None:
    """Say what a field is for, to those who point at it and to screen readers."""
    field.setAccessibleName(name)
    field.setToolTip(name)


class SeamPicture(QWidget):
    """The piece of strip, as large as it fits; the seam dashed, other borders of repeats dotted."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setMinimumSize(480, 220)
        self.setAccessibleName("The motif round the seam")
        self._view: SeamView | None = None
        self._image = QImage()

    def show_view(self, view: SeamView, colours: NDArray[np.uint8]) -> None:
        """Show another piece."""
        rows, columns = colours.shape[:2]
        data = np.ascontiguousarray(colours)
        self._image = QImage(data.data, columns, rows, 3 * columns, QImage.Format.Format_RGB888).copy()
        self._view = view
        self.update()

    def paintEvent(self, _: QPaintEvent, /) -> None:  # noqa: N802 - Qt's name
        """The picture, then the borders."""
        view = self._view
        if view is None:
            return
        with painting(self) as painter:
            painter.setRenderHints(QPainter.RenderHint.SmoothPixmapTransform | QPainter.RenderHint.Antialiasing)
            scale = min(self.width() / self._image.width(), self.height() / self._image.height())
            box = QRectF(0.0, 0.0, self._image.width() * scale, self._image.height() * scale)
            box.moveCenter(QRectF(self.rect()).center())
            painter.drawImage(box, self._image)
            px = scale / view.step_mm
            painter.setPen(QPen(QColor(0, 0, 0, 110), 1.0, Qt.PenStyle.DotLine))
            for v in view.rows_mm.tolist():
                y = box.bottom() - v * px
                painter.drawLine(QPointF(box.left(), y), QPointF(box.right(), y))
            ends = [box.bottom(), *(box.bottom() - v * px for v in view.rows_mm.tolist()), box.top()]
            for columns, low, high in zip(view.columns_mm, ends, ends[1:], strict=False):
                for u in columns.tolist():
                    x = box.center().x() + u * px
                    painter.drawLine(QPointF(x, low), QPointF(x, high))
            seam = QPointF(box.center().x(), box.top()), QPointF(box.center().x(), box.bottom())
            for pen in (QPen(QColor(0, 0, 0, 120), 2.6), QPen(QColor("#ffffff"), 1.4, Qt.PenStyle.DashLine)):
                painter.setPen(pen)
                painter.drawLine(*seam)


class MotifDialog(QDialog):
    """Tries a motif beside the ring; only its button puts it there, as one step to undo."""

    def __init__(self, document: Document, metal: str, found: ImportedMotif | None, parent: QWidget) -> None:
        super().__init__(parent)
        self._document, self._metal, self._found = document, metal, found
        self._keys: dict[str, Any] = {}
        self._job: BackgroundJob | None = None
        self._waiting = False
        self._tried: _Tried | None = None
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle("Text as a motif" if found is None else f"Own motif: {found.motif.name}".rstrip(": "))
        self.setWindowModality(Qt.WindowModality.WindowModal)
        self.picture = SeamPicture(self)
        self.words = QLabel(self)
        self.words.setWordWrap(True)
        self.words.setTextFormat(Qt.TextFormat.RichText)
        self.words.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.status = QLabel(self)
        self.status.setWordWrap(True)
        self.status.setProperty("role", "error")
        self.buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel, self)
        self.use_button = self.buttons.addButton("Put on the ring", QDialogButtonBox.ButtonRole.AcceptRole)
        self.use_button.setEnabled(False)
        self.buttons.accepted.connect(self._use)
        self.buttons.rejected.connect(self.reject)
        self._lay_out()
        self.resize(860, 620)
        self._try()

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 16, 16, 16)
        column.setSpacing(8)
        if self._found is None:
            column.addLayout(self._text_form())
        column.addWidget(self.picture, 1)
        for label in (self.words, self.status):
            column.addWidget(label)
        left, right = self._forms()
        both = QHBoxLayout()
        both.addLayout(left, 1)
        both.addSpacing(16)
        both.addLayout(right, 1)
        column.addLayout(both)
        column.addWidget(self.buttons)

    def _forms(self) -> tuple[QFormLayout, QFormLayout]:
        """How it is fitted: a picture has other fields than a drawing or a text."""
        left, right = QFormLayout(), QFormLayout()
        grey = self._found is not None and self._found.motif.grey is not None
        self.around = self._count("pattern.around", 3, "Repeats round the ring")
        self.across = self._count("pattern.across", 0, "Rows from rail to rail")
        self.across.setSpecialValueText("auto")
        self.arrangement = self._choice("pattern.motif.arrangement", ARRANGEMENTS, "How repeats stand over each other")
        self.alternate = self._choice("pattern.motif.alternate", ALTERNATIONS, "What every other repeat does")
        left.addRow("Ar&ound", self.around)
        left.addRow("&Rows", self.across)
        right.addRow("Rows &stand", self.arrangement)
        right.addRow("Alternat&e", self.alternate)
        hint = "How much of a repeat, at each border, goes over into its neighbour; 0 for pictures whose borders meet"
        self.blend = self._fraction("pattern.motif.grey.blend", (0.0, 0.5), hint)
        self.fit = self._choice("pattern.motif.fit", FITS, FIT_HINT)
        hint = "How much of its repeat a motif takes; over 1 it overlaps others"
        self.motif_size = self._fraction("pattern.motif.size", (0.05, 3.0), hint)
        self.once = self._choice("pattern.motif.grey.once", LAYINGS, "How the picture lies round the ring")
        if grey:
            left.addRow("&Picture", self.once)
            right.addRow("&Blend borders", self.blend)
        else:
            right.addRow("&Fit", self.fit)
            left.addRow("Si&ze", self.motif_size)
        for field in (self.fit, self.motif_size) if grey else (self.blend, self.once):
            field.hide()
        return left, right

    def _text_form(self) -> QFormLayout:
        old = self._document.design.pattern.motif
        self.text = QLineEdit((old.text if old is not None else "") or FIRST_TEXT, self)
        self.text.setMaxLength(MAX_TEXT)
        self.text.textChanged.connect(lambda _: self._try())
        self.font_box = FontBox(self)
        if old is not None and old.font:
            self.font_box.show_font(old.font)
        self.font_box.activated.connect(lambda _: self._try())
        form = QFormLayout()
        form.addRow("&Text", self.text)
        form.addRow("Fo&nt", self.font_box)
        return form

    def _count(self, key: str, least: int, name: str) -> QSpinBox:
        box = QSpinBox(self)
        box.setRange(least, 2000)
        _name(box, name)
        box.valueChanged.connect(lambda value: self._set(key, value or "auto"))
        return box

    def _fraction(self, key: str, span: tuple[float, float], name: str) -> QDoubleSpinBox:
        box = QDoubleSpinBox(self)
        box.setRange(*span)
        box.setSingleStep(0.05)
        _name(box, name)
        box.valueChanged.connect(lambda value: self._set(key, value))
        return box

    def _choice(self, key: str, choices: tuple[tuple[str, str | bool], ...], name: str) -> NoWheelComboBox:
        box = NoWheelComboBox(self)
        for words, value in choices:
            box.addItem(words, value)
        _name(box, name)
        box.activated.connect(lambda place: self._set(key, box.itemData(place)))
        return box

    def _set(self, key: str, value: Any) -> None:
        self._keys[key] = value
        self._try()

    @property
    def settled(self) -> bool:
        """Whether what is shown is what was asked for."""
        return self._job is None

    def _try(self) -> None:
        """Begin to work out what is asked for now; where something is at work, once that has ended."""
        self._waiting = self._job is not None
        self.use_button.setEnabled(False)
        if self._waiting:
            return
        base, metal = self._document.design, self._metal
        text = (self.text.text(), str(self.font_box.currentData())) if self._found is None else ("", "")
        wish = _Wish(self._found, text, tuple(self._keys.items()))
        job = BackgroundJob(lambda progress: _tried(base, wish, metal, progress), "motif", self)
        job.done.connect(self._show)
        job.failed.connect(self._explain)
        self._job = job
        job.start()

    def _show(self, tried: object) -> None:
        assert isinstance(tried, _Tried)
        self._tried = tried
        self.status.clear()
        self.picture.show_view(tried.view, tried.colours)
        done = (tried.found.made, *tried.found.left_out)
        self.words.setText(_listed((*tried.view.words, *(f"{each[:1].upper()}{each[1:]}." for each in done if each))))
        self._show_values(tried)
        self._ended(True)

    def _explain(self, error: RingtexError) -> None:
        self.status.setText(sentence_of(error))
        self._ended(False)

    def _ended(self, usable: bool) -> None:
        self._job = None
        self.use_button.setEnabled(usable)
        # While it cannot be pressed, Qt makes the other button the default.
        self.use_button.setDefault(usable)
        if self._waiting:
            self._try()

    def _show_values(self, tried: _Tried) -> None:
        """Fill in what was not set here."""
        pattern, motif = tried.design.pattern, tried.design.pattern.motif
        assert motif is not None
        numbers: list[tuple[QSpinBox | QDoubleSpinBox, str, float]] = [
            (self.around, "pattern.around", pattern.around),
            (self.across, "pattern.across", 0 if pattern.across == "auto" else pattern.across),
            (self.motif_size, "pattern.motif.size", motif.size),
            (self.blend, "pattern.motif.grey.blend", motif.grey.blend if motif.grey is not None else 0.0),
        ]
        for box, key, value in numbers:
            if key not in self._keys:
                box.blockSignals(True)
                box.setValue(value)  # type: ignore[arg-type]
                box.blockSignals(False)
        self.across.setSpecialValueText(f"auto ({tried.view.across})")
        for choice, chosen in (
            (self.arrangement, motif.arrangement),
            (self.alternate, motif.alternate),
            (self.fit, motif.fit),
        ):
            choice.setCurrentIndex(choice.findData(chosen))
        once = motif.grey is not None and motif.grey.once
        self.once.setCurrentIndex(self.once.findData(once))
        for field in (self.around, self.alternate):
            field.setEnabled(not once)

    def _use(self) -> None:
        tried = self._tried
        if tried is None or not self.settled:
            return
        self._document.end_drag()
        self._document.change(replace(tried.design, name=self._document.design.name), "use an own motif")
        self.accept()

    def done(self, result: int, /) -> None:
        """Close; what is being worked out is left."""
        if self._job is not None:
            self._job.blockSignals(True)
            self._job.stop()
        super().done(result)
