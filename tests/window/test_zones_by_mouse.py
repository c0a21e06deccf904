"""Zones by mouse: added, removed and ordered in the settings, pulled wider on the strip."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

pytest.importorskip("PySide6")

from even_hands import Column, click, dome_design
from PySide6.QtCore import QPoint
from strip_rings import Bench, drag
from test_dome_by_mouse import reach

from ringtex.window.settings.sections.pattern_section import PatternSection

if TYPE_CHECKING:
    from collections.abc import Callable

    from PySide6.QtWidgets import QWidget
    from pytestqt.qtbot import QtBot

    from ringtex.window.app.main_window import MainWindow


def bring_in_sight(qtbot: QtBot, window: MainWindow, widget: QWidget) -> None:
    """Scroll to a widget, once it has been laid out."""

    def seen() -> bool:
        reach(window, widget)
        return not widget.visibleRegion().isEmpty()

    qtbot.waitUntil(seen)


def test_zones_are_added_changed_moved_and_removed_by_mouse(
    qtbot: QtBot, window: MainWindow, settled: Callable[[], None], pattern: PatternSection
) -> None:
    zones = pattern.zones
    bring_in_sight(qtbot, window, zones.add)
    click(zones.add)
    settled()
    design = window.document.design
    assert len(design.zones) == len(zones.groups) == 3
    assert window.document.undo_label == "add a zone"
    assert all(row.matches_design() for row in zones.rows if not row.isHidden())
    built = window.strip.state.view.built  # type: ignore[union-attr]
    assert len(built.pattern.zones) == 3
    blends = [row for row in zones.rows if row.key.endswith(".blend")]
    assert [row.isHidden() for row in blends] == [True, False, False]
    group = zones.groups[1]
    down = next(row for row in group.rows if row.key.endswith(".position")).buttons["down"]  # type: ignore[attr-defined]
    group.set_folded(False)
    bring_in_sight(qtbot, window, down)
    click(down)
    settled()
    assert window.document.design.zones[0].pattern == design.zones[1].pattern
    bring_in_sight(qtbot, window, zones.groups[0].remove)
    click(zones.groups[0].remove)
    settled()
    assert [zone.pattern for zone in window.document.design.zones] == [None, None]
    bring_in_sight(qtbot, window, zones.groups[0].remove)
    click(zones.groups[0].remove)
    settled()
    assert window.document.design.zones == ()
    assert zones.groups == []


def test_what_growth_rings_cannot_have_or_lose_is_said_before_it_is_asked_for(column: Column) -> None:
    column.begin(dome_design(family="growth_rings"))
    add, motif = column.pattern.zones.add, column.pattern.motif
    assert not add.isEnabled()
    assert "growth rings has no zones" in add.toolTip()
    for button in (motif.button, motif.text_button, motif.draw_button):
        assert "takes the place of the growth rings" in button.toolTip()
    column.begin(dome_design())
    assert add.isEnabled()
    assert "in the middle" in add.toolTip()
    assert "takes the place" not in motif.draw_button.toolTip()


@pytest.mark.parametrize(("name", "wanted"), [("zone_border 1", (1.4, 0.3)), ("zone_rail 1", (1.6, 0.5))])
def test_pulling_the_border_of_a_zone_makes_it_wider(qtbot, name: str, wanted: tuple[float, float]) -> None:
    from ringtex.edits.zone_edits import with_zone_added

    bench = Bench(qtbot)
    bench.document.change(with_zone_added(bench.document.design), "add a zone")
    bench.rebuild()
    start = bench.handle(name)
    scale = bench.strip.state.viewport.scale
    # Up the strip: by 0.1 mm the lower border of the band, which keeps its middle; by 0.2 mm the rail's upper one.
    way = 0.1 if name == "zone_border 1" else 0.2
    drag(bench, start, start - QPoint(0, 4), start - QPoint(0, round(way * scale)))
    middle = bench.document.design.zones[1]
    assert middle.width_mm == pytest.approx(wanted[0], abs=0.051)
    assert middle.rail_mm == pytest.approx(wanted[1], abs=0.051)
    assert len(bench.document.history.past) == 2
