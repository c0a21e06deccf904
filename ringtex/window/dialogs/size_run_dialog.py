"""The size run: one design over many finger sizes, made in processes beside the window, told in one table."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from PySide6.QtCore import Signal
from PySide6.QtWidgets import (
    QButtonGroup,
    QCheckBox,
    QComboBox,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QRadioButton,
    QVBoxLayout,
    QWidget,
)

from ringtex.band.finger_size import (
    MAX_CIRCUMFERENCE_MM,
    MIN_CIRCUMFERENCE_MM,
    SCALES,
    FingerSize,
    size_on,
)
from ringtex.basics.errors import InputError, RingtexError
from ringtex.basics.progress import Progress
from ringtex.design.design import Design
from ringtex.document.size_run import (
    TABLE_NAME,
    WHOLE_SIZE_MM,
    RunOptions,
    RunRow,
    design_for,
    files_of,
    list_text,
    run_sizes,
    sizes_between,
    sizes_in,
    write_table,
)
from ringtex.export.mesh_files.mesh_files import MESH_FORMATS
from ringtex.window.appearance.error_sentences import sentence_of
from ringtex.window.dialogs.export_job import allowance_sentence
from ringtex.window.dialogs.job_dialog import FolderRow, JobDialog, cautions_panel
from ringtex.window.dialogs.size_run_table_view import SizeRunTable
from ringtex.window.status.readings import SCALE_NAMES

KEEP_WORDS: Final = (
    ("cells", "The cells keep their size", "the number round the ring changes to the nearest whole one"),
    ("repeats", "The number round the ring stays", "the cells grow and shrink with the finger"),
)
EACH_WAY: Final = 3
"""Whole sizes to either side of the design's own that are there to begin with."""


