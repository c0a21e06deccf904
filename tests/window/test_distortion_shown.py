"""Distortion made visible: stretch and angle error on the strip, for the pointed cell and over all, in words."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

pytest.importorskip("PySide6")

from strip_rings import Bench, design_named, view_of

from ringtex.strip.strip_options import StripOptions
from ringtex.window.overlays.legend import Legend, legend_words
from ringtex.window.overlays.overlay_values import overlay_values
from ringtex.window.strip_editor.state.cell_readings import words_for_distortion


def kept(keep: str) -> Any:
    return view_of(replace(design_named("dome"), strip=StripOptions(keep)))  # type: ignore[arg-type]


def test_angle_errors_are_tissots() -> None:
    """sin(omega / 2) = (a - b) / (a + b) with the principal stretches a, b: Snyder, USGS PP 1395, (4-1)."""
    view = kept("length")
    values = overlay_values(view, "angle_error")
    assert values is not None
    centre = view.built.pattern.tiling.kernel[0]
    found = view.built.strip.distortion(centre[:, 0], centre[:, 1])
    a, b = found.stretch_max, found.stretch_min
    np.testing.assert_allclose(np.sin(np.deg2rad(values.per_cell) / 2.0), (a - b) / (a + b), atol=1e-9)
    assert values.per_cell.max() > 5.0
    assert f"worst {values.per_cell.max():.1f}°" in values.note


def test_what_keeps_shape_has_none_and_says_so() -> None:
    values = overlay_values(kept("shape"), "angle_error")
    assert values is not None
    assert values.per_cell.max() < 0.05
    assert "true" in values.note


def test_stretch_is_of_areas_whatever_is_kept() -> None:
    area = overlay_values(kept("area"), "stretch")
    assert area is not None
    np.testing.assert_allclose(area.per_cell, 1.0, atol=0.02)
    assert area.unit == "×"
    shape = overlay_values(kept("shape"), "stretch")
    assert shape is not None
    assert shape.per_cell.max() > 2.0
    assert "1 mm of strip becomes" in shape.lines[0]


def test_the_legend_says_largest_spread_sides_and_roundness(qtbot: Any) -> None:
    view = kept("shape")
    values = overlay_values(view, "cell_size")
    assert values is not None
    areas = values.per_cell
    words = legend_words(values)
    assert f"{areas.max() / areas.min():.2f} times the smallest" in words
    assert f"{100.0 * areas.std() / areas.mean():.0f} %" in words
    assert "six-sided" in words
    assert "roundness" in words
    legend = Legend()
    qtbot.addWidget(legend)
    legend.show_values(values)
    line = legend.fontMetrics().height()
    assert legend.height() >= 5 * line, "every line has its room"
    assert all(legend.fontMetrics().horizontalAdvance(text) < legend.width() for text in values.lines)


@pytest.mark.parametrize("overlay", ["stretch", "angle_error"])
def test_the_pointed_cell_says_its_own(qtbot: Any, overlay: str) -> None:
    bench = Bench(qtbot, "dome")
    bench.state.set_overlay(overlay)
    bench.rest()
    bench.move(bench.centre(40))
    from ringtex.window.strip_editor.painting.strip_painter import _cell_lines

    lines = _cell_lines(bench.strip.state)
    assert bench.strip.state.view is not None
    assert words_for_distortion(bench.strip.state.view.built, 40) in lines
    assert any("sides" in line and "mean" in line for line in lines)
    bench.strip.state.ring.stop()


@pytest.mark.parametrize("keep", ["length", "shape", "area"])
def test_colours_between_the_grid_are_as_measured(keep: str) -> None:
    from ringtex.window.overlays.smooth_table import sampled_smoothly

    strip = kept(keep).built.strip
    draw = np.random.Generator(np.random.PCG64(3))
    places = draw.random((2000, 2)) * (3.0 * strip.length, strip.width) - (strip.length, 0.0)
    exact = strip.distortion(places[:, 0], places[:, 1])
    # Half a step of the scales' 256: less than a colour differs by.
    for figure in ("area", "angle_error_deg"):
        found = sampled_smoothly(
            lambda u, v, name=figure: getattr(strip.distortion(u, v), name), strip.length, strip.width, places
        )  # type: ignore[misc]
        wanted = getattr(exact, figure)
        # The scales run over a tenth of a factor, or a degree, at least.
        span = max(float(np.ptp(wanted)), 0.2 if figure == "area" else 1.0)
        assert np.percentile(np.abs(found - wanted), 99) < span / 256.0


def test_pointing_at_a_cell_says_it_whatever_has_the_focus(qtbot: Any) -> None:
    from strip_rings import pixels

    bench = Bench(qtbot, "dome")
    bench.state.set_hovered_setting("depth")
    bench.move(bench.centre(40))
    bench.qtbot.wait(50)
    told = pixels(bench.strip)
    bench.strip.state.pointer = None
    bench.strip.update()
    bench.qtbot.wait(50)
    # The label's panel covers some thousand pixels.
    assert np.count_nonzero(np.abs(told - pixels(bench.strip)).sum(axis=2) > 60) > 1500
    bench.strip.state.ring.stop()
