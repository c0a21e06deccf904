"""One lattice or even cells: chosen by a click, quick while a value is dragged, said in numbers."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

pytest.importorskip("PySide6")

from even_hands import Column, click, dome_design
from PySide6.QtCore import QPoint
from settings_hands import row, type_number
from strip_rings import Bench
from strip_rings import drag as strip_drag

from ringtex.basics.progress import Progress
from ringtex.basics.tolerances import DRAFT_CHORD_MM
from ringtex.make_ring import make_ring, shape_ring
from ringtex.pattern.make_pattern import make_pattern
from ringtex.strip.unwrap import unwrap
from ringtex.window.building.drawable_ring import View, make_view

if TYPE_CHECKING:
    from collections.abc import Callable

    from pytestqt.qtbot import QtBot

    from ringtex.window.app.main_window import MainWindow


def test_a_click_makes_cells_even_and_another_takes_the_lattice_back(qtbot: Any) -> None:
    column = Column(qtbot, dome_design())  # its own, which remembers nothing of other tests and they nothing of it
    choice = column.pattern.sizes
    column.show(choice)
    assert choice.graded.isChecked()
    begun = column.document.design
    click(choice.even)
    assert column.document.design.pattern.evenness == 1.0
    assert column.document.undo_label == "make the cells even"
    assert row(column.panel, "pattern.evenness").matches_design()
    type_number(row(column.panel, "pattern.evenness").field, "0.6")
    click(choice.graded)
    assert column.document.design == begun
    click(choice.even)
    assert column.document.design.pattern.evenness == 0.6, "the number between is remembered"


def test_even_cells_let_go_of_twist_and_slide_in_one_step(column: Column) -> None:
    twisted = dome_design()
    twisted = replace(twisted, pattern=replace(twisted.pattern, twist=2, slide_mm=(1.5, 0.2)))
    column.begin(twisted)
    column.show(column.pattern.sizes)
    click(column.pattern.sizes.even)
    made = column.document.design.pattern
    assert (made.evenness, made.twist, made.slide_mm) == (1.0, 0, (0.0, 0.0))
    assert column.pattern.twist.isHidden()
    assert all(slide.isHidden() for slide in column.pattern.slides)
    column.document.undo()
    assert column.document.design == twisted
    assert column.document.undo_label is None


@pytest.mark.parametrize("family", ["brick", "diamond"])
def test_bricks_and_diamonds_say_why_they_stay_graded(column: Column, family: str) -> None:
    column.begin(dome_design(evenness=1.0))
    button = column.pattern.family.button_of(family)
    column.show(button)
    click(button)
    pattern = column.document.design.pattern
    assert (pattern.family, pattern.evenness) == (family, 0.0)
    sizes = column.pattern.sizes
    assert not sizes.even.isEnabled()
    assert "whole rows" in sizes.note.text()
    assert not sizes.note.isHidden()
    column.document.undo()
    assert column.document.design.pattern.evenness == 1.0
    assert sizes.even.isEnabled()


def test_the_draft_has_the_cells_of_the_final_ring() -> None:
    design = dome_design(around=30, evenness=0.97)
    draft = shape_ring(design, DRAFT_CHORD_MM, Progress())
    final = make_view(make_ring(design, DRAFT_CHORD_MM), is_draft=False)
    assert draft.pattern.tiling.cells == final.built.pattern.tiling.cells
    np.testing.assert_array_equal(draft.pattern.tiling.vertices, final.built.pattern.tiling.vertices)
    assert final.cells is not None
    assert final.cells.variation < 0.05
    # What is at hand is taken: a change of the relief keeps the cells where they are.
    deeper = replace(design, relief=replace(design.relief, depth_mm=0.2))
    again = shape_ring(deeper, DRAFT_CHORD_MM, Progress())
    np.testing.assert_array_equal(again.pattern.tiling.vertices, final.built.pattern.tiling.vertices)


def test_growing_even_cells_tells_how_far_it_is_and_can_be_stopped() -> None:
    from ringtex.basics.errors import Cancelled

    design = dome_design(around=34, evenness=0.93)
    told: list[float] = []
    strip = unwrap(design.make_band(), "shape")
    progress = Progress(lambda stage, fraction: told.append(fraction))
    with progress.stage("pattern", 0.5):
        make_pattern(strip, design.pattern, design.rails, progress)
    assert len({round(fraction, 3) for fraction in told}) >= 5
    assert told == sorted(told)
    assert max(told[:-1]) < 0.5

    stopped = Progress(lambda stage, fraction: stopped.cancel() if fraction > 0.25 else None)
    with pytest.raises(Cancelled), stopped.stage("pattern", 0.5):
        make_pattern(strip, replace(design.pattern, seed=7), design.rails, stopped)


def test_numbers_say_what_evenness_did_beside_the_kept_ring(
    qtbot: QtBot, window: MainWindow, settled: Callable[[], None]
) -> None:
    window.document.new(dome_design())
    settled()
    pattern = window.settings.section("Pattern")
    pattern.set_folded(False)
    table = pattern.cells  # type: ignore[attr-defined]
    graded = [value.text() for _, value in table.values]
    assert float(graded[1]) > 2.0
    window.document.keep()
    click_at = pattern.sizes.even  # type: ignore[attr-defined]
    window.settings.area.ensureWidgetVisible(click_at)
    click(click_at)
    views: list[View] = []
    window.worker.built.connect(views.append)
    settled()
    assert views
    even = [value.text() for _, value in table.values]
    assert float(even[1]) < 1.2
    assert [value.text() for value, _ in table.values] == graded, "the kept ring's numbers stand beside"
    assert not table.heads[1].isHidden()
    # The strip shows the cells of the last view.
    assert window.strip.state.view is not None
    assert window.strip.state.view.built.pattern is views[-1].built.pattern


def test_what_graded_means_follows_the_family_and_the_density(column: Column) -> None:
    from ringtex.pattern.density_options import DensityOptions

    column.begin(dome_design(family="cellular"))
    sizes = column.pattern.sizes
    assert sizes.graded.text() == "graded"
    assert sizes.even.isEnabled()
    column.document.new(dome_design())
    assert sizes.graded.text() == "one lattice, graded"
    assert sizes.note.isHidden()
    dense = DensityOptions(around=((0.0, 0.5), (180.0, 2.0)))
    column.document.change(replace(dome_design(), pattern=replace(dome_design().pattern, density=dense)), "x")
    assert sizes.graded.isChecked()
    assert "neither slide nor twist" in sizes.note.text()


def test_dragging_even_cells_says_why_they_stay_and_what_would_move(qtbot: Any) -> None:
    bench = Bench(qtbot, "flat")
    even = replace(bench.document.design, pattern=replace(bench.document.design.pattern, evenness=1.0))
    bench.document.new(even)
    bench.rest()
    middle = bench.strip.rect().center()
    strip_drag(bench, middle, middle + QPoint(30, 0), middle + QPoint(60, 0))
    assert bench.document.design == even
    assert bench.document.undo_label is None
    assert "do not slide" in bench.strip.state.message
    assert "Choose graded cells" in bench.strip.state.message
    bench.strip.state.ring.stop()
