"""The size run by mouse: lists in any scale, what is kept, a table that says why a size was not made, cancel."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot
from zoo import plain_design

from ringtex.band.finger_size import SCALES
from ringtex.basics.errors import InputError
from ringtex.design.design import Design
from ringtex.design.design_file import design_from_json
from ringtex.document.size_run import list_text, sizes_between, sizes_in
from ringtex.export.mesh_files.mesh_files import read_mesh
from ringtex.window.app.main_window import MainWindow
from ringtex.window.dialogs.size_run_dialog import SizeRunDialog
from ringtex.window.dialogs.size_run_table_view import FIRST_MEASURED, LAST

LEFT = Qt.MouseButton.LeftButton
PATIENCE_MS = 120_000
EVEN = {"around": 24, "across": 4}


def row_of_stones() -> Design:
    """28 stones 2 mm apart are 56 mm: too long a row for the outside of ISO 44, 54.1 mm."""
    stone = {"u": 0.5, "v": 0.5, "diameter": 1.2, "collar": 0.2}
    return design_from_json(plain_design(pattern=EVEN, stones=[{"count": 28, "spacing": 2.0, "stone": stone}]))


@pytest.fixture
def dialog(qtbot: QtBot, tmp_path: Path) -> Iterator[SizeRunDialog]:
    made = SizeRunDialog(row_of_stones(), tmp_path / "sizes", "Tide")
    made.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose, False)
    qtbot.addWidget(made)
    made.show()
    yield made
    made.close()


def type_in(qtbot: QtBot, field: object, text: str) -> None:
    field.selectAll()  # type: ignore[attr-defined]
    qtbot.keyClicks(field, text)  # type: ignore[arg-type]


def cell(dialog: SizeRunDialog, row: int, column: int) -> str:
    item = dialog.table.item(row, column)
    return item.text() if item is not None else ""


@pytest.mark.parametrize(
    ("scale", "first", "last", "step", "expected"),
    [
        ("iso", "48", "54", 2.0, "48 50 52 54"),
        ("iso", "48.5", "50", 0.5, "48.5 49 49.5 50"),
        ("us", "6", "7", 0.5, "6, 6 1/2, 7"),
        ("uk", "L", "N", 0.5, "L, L 1/2, M, M 1/2, N"),
        ("jp", "8", "14", 3.0, "8 11 14"),
        ("it", "10", "13", 1.0, "10 11 12 13"),
    ],
)
def test_sizes_from_one_to_another(scale: str, first: str, last: str, step: float, expected: str) -> None:
    sizes = sizes_between(scale, first, last, step)
    assert list_text(sizes) == expected
    assert sizes_in(list_text(sizes), scale) == sizes


def test_steps_between_the_marks_and_the_wrong_way_round_are_refused() -> None:
    for scale, first, last, step in (("us", "6", "8", 0.3), ("iso", "54", "48", 1.0), ("iso", "40", "80", 0.1)):
        with pytest.raises(InputError):
            sizes_between(scale, first, last, step)


def test_it_begins_with_sizes_round_the_designs_own_in_every_scale(qtbot: QtBot, dialog: SizeRunDialog) -> None:
    assert dialog.sizes.text() == "51 52 53 54 55 56 57"
    for place, scale in enumerate(SCALES):
        dialog.scale.setFocus()
        qtbot.keyClick(dialog.scale, Qt.Key.Key_Home)
        for _ in range(place):
            qtbot.keyClick(dialog.scale, Qt.Key.Key_Down)
        assert dialog.scale.currentData() == scale
        assert [size.scale for size in dialog.options().sizes] == [scale] * 7


def test_the_table_shows_the_repeats_that_keep_the_cells(qtbot: QtBot, dialog: SizeRunDialog) -> None:
    """Crown length 54 + 2 pi 1.6 = 64.05 for 24 cells; at 48 that asks for 21.75, at 60 for 26.25."""
    type_in(qtbot, dialog.sizes, "48 60")
    assert [cell(dialog, row, 2) for row in (0, 1)] == ["22", "26"]
    place = dialog.keeps["repeats"].rect().center()
    place.setX(8)
    qtbot.mouseClick(dialog.keeps["repeats"], LEFT, pos=place)
    assert [cell(dialog, row, 2) for row in (0, 1)] == ["24", "24"]


def test_a_list_that_says_nothing_is_told_at_once(qtbot: QtBot, dialog: SizeRunDialog) -> None:
    type_in(qtbot, dialog.sizes, "54 moon")
    assert '"moon" is not a size' in dialog.status.text()
    assert "--" not in dialog.status.text()
    assert not dialog.start_button.isEnabled()
    type_in(qtbot, dialog.sizes, "54 56")
    assert dialog.start_button.text() == "Make 2 sizes"


def test_a_size_that_cannot_be_made_says_why_and_stops_no_other(
    qtbot: QtBot, dialog: SizeRunDialog, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    options = SizeRunDialog.options
    monkeypatch.setattr(SizeRunDialog, "options", lambda self: replace(options(self), tolerance_mm=0.08))
    type_in(qtbot, dialog.first, "44")
    type_in(qtbot, dialog.last, "56")
    type_in(qtbot, dialog.step, "12")
    qtbot.mouseClick(dialog.fill, LEFT)
    assert dialog.sizes.text() == "44 56"
    place = dialog.formats[".3mf"].rect().center()
    place.setX(8)
    qtbot.mouseClick(dialog.formats[".3mf"], LEFT, pos=place)
    told: list[tuple[int, str, float]] = []
    dialog._size_progressed.connect(lambda *what: told.append(what))
    with qtbot.waitSignal(dialog.ran, timeout=PATIENCE_MS):
        qtbot.mouseClick(dialog.start_button, LEFT)
    assert "stones" in cell(dialog, 0, FIRST_MEASURED)
    assert cell(dialog, 0, FIRST_MEASURED).startswith("Not made")
    # The reason is long, and makes no column wider than the table.
    assert not dialog.table.horizontalScrollBar().isVisible()
    assert cell(dialog, 1, LAST) == "tide_iso_56.stl, tide_iso_56.3mf"
    folder = tmp_path / "sizes"
    mesh = read_mesh(folder / "tide_iso_56.stl")
    # The finger's hole and one under each of the 28 stones.
    assert (mesh.closed, mesh.bodies, mesh.genus) == (True, 1, 29)
    rows = list(csv.DictReader((folder / "run.csv").read_text(encoding="utf-8").splitlines()))
    assert [row["size"] for row in rows] == ["ISO 44", "ISO 56"]
    assert "stones" in rows[0]["error"]
    assert {place for place, _, _ in told} == {0, 1}
    assert "Made 1 of 2" in dialog.status.text()


def test_it_can_be_stopped(
    qtbot: QtBot, dialog: SizeRunDialog, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    options = SizeRunDialog.options
    monkeypatch.setattr(SizeRunDialog, "options", lambda self: replace(options(self), tolerance_mm=0.03))
    type_in(qtbot, dialog.sizes, "50 52 54 56 58 60")
    qtbot.mouseClick(dialog.start_button, LEFT)
    qtbot.waitUntil(lambda: any(state.bar.value() >= 0 for state in dialog.table.states.values()), timeout=PATIENCE_MS)
    qtbot.mouseClick(dialog.close_button, LEFT)
    qtbot.waitUntil(lambda: not dialog.running, timeout=PATIENCE_MS)
    qtbot.waitUntil(lambda: "Stopped" in dialog.status.text(), timeout=PATIENCE_MS)
    assert dialog.isVisible()
    assert "stopped" in [cell(dialog, row, LAST) for row in range(6)]
    assert not list((tmp_path / "sizes").glob(".ringtex*"))
    assert dialog.start_button.isEnabled()


def test_the_menu_opens_it(qtbot: QtBot, window: MainWindow) -> None:
    window.menus.trigger("size_run")
    dialog = window.making.dialog
    assert isinstance(dialog, SizeRunDialog)
    qtbot.waitUntil(dialog.isVisible)
    assert dialog.sizes.text() == "51 52 53 54 55 56 57"
    qtbot.keyClick(dialog, Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: window.making.dialog is None)


@pytest.mark.parametrize(("scale", "value"), [("us", "1"), ("iso", "38"), ("uk", "A"), ("iso", "88"), ("jp", "30")])
def test_every_finger_has_sizes_to_begin_with_on_every_scale(
    qtbot: QtBot, tmp_path: Path, scale: str, value: str
) -> None:
    made = SizeRunDialog(design_from_json(plain_design(size={"scale": scale, "value": value})), tmp_path, "Tide")
    qtbot.addWidget(made)
    for place in range(made.scale.count()):
        made.scale.setCurrentIndex(place)
        assert made.options().sizes, made.scale.itemData(place)
        assert made.start_button.isEnabled()


def test_what_would_be_replaced_is_said_before(qtbot: QtBot, dialog: SizeRunDialog, tmp_path: Path) -> None:
    type_in(qtbot, dialog.sizes, "52 54")
    assert "Replace" not in dialog.start_button.text()
    (tmp_path / "sizes").mkdir()
    (tmp_path / "sizes" / "tide_iso_54.stl").touch()
    type_in(qtbot, dialog.sizes, "52 54 ")
    assert dialog.start_button.text() == "Replace 2 sizes"
    assert "tide_iso_54.stl" in dialog.status.text()
