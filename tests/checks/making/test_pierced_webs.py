"""Bars between pierced cells in closed form."""

from __future__ import annotations

import numpy as np
import pytest
from finished_reports import built_flat, kinds

from ringtex.checks.making.pierced_webs import measure_webs

PIERCED = {"form": "pierced", "depth": 0.1, "wall_width": 1.2, "corner": 0, "flank": 89}


def test_the_bar_is_the_ridge_as_it_narrows_to_the_bore() -> None:
    """Bricks on a flat band: cuts are radial, so that a bar along the ring keeps its width and one across narrows as
    the radius does; flanks at 89 degrees take 0.0017 and ledges 0.02 on each side.
    """
    ring = built_flat(
        relief=PIERCED, pattern={"family": "brick", "around": 16, "across": 1}, rails={"lower": 1, "upper": 1}
    )
    band = ring.strip.band
    webs = measure_webs(ring.finished.pierced, band)
    outer = float(band.crown_radius(np.zeros(1))[0])
    assert webs is not None
    wide = 1.2 + 2.0 * (0.02 + 0.1 * np.tan(np.radians(1.0)))
    assert webs.web_mm == pytest.approx(wide * band.bore_radius_mm / outer, abs=0.03)
    assert webs.border_mm == pytest.approx(1.0 + 0.5 * wide, abs=0.03)
    assert ring.finished.genus == 1 + 16
    assert ring.finished.mesh.problems(17) == []


def test_thin_bars_are_found() -> None:
    thin = built_flat(
        relief={**PIERCED, "wall_width": 0.4}, pattern={"family": "hexagon", "around": 24, "across": "auto"}
    )
    assert "thin_web" in kinds(thin)
    assert "wrong_genus" not in kinds(thin)
    assert measure_webs(None, thin.strip.band) is None
