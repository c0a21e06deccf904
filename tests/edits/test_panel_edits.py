"""Panels moved: onto the strip, round the seam, and not onto each other."""

from dataclasses import replace

import numpy as np
import pytest
from zoo import plain_design

from ringtex.basics.errors import InputError
from ringtex.basics.progress import Progress
from ringtex.design.design_file import design_from_json
from ringtex.edits.panel_edits import next_panel, with_panel_moved
from ringtex.make_ring import shape_ring
from ringtex.strip.unwrap import unwrap


def test_a_panel_goes_where_it_is_moved_and_over_the_seam() -> None:
    design = design_from_json(plain_design())
    for _ in range(2):
        design = replace(design, panels=(*design.panels, next_panel(design)))
    strip = unwrap(design.make_band(), design.strip.keep)
    length, width = strip.length, strip.width
    for u, v, wanted in ((0.7 * length, 0.4 * width, (0.7, 0.4)), (-0.75 * length, 0.5 * width, (0.25, 0.5))):
        moved = with_panel_moved(design, strip, 1.0, 0, (u, v))
        assert (moved.panels[0].u, moved.panels[0].v) == pytest.approx(wanted)
        box = shape_ring(moved, 0.1, Progress()).pattern.panels[0].box
        assert 0.5 * (box.left + box.right) == pytest.approx(wanted[0] * length)
    # The other panel lies at the palm, where the seam is: 0 and a whole turn are the same place.
    for turns in (0.0, 1.0):
        with pytest.raises(InputError, match="overlap"):
            with_panel_moved(design, strip, 1.0, 0, ((turns + 0.02) * length, 0.5 * width))
    over = with_panel_moved(replace(design, panels=design.panels[:1]), strip, 1.0, 0, (length, 0.5 * width))
    ring = shape_ring(over, 0.1, Progress())
    assert over.panels[0].u == 0.0
    assert ring.solid.mesh.problems(genus=1) == []
    assert np.isclose(ring.pattern.panels[0].box.left, -0.5 * over.panels[0].width_mm)
