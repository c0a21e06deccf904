"""Overlays: figures against the checks, scales that the eye reads evenly, the legend, the worker."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from strip_rings import Bench, design_named, pixels, view_of

from ringtex.checks.making.thickness import measure_thinnest_metal
from ringtex.window.building.view_state import OVERLAYS
from ringtex.window.overlays.cell_levels import cell_levels
from ringtex.window.overlays.colour_scales import NO_VALUE, SCALES, cie_lightness, scale_table, srgb_of_oklab
from ringtex.window.overlays.legend import Legend, figure, legend_words, level_shape
from ringtex.window.overlays.overlay_values import colours, overlay_values
from ringtex.window.overlays.overlay_worker import OverlayWorker
from ringtex.window.overlays.wall_thickness import wall_thickness

NAMES = [name for name in OVERLAYS if name != "none"]


# --- scales


@pytest.mark.parametrize(("name", "way"), [("dark_to_light", 1.0), ("light_to_dark", -1.0)])
def test_lightness_alone_tells_the_value(name: str, way: float) -> None:
    lightness = cie_lightness(scale_table(name)) * way
    assert np.all(np.diff(lightness) > -0.25)
    assert np.all(lightness[8:] > lightness[:-8])
    # Even steps: no eighth of the scale takes more than twice its share of the whole change.
    eighths = np.diff(lightness[np.linspace(0, 255, 9).astype(int)])
    assert eighths.max() < 2.0 * np.ptp(lightness) / 8.0
    assert eighths.min() > 0.5 * np.ptp(lightness) / 8.0


def test_the_two_sided_scale_darkens_evenly_from_its_middle() -> None:
    table = scale_table("two_sided")
    lightness = cie_lightness(table)
    middle = int(np.argmax(lightness))
    assert abs(middle - 127.5) <= 2
    assert np.all(np.diff(lightness[:middle]) > -0.25)
    assert np.all(np.diff(lightness[middle:]) < 0.25)
    assert abs(lightness[0] - lightness[-1]) < 6.0


@pytest.mark.parametrize("name", [name for name in SCALES if name != "levels"])
def test_red_green_confusion_leaves_scales_readable(name: str) -> None:
    # Deuteranopia as a matrix on linear sRGB: Machado, Oliveira and Fernandes 2009, severity 1.0 (from memory).
    deuteranopia = np.array(
        [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]]
    )
    share = scale_table(name) / 255.0
    linear = np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)
    seen = np.clip(linear @ deuteranopia.T, 0.0, 1.0)
    encoded = np.where(seen <= 0.0031308, 12.92 * seen, 1.055 * seen ** (1 / 2.4) - 0.055)
    steps = encoded[:: len(encoded) // 8]
    apart = np.linalg.norm(steps[:, None] - steps[None], axis=2) + np.eye(len(steps))
    assert apart.min() > 0.04
    assert np.linalg.norm(encoded[0] - encoded[-1]) > 0.2


def test_oklab_whites_and_greys() -> None:
    # L = 1 is white and a = b = 0 is grey, by the definition of the space (Ottosson 2020).
    np.testing.assert_array_equal(srgb_of_oklab(np.array([[1.0, 0.0, 0.0], [0.0, 0.0, 0.0]])), [[255] * 3, [0] * 3])
    grey = srgb_of_oklab(np.array([[0.6, 0.0, 0.0]]))[0].astype(int)
    assert np.ptp(grey) <= 1
    assert cie_lightness(np.array([[255, 255, 255]], np.uint8))[0] == pytest.approx(100.0, abs=0.01)
    # sRGB 119, 119, 119 has L* 50.03 (from memory).
    assert cie_lightness(np.array([[119, 119, 119]], np.uint8))[0] == pytest.approx(50.03, abs=0.05)


def test_levels_differ_in_shape_and_lightness() -> None:
    from PySide6.QtCore import QPointF

    assert len({level_shape(level, QPointF(0, 0), 5.0).count() for level in (1, 2, 3)}) == 3
    assert np.all(np.diff(cie_lightness(scale_table("levels"))) < -8.0)


# --- figures


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("ring", ["flat", "dome", "cellular", "rails"])
def test_every_overlay_has_a_value_for_every_cell(name: str, ring: str) -> None:
    view = view_of(design_named(ring))
    values = overlay_values(view, name)
    assert values is not None
    assert values.per_cell.shape == (view.built.pattern.tiling.cells,)
    assert np.all(np.isfinite(values.per_cell))
    assert values.per_vertex.shape == (len(view.positions),)
    assert values.per_vertex.dtype == np.float32
    assert values.low < values.high
    outer = len(view.built.solid.strip_positions)
    assert np.all(np.isnan(values.per_vertex[outer:]))
    shown = colours(values)
    assert shown.shape == (len(view.positions), 3)
    assert shown.dtype == np.uint8
    np.testing.assert_array_equal(shown[-1], NO_VALUE)
    assert overlay_values(view, "none") is None


@pytest.mark.parametrize("ring", ["flat", "dome", "rails"])
def test_metal_is_as_the_check_measures_it(ring: str) -> None:
    built = view_of(design_named(ring)).built
    measured = measure_thinnest_metal(built.solid, built.strip.band)
    assert np.nanmin(wall_thickness(built)) == pytest.approx(min(measured.metal_mm, measured.edge_mm), abs=1e-4)


def test_metal_over_a_comfort_bore() -> None:
    design = design_named("flat")
    built = view_of(replace(design, bore=replace(design.bore, shape="comfort", rise_mm=0.4))).built
    measured = measure_thinnest_metal(built.solid, built.strip.band)
    assert np.nanmin(wall_thickness(built)) == pytest.approx(min(measured.metal_mm, measured.edge_mm), abs=2e-3)


def test_a_conformal_strip_has_true_angles_and_says_so() -> None:
    values = overlay_values(view_of(design_named("dome")), "stretch")
    assert values is not None
    assert values.note == "angles are true"
    assert values.low * values.high == pytest.approx(1.0)
    assert values.per_cell.max() > 3.0
    flat = overlay_values(view_of(design_named("flat")), "stretch")
    assert flat is not None
    np.testing.assert_allclose(flat.per_cell, 1.0, atol=1e-6)


def test_squeezed_and_thin_cells_are_levels() -> None:
    design = design_named("flat")
    built = view_of(design).built
    assert np.all(cell_levels(built, wall_thickness(built)) == 0)
    narrow = view_of(replace(design, relief=replace(design.relief, wall_width_mm=0.2))).built
    assert np.all(cell_levels(narrow, wall_thickness(narrow)) == 3)
    crowded = view_of(replace(design, relief=replace(design.relief, wall_width_mm=1.6))).built
    levels = cell_levels(crowded, wall_thickness(crowded))
    assert np.any(crowded.solid.shrunk)
    assert np.all(levels[crowded.solid.shrunk] >= 2)


# --- on the strip


def test_the_legend_says_it_in_words(qtbot) -> None:
    legend = Legend()
    qtbot.addWidget(legend)
    values = overlay_values(view_of(design_named("dome")), "cell_size")
    assert values is not None
    legend.show_values(values)
    assert "mm²" in legend.accessibleDescription()
    assert figure(values.high) in legend_words(values)
    legend.show_values(None)
    assert not legend.isVisible()


def test_the_newest_question_wins(qtbot) -> None:
    worker = OverlayWorker()
    view = view_of(design_named("flat"))
    answers = []
    worker.ready.connect(lambda _, values: answers.append(values.name))
    for name in NAMES:
        worker.request(view, name)
    qtbot.waitUntil(lambda: bool(answers), timeout=5000)
    qtbot.wait(50)
    assert answers == [NAMES[-1]]
    worker.request(view, "stretch")
    worker.forget()
    qtbot.wait(100)
    assert answers == [NAMES[-1]]
    worker.stop()


@pytest.mark.parametrize("name", NAMES)
def test_overlays_colour_the_strip(qtbot, name: str) -> None:
    bench = Bench(qtbot, "dome")
    metal = pixels(bench.strip)
    bench.state.set_overlay(name)
    bench.rest()
    values = bench.strip.state.ring.overlay
    assert values is not None
    assert values.name == name
    assert bench.strip.legend.isVisible()
    cell = int(np.argmin(np.abs(bench.strip.state.view.built.pattern.tiling.kernel[0] - (30.0, 7.0)).sum(axis=1)))  # type: ignore[union-attr]
    at = bench.centre(cell)
    seen = pixels(bench.strip)[at.y() - 1 : at.y() + 2, at.x() - 1 : at.x() + 2].mean(axis=(0, 1))
    np.testing.assert_allclose(seen, colours(values, values.per_cell[[cell]])[0], atol=6)
    bench.state.set_overlay("none")
    bench.rest()
    assert not bench.strip.legend.isVisible()
    assert np.mean(np.abs(pixels(bench.strip) - metal)) < 1.0
