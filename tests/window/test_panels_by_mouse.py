"""Panels by mouse: added, given other cells, removed, each as one step."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

pytest.importorskip("PySide6")

from even_hands import Column, click
from PySide6.QtCore import QPoint
from settings_hands import steps_done
from zoo import plain_design

from ringtex.design.design_file import design_from_json

if TYPE_CHECKING:
    from ringtex.window.settings.entries.panel_entries import PanelEntries


def test_panels_are_added_and_removed(qtbot: Any) -> None:
    column = Column(qtbot, design_from_json(plain_design(pattern={"around": 16, "across": 4})))
    panels: PanelEntries = column.pattern.panels
    column.show(panels.add)
    click(panels.add)
    even = [row for row in panels.rows if row.key.endswith(".evenness")]
    # Diamonds stand in whole rows.
    assert [row.isHidden() for row in even] == [True]
    column.show(panels.add)
    click(panels.add)
    design = column.document.design
    assert [panel.u for panel in design.panels] == [0.5, 0.0]
    assert steps_done(column.document) == 2
    assert len(panels.groups) == 2
    column.show(panels.groups[0].remove)
    click(panels.groups[0].remove)
    assert [panel.u for panel in column.document.design.panels] == [0.0]
    column.document.undo()
    assert column.document.design == design


def test_a_panel_is_pulled_on_the_strip_as_one_step(qtbot: Any) -> None:
    from dataclasses import replace

    from PySide6.QtCore import Qt
    from strip_rings import Bench, drag

    from ringtex.edits.panel_edits import next_panel

    bench = Bench(qtbot)
    design = bench.document.design
    bench.document.change(replace(design, panels=(next_panel(design),)), "add a panel")
    bench.rebuild()
    start = bench.handle("panel 0")
    bench.move(start)
    assert bench.strip.cursor().shape() == Qt.CursorShape.SizeAllCursor
    before, scale = bench.document.design.panels[0].u, bench.strip.state.viewport.scale
    away = round(5.0 * scale)
    drag(bench, start, start + QPoint(6, 0), start + QPoint(away, 0))
    moved = bench.document.design.panels[0].u
    assert (moved - before) * bench.strip.state.viewport.length == pytest.approx(away / scale, abs=0.05)
    assert bench.document.undo_label == "move a panel"
    assert len(bench.document.history.past) == 2
    bench.document.undo()
    assert bench.document.design.panels[0].u == before


def test_a_panel_that_has_just_gone_cannot_be_pulled(qtbot: Any) -> None:
    """The view shows it until the next ring is built; pulling it raised an error and left the drag open."""
    from dataclasses import replace

    from strip_rings import Bench

    from ringtex.edits.panel_edits import next_panel
    from ringtex.window.strip_editor.interaction.strip_drags import drag_handle
    from ringtex.window.strip_editor.state.handles import Handle

    bench = Bench(qtbot)
    one = replace(bench.document.design, panels=(next_panel(bench.document.design),))
    bench.document.change(replace(one, panels=(*one.panels, next_panel(one))), "add panels")
    bench.rebuild()
    bench.document.change(one, "remove a panel")
    assert bench.strip.state.view is not None
    shaped, document = bench.strip.state.view.built, bench.document
    assert drag_handle(document, shaped, Handle("panel 1", 0.0, 4.0)) is None
    assert not document.dragging
    assert drag_handle(document, shaped, Handle("panel 0", 0.0, 4.0)) is not None


def test_a_panel_that_is_pointed_at_in_its_list_is_marked_on_the_strip(qtbot: Any) -> None:
    from dataclasses import replace

    from strip_rings import Bench

    from ringtex.edits.panel_edits import next_panel

    bench = Bench(qtbot)
    design = bench.document.design
    bench.document.change(replace(design, panels=(next_panel(design),)), "add a panel")
    bench.rebuild()
    bench.rest()
    before = bench.strip.grab().toImage()
    bench.state.set_hovered_setting("panels[0]")
    marked = bench.strip.grab().toImage()
    middle = bench.handle("panel 0")
    changed = [
        marked.pixelColor(middle + step) != before.pixelColor(middle + step)
        for step in (QPoint(14, 0), QPoint(0, 14), QPoint(round(20.0 * bench.strip.state.viewport.scale), 0))
    ]
    assert changed == [True, True, False]
