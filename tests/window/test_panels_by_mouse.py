"""Panels by mouse: added, given other cells, removed, each as one step."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

pytest.importorskip("PySide6")

from even_hands import Column, click
from settings_hands import steps_done
from zoo import plain_design

from ringtex.design.design_file import design_from_json

if TYPE_CHECKING:
    from ringtex.window.settings.sections.panel_entries import PanelEntries


def test_panels_are_added_and_removed(qtbot: Any) -> None:
    column = Column(qtbot, design_from_json(plain_design(pattern={"around": 16, "across": 4})))
    panels: PanelEntries = column.pattern.panels
    column.show(panels.add)
    click(panels.add)
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
