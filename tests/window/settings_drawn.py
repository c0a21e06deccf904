"""A document with its band and relief drawings on the screen, for the tests of the drawings."""

from __future__ import annotations

from typing import Any

from settings_hands import PanelBench, design_of

from ringtex.window.settings.drawings.handle_drawing import HandleDrawing
from ringtex.window.settings.sections.band_section import BandSection
from ringtex.window.settings.sections.relief_section import ReliefSection


class Drawn(PanelBench):
    """A document with its band and relief drawings on the screen."""

    def __init__(self, qtbot: Any, body: dict[str, Any]) -> None:
        super().__init__(qtbot, design_of(body))
        band, relief = self.panel.section("Band"), self.panel.section("Relief")
        assert isinstance(band, BandSection)
        assert isinstance(relief, ReliefSection)
        self.band, self.relief = band, relief

    def show(self, drawing: HandleDrawing) -> HandleDrawing:
        """Scroll to a drawing, and draw the design at once."""
        self.panel.area.ensureWidgetVisible(drawing)
        drawing.redraw()
        return drawing