class SizeRunDialog(JobDialog):
    """Sizes, what is kept, formats and folder; below them the table, which fills while the run goes on."""

    ran = Signal(object)
    """The list of RunRow."""
    _size_progressed = Signal(int, str, float)
    _size_done = Signal(int, object)

    def __init__(self, design: Design, folder: Path, name: str, parent: QWidget | None = None) -> None:
        super().__init__("Size run", "Make all sizes", parent)
        self._design, self._name = design, name
        self.scale = QComboBox(self)
        for scale in SCALES:
            self.scale.addItem(SCALE_NAMES[scale], scale)
        self.scale.setCurrentIndex(SCALES.index(design.size.scale))
        self.scale.setAccessibleName("Scale of the sizes")
        self.sizes = _line("Sizes", "Sizes with spaces between them; with commas where a size has a space", self)
        self.first, self.last = _line("First size", "The smallest", self), _line("Last size", "The largest", self)
        self.step = _line("Step", "1 for every size, 2 for every other one, 0.5 for half sizes", self)
        self.step.setText("1")
        self.fill = QPushButton("Fill in", self)
        self.fill.setToolTip("Put the sizes from the first to the last into the list")
        self.fill.setAutoDefault(False)
        self.keeps = {keep: QRadioButton(f"{words}; {more}", self) for keep, words, more in KEEP_WORDS}
        self._group = QButtonGroup(self)
        for button in self.keeps.values():
            self._group.addButton(button)
        self.keeps["cells"].setChecked(True)
        self.formats = {ending: QCheckBox(MESH_FORMATS[ending].name, self) for ending in MESH_FORMATS}
        self.formats[".stl"].setChecked(True)
        self.place = FolderRow(folder, self)
        self.table = SizeRunTable(self)
        self.fields = [
            self.scale, self.sizes, self.first, self.last, self.step, self.fill, *self.keeps.values(),
            *self.formats.values(), self.place,
        ]  # fmt: skip
        self._lay_out()
        self._begin_with_scale()
        self._connect()
        self._show_order()

    def options(self) -> RunOptions:
        """What the fields say now. Raises: InputError where they say nothing that can be run."""
        return RunOptions(
            sizes=sizes_in(self.sizes.text(), self._scale),
            keep=next(keep for keep, button in self.keeps.items() if button.isChecked()),
            folder=str(self.place.path),
            endings=tuple(ending for ending, box in self.formats.items() if box.isChecked()),
            stem=self._name.replace(" ", "_").lower() or "ring",
        )

    def start(self) -> None:
        """Make them all; a second call while that goes on does nothing."""
        if self.running:
            return
        try:
            options = self.options()
        except InputError as error:
            self.show_status(_sentence(error), "error")
            return
        self._show_order()
        self.table.begin()
        self.run(lambda progress: self._run(options, progress), "size run")

    def on_success(self, result: object) -> None:
        """Show how many were made."""
        assert isinstance(result, list)
        made = sum(bool(row.file) for row in result)
        folder = self.place.path.absolute()
        left = f" {len(result) - made} could not be made; the table says why." if made < len(result) else ""
        self.show_status(f"Made {made} of {len(result)} sizes.{left} The table is in {folder / 'run.csv'}.", "text")
        self.open_button.show()
        self.ran.emit(result)

    def on_failure(self, error: RingtexError) -> None:
        """Those that were not done say so; what was written stays."""
        self.table.stop_all()

    @property
    def _scale(self) -> str:
        return str(self.scale.currentData())

    def _run(self, options: RunOptions, progress: Progress) -> list[RunRow]:
        """In the job's thread."""
        folder = Path(options.folder)
        _make_folder(folder)
        rows = run_sizes(self._design, options, progress, _RunListener(self))
        write_table(rows, folder)
        return rows

    def _connect(self) -> None:
        self.open_button.clicked.connect(self.place.show_folder)
        self.scale.currentIndexChanged.connect(self._begin_with_scale)
        self.fill.clicked.connect(self._fill_in)
        self.sizes.textChanged.connect(self._show_order)
        self.place.edit.textChanged.connect(self._show_order)
        for box in (*self.formats.values(), *self.keeps.values()):
            box.toggled.connect(self._show_order)
        self._size_progressed.connect(self.table.show_progress)
        self._size_done.connect(self.table.show_row)

    def _lay_out(self) -> None:
        form = QFormLayout()
        form.setSpacing(8)
        form.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
        words = [QLabel(text, self) for text in ("from", "to", "step")]
        form.addRow(
            "Scale", _row((self.scale, words[0], self.first, words[1], self.last, words[2], self.step, self.fill))
        )
        form.addRow("&Sizes", self.sizes)
        keeps = QVBoxLayout()
        keeps.setSpacing(4)
        for button in self.keeps.values():
            keeps.addWidget(button)
        form.addRow("Pattern", keeps)
        form.addRow("Formats", _row(tuple(self.formats.values())))
        form.addRow("&Folder", self.place)
        allowed = QLabel(allowance_sentence(self._design.make), self)
        allowed.setWordWrap(True)
        allowed.setProperty("role", "soft")
        form.addRow("Allowed for", allowed)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 16, 16, 16)
        column.setSpacing(12)
        across = QHBoxLayout()
        across.setSpacing(16)
        across.addLayout(form, 3)
        across.addWidget(cautions_panel(self._design, self), 2)
        column.addLayout(across)
        column.addWidget(self.table, 1)
        column.addWidget(self.status)
        column.addWidget(self.progress)
        column.addWidget(self.buttons)
        self.resize(1080, 680)

    def _begin_with_scale(self) -> None:
        """Some sizes to either side of the design's own, on the chosen scale."""
        scale, whole = self._scale, WHOLE_SIZE_MM[self._scale]
        own = self._design.size.circumference_mm
        wanted = (own - EACH_WAY * whole, own + EACH_WAY * whole)
        held = (min(max(size, MIN_CIRCUMFERENCE_MM), MAX_CIRCUMFERENCE_MM) for size in wanted)
        marks = [size_on(scale, size).mark for size in held]
        self.first.setText(marks[0])
        self.last.setText(marks[1])
        self._fill_in()

    def _fill_in(self) -> None:
        try:
            step = float(self.step.text().replace(",", "."))
        except ValueError:
            self.show_status("The step is no number. Give 1 for every size, 0.5 for half sizes.", "error")
            return
        try:
            sizes = sizes_between(self._scale, self.first.text(), self.last.text(), step)
        except InputError as error:
            self.show_status(_sentence(error), "error")
            return
        self.sizes.setText(list_text(sizes))
        self._show_order()

    def _show_order(self) -> None:
        """Before anything is made: the sizes with their repeats, or what is wrong with the list."""
        try:
            options = self.options()
            around = [design_for(self._design, size, options.keep).pattern.around for size in options.sizes]
        except InputError as error:
            self.table.show_sizes((), ())
            self.start_button.setEnabled(False)
            self.show_status(_sentence(error), "error")
            return
        self.table.show_sizes(options.sizes, around)
        self.start_button.setEnabled(bool(options.endings))
        replaced = [Path(file).name for file in (*files_of(self._design, options), TABLE_NAME) if self._is_there(file)]
        self.start_button.setText(f"{'Replace' if replaced else 'Make'} {_counted(options.sizes)}")
        if replaced:
            more = f" and {len(replaced) - 2} more" if len(replaced) > 3 else ""
            named = replaced[:2] if more else replaced
            self.show_status(f"Already there and replaced: {', '.join(named)}{more}.", "warning")
        else:
            self.show_status("" if options.endings else "Choose at least one format.", "soft")

    def _is_there(self, file: str) -> bool:
        return (self.place.path / Path(file).name).exists()


class _RunListener:
    """Hands on what the run's thread is told."""

    def __init__(self, dialog: SizeRunDialog) -> None:
        self._dialog = dialog

    def progressed(self, place: int, stage: str, fraction: float) -> None:
        """A size is being built."""
        self._dialog._size_progressed.emit(place, stage, fraction)

    def finished(self, place: int, row: RunRow) -> None:
        """A size is done."""
        self._dialog._size_done.emit(place, row)


def _make_folder(folder: Path) -> None:
    """Raises: InputError where the folder cannot be made."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InputError(f"the folder {folder} cannot be made", "Choose another folder") from error


def _sentence(error: InputError) -> str:
    """For this window, where no argument has a name."""
    return sentence_of(InputError(error.message, error.advice))


def _counted(sizes: tuple[FingerSize, ...]) -> str:
    return f"{len(sizes)} sizes" if len(sizes) != 1 else "1 size"


def _line(name: str, about: str, parent: QWidget) -> QLineEdit:
    field = QLineEdit(parent)
    field.setAccessibleName(name)
    field.setToolTip(about)
    return field


def _row(widgets: tuple[QWidget, ...]) -> QHBoxLayout:
    row = QHBoxLayout()
    row.setSpacing(8)
    for widget in widgets:
        if isinstance(widget, QLineEdit):
            widget.setFixedWidth(widget.fontMetrics().averageCharWidth() * 12)
        row.addWidget(widget)
    row.addStretch(1)
    return row
