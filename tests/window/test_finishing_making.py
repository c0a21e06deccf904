"""Limits, allowances and prices in the settings, and what the readings say of weights, cost and balance."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from zoo import DOME, plain_design

pytest.importorskip("PySide6")

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from settings_hands import LEFT, PanelBench, design_of, steps_done, type_number

from ringtex.checks.making.making_limits import LIMITS, Limit, OwnLimits, Process
from ringtex.design.design import Design
from ringtex.design.design_file import read_design
from ringtex.document.ring_weights import ring_weights
from ringtex.make_ring import BuiltRing, make_ring
from ringtex.window.app.price_memory import PriceMemory
from ringtex.window.building.drawable_ring import View, make_view
from ringtex.window.building.finishing_state import FinishingState
from ringtex.window.building.view_state import ViewState
from ringtex.window.settings.sections.making_section import LIMIT_NAMES, LimitRow, MakingSection
from ringtex.window.status.readings_bar import ReadingsBar

DEMOS = Path(__file__).resolve().parents[2] / "demo_patterns"


class Bench(PanelBench):
    def __init__(self, qtbot: Any) -> None:
        super().__init__(qtbot, design_of(plain_design(band=DOME)))
        section = self.panel.section("Making")
        assert isinstance(section, MakingSection)
        self.section = section

    def limit(self, name: str) -> LimitRow:
        key = f"make.limits.{name}"
        return next(found for found in self.section.limits.rows if found.key == key)


@pytest.fixture(scope="module")
def one_bench(qapp: QApplication) -> Iterator[Bench]:
    made = Bench(None)
    yield made
    made.close()


@pytest.fixture
def bench(one_bench: Bench) -> Bench:
    one_bench.begin(design_of(plain_design(band=DOME)))
    return one_bench


def test_every_limit_is_there_and_folded(bench: Bench) -> None:
    assert set(LIMIT_NAMES) == {field.name for field in fields(OwnLimits)}
    limits = bench.section.limits
    assert limits.folded
    assert not limits.rows[0].isVisible()
    assert limits.header.summary == "as shipped"
    QTest.mouseClick(limits.header, LEFT)
    assert all(found.isVisible() for found in limits.rows)


def test_a_limit_is_set_and_brought_back(bench: Bench) -> None:
    QTest.mouseClick(bench.section.limits.header, LEFT)
    metal, shipped = bench.limit("metal"), LIMITS[Process.PRINT_AND_CAST].metal_mm
    assert metal.field.text() == f"{shipped.least:.2f}"
    assert shipped.source in metal.field.toolTip()
    assert not metal.auto.isVisible()
    type_number(metal.field, "1.25")
    assert bench.document.design.make.limits.metal_mm == 1.25
    assert bench.section.limits.header.summary == "1 of your own"
    assert metal.auto.isVisible()
    assert "Your own" in metal.field.toolTip()
    QTest.mouseClick(metal.auto, LEFT)
    assert bench.document.design.make.limits == OwnLimits()
    assert metal.field.text() == f"{shipped.least:.2f}"
    assert steps_done(bench.document) == 2


def test_every_limit_says_where_it_comes_from(bench: Bench) -> None:
    for name, found in zip(LIMIT_NAMES, bench.section.limits.rows, strict=True):
        shipped = getattr(LIMITS[bench.document.design.make.way], name)
        if isinstance(shipped, Limit):
            assert shipped.source in found.toolTip(), name
        else:
            assert "no source" in found.toolTip(), name


def test_limits_follow_the_process(bench: Bench) -> None:
    bench.document.change(
        replace(bench.document.design, make=replace(bench.document.design.make, process="engrave_flat")), "set"
    )
    assert bench.limit("ridge").field.text() == f"{LIMITS[Process.ENGRAVE_FLAT].ridge_mm.least:.2f}"
    assert bench.limit("draft").field.text() == "5.00"


def test_allowances_are_typed_and_told(bench: Bench) -> None:
    """A pattern for 1.25 % of shrinkage is made 1.0127 times as large: the worked example 1 / (1 - p)."""
    type_number(bench.section.shrinkage.field, "1.25")
    type_number(bench.section.polish.field, "0.08")
    make = bench.document.design.make
    assert (make.shrinkage_percent, make.polish_mm) == (1.25, 0.08)
    assert bench.section.scale.text().startswith("Exported 1.0127 times as large, bore 0.08 mm smaller all round.")


def test_a_price_is_kept_for_each_alloy_and_not_in_the_design(bench: Bench) -> None:
    field, before = bench.section.price.field, bench.document.design
    type_number(field, "0,95")
    assert bench.state.finishing.prices == {"silver_925": 0.95}
    assert bench.document.design == before
    assert field.text() == "0.95"
    bench.document.change(replace(before, make=replace(before.make, alloy="gold_750_yellow")), "set")
    assert field.text() == ""
    type_number(field, "-3")
    assert "no price" in bench.section.price.explained
    QTest.keyClick(field, Qt.Key.Key_Escape)
    type_number(field, "61")
    assert bench.state.finishing.prices == {"silver_925": 0.95, "gold_750_yellow": 61.0}
    type_number(field, "")
    QTest.keyClick(field, Qt.Key.Key_Delete)
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert bench.state.finishing.prices == {"silver_925": 0.95}


def test_prices_are_remembered() -> None:
    first = FinishingState()
    keeper = PriceMemory(first)
    first.set_price("silver_925", 1.1)
    first.set_price("gold_585_yellow", 44.0)
    first.set_price("gold_585_yellow", None)
    keeper._store.sync()
    again = FinishingState()
    PriceMemory(again)
    assert again.prices == {"silver_925": 1.1}


# --- readings


@cache
def _view(polish_mm: float = 0.0) -> View:
    design: Design = read_design(DEMOS / "hollow_dome.ring.json")
    return make_view(make_ring(replace(design, make=replace(design.make, polish_mm=polish_mm)), 0.02), is_draft=False)


def _shown(bar: ReadingsBar) -> dict[str, str]:
    return {figure.caption.text(): figure.value.text() for figure in bar.figures if not figure.isHidden()}


def test_weights_stones_balance_and_cost_are_read(qtbot: Any) -> None:
    state = ViewState()
    bar = ReadingsBar(state)
    qtbot.addWidget(bar)
    bar.show_view(_view())
    built, report = _view().built, _view().report
    assert isinstance(built, BuiltRing)
    assert report is not None
    weights, shown = ring_weights(built), _shown(bar)
    assert shown["Weight"] == f"{weights.finished_g:.2f}"
    assert shown["With stones"] == f"{weights.with_stones_g:.2f}"
    assert shown["Balance"] == f"{report.readings.off_axis_mm:.1f}"
    assert shown["Hollow wall"] == f"{report.readings.hollow_wall_mm:.2f}"
    assert not {"Metal cost", "As cast"} & set(shown)
    state.finishing.set_price(built.design.make.alloy, 2.0)
    assert _shown(bar)["Metal cost"] == f"{2.0 * weights.cast_g:.2f}"


def test_polishing_parts_the_weight_as_cast_from_the_finished_one(qtbot: Any) -> None:
    bar = ReadingsBar(ViewState())
    qtbot.addWidget(bar)
    bar.show_view(_view(0.1))
    shown = _shown(bar)
    assert float(shown["As cast"]) > float(shown["Weight"]) + 0.5


def test_a_plain_ring_has_no_figures_of_finishing(qtbot: Any) -> None:
    bar = ReadingsBar(ViewState())
    qtbot.addWidget(bar)
    bar.show_view(make_view(make_ring(read_design(DEMOS / "plain_flat.ring.json"), 0.02), is_draft=False))
    assert not {"Hollow wall", "With stones", "Metal cost", "As cast"} & set(_shown(bar))
