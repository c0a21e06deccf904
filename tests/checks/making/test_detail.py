from dataclasses import dataclass, replace

import numpy as np
import pytest
from plain_rings import PlainStrip, level, plain_ring
from zoo import DOME, plain_design

from ringtex.checks.finding import Kind, Level
from ringtex.checks.geometry.cell_widths import CellWidths, cell_widths
from ringtex.checks.geometry.outline_widths import OutlineWidths
from ringtex.checks.making.detail import FinestDetail, check_detail, detail_of_outlines, measure_detail
from ringtex.checks.making.making_limits import MakingLimits
from ringtex.design.design_file import design_from_json
from ringtex.make_ring import make_ring
from ringtex.pattern.motif.motif_options import MotifOptions
from ringtex.pattern.motif.repeats import Repeats
from ringtex.relief.relief_options import ReliefOptions
from ringtex.solid.mesh.ring_mesh import RingSolid

LIMITS = MakingLimits()


@dataclass(frozen=True)
class Counts:
    """Of a pattern."""

    around: int
    stretch_percent: float
    motif: None = None


@dataclass(frozen=True)
class FreeForm:
    """A pattern of outlines."""

    family: str
    around: int = 24
    stretch_percent: float = 0.0
    motif: object = "outlines"


def ring(walls: list[float], tops: list[float], shrunk: int = 0) -> tuple[RingSolid, CellWidths]:
    """A plain ring, with widths of its walls and insides."""
    plain = plain_ring(PlainStrip(), level, columns=24, rows=3)
    flags = np.arange(len(tops)) < shrunk
    widths = CellWidths(np.array(walls), np.array(tops), np.zeros(len(walls), dtype=np.int32))
    return replace(plain, shrunk=flags), widths


@pytest.mark.parametrize(
    ("form", "ridge", "groove"),
    [
        ("raised", 1.1, 0.4),
        ("pillow", 1.1, 0.4),
        ("step", 1.1, 0.4),
        ("peak", None, 0.4),
        ("sunk", 0.4, 1.1),
        ("dish", 0.4, 1.1),
    ],
)
def test_which_is_ridge_and_which_is_groove(form: str, ridge: float | None, groove: float) -> None:
    detail = measure_detail(*ring([0.4, 0.6], [1.1, 2.0]), form)
    assert detail.ridge_mm == ridge
    assert detail.groove_mm == groove


def test_walls_without_a_level_strip_and_cells_without_a_top_do_not_count() -> None:
    detail = measure_detail(*ring([0.0, np.nan], [np.inf, 0.0]), "raised")
    assert detail == FinestDetail(None, None, 0, 2)
    assert check_detail(detail, LIMITS, ReliefOptions()) == []


@pytest.mark.parametrize(
    ("width", "found"), [(0.40, None), (0.35, None), (0.34, Level.WARNING), (0.30, Level.WARNING), (0.29, Level.ERROR)]
)
def test_thin_ridge_and_thin_groove(width: float, found: Level | None) -> None:
    for form, kind in (("sunk", Kind.THIN_RIDGE), ("raised", Kind.THIN_GROOVE)):
        findings = check_detail(measure_detail(*ring([width], [1.5]), form), LIMITS, ReliefOptions(form))
        assert [(f.kind, f.level) for f in findings] == ([] if found is None else [(kind, found)])


@pytest.mark.parametrize(
    ("form", "narrow_wall", "advice"),
    [
        ("raised", True, "a wider groove"),
        ("raised", False, "a narrower groove"),
        ("sunk", True, "a wider ridge"),
        ("sunk", False, "a narrower ridge"),
    ],
)
def test_the_advice_names_what_lies_along_the_walls(form: str, narrow_wall: bool, advice: str) -> None:
    """Only its width is a setting; the inside of a cell is what is left of it."""
    detail = measure_detail(*(ring([0.1], [2.0]) if narrow_wall else ring([1.0], [0.1])), form)
    (finding,) = check_detail(detail, LIMITS, ReliefOptions(form))
    assert f": {advice}, or fewer and larger cells" in finding.advice


def test_small_cells_name_what_would_fit() -> None:
    detail = measure_detail(*ring([0.4, 0.36], [0.5, 0.9, 1.0], shrunk=1), "sunk")
    (finding,) = check_detail(detail, LIMITS, ReliefOptions("sunk"), Counts(24, 0.0))
    assert finding.kind is Kind.SMALL_CELLS
    assert finding.level is Level.WARNING
    assert finding.measured == 1.0
    assert finding.message.startswith("1 of 3 cells")
    # 0.36 of the asked 0.40 fits; how many fewer around would do depends on where cells are small, so none is named.
    assert finding.advice.startswith("Fewer than 24 around, or a ridge width of 0.35 or less, or wider rails")


def test_small_cells_without_numbers_still_advise() -> None:
    (finding,) = check_detail(measure_detail(*ring([0.4], [0.5], shrunk=1), "raised"), LIMITS, ReliefOptions())
    assert finding.advice.startswith("Fewer cells around, or a narrower groove, or wider rails")


@pytest.mark.parametrize(("stretch", "level_found"), [(9.0, None), (-12.0, Level.NOTE), (40.0, Level.WARNING)])
def test_stretched_cells(stretch: float, level_found: Level | None) -> None:
    detail = FinestDetail(1.0, 1.0, 0, 10)
    found = check_detail(detail, LIMITS, ReliefOptions(), Counts(24, stretch))
    expected = [] if level_found is None else [(Kind.STRETCHED_CELLS, level_found)]
    assert [(f.kind, f.level) for f in found] == expected


def test_the_thinnest_ridge_and_groove_say_where_they_are() -> None:
    """On a real ring: the place is on the cell whose wall, or inside, measures least."""
    design = design_from_json(
        plain_design(band=DOME, pattern={"around": 40}, relief={"wall_width": 0.12, "depth": 0.9})
    )
    built = make_ring(design, 0.03)
    found = {finding.kind: finding for finding in built.report.findings}
    cells = built.solid.mesh.faces[built.solid.face_ranges["cells"]]
    widths = cell_widths(built.strip, built.pattern.tiling, built.solid)
    for kind, cell in (
        (Kind.THIN_RIDGE, int(np.argmin(widths.inside))),
        (Kind.THIN_GROOVE, int(built.pattern.tiling.corner_cell[np.argmin(widths.wall)])),
    ):
        corners = built.solid.mesh.vertices[np.unique(cells[built.solid.face_cell == cell])]
        assert found[kind].place is not None
        assert np.min(np.linalg.norm(corners - np.array(found[kind].place), axis=1)) == 0.0
        assert "degrees" in found[kind].where


@pytest.mark.parametrize(("family", "change"), [("growth_rings", "fewer than 24 around"), ("motif", "draw it wider")])
def test_outlines_have_findings_as_cells_have(family: str, change: str) -> None:
    pattern = FreeForm(family)
    found = OutlineWidths(0.2, 0.0, np.array([0.0, 10.0, 0.0]), np.array([0.0, -10.0, 1.0]))
    none = FinestDetail(None, None, 0, 24)
    raised, sunk = (detail_of_outlines(none, found, form) for form in ("raised", "sunk"))
    assert (raised.ridge_mm, raised.groove_mm, raised.groove_place) == (0.0, 0.2, (0.0, 10.0, 0.0))
    assert (sunk.ridge_mm, sunk.groove_mm, sunk.groove_place) == (0.2, 0.0, (0.0, -10.0, 1.0))
    assert detail_of_outlines(none, found, "peak").ridge_mm is None
    findings = check_detail(raised, LIMITS, ReliefOptions(), pattern)
    assert [finding.kind for finding in findings] == [Kind.THIN_RIDGE, Kind.THIN_GROOVE]
    assert "no level ridge" in findings[0].message
    assert change in findings[0].advice
    (unknown,) = check_detail(detail_of_outlines(none, None, "raised"), LIMITS, ReliefOptions(), pattern)
    assert unknown.kind is Kind.WIDTHS_UNKNOWN


@pytest.mark.parametrize(("form", "named"), [("raised", True), ("sunk", True), ("pillow", False), ("dish", False)])
def test_steeper_flanks_are_advised_only_where_there_are_flanks(form: str, named: bool) -> None:
    detail = FinestDetail(0.1, 0.1, 0, 10)
    found = check_detail(detail, LIMITS, ReliefOptions(form=form), FreeForm("motif"))  # type: ignore[arg-type]
    assert any("steeper flanks" in finding.advice for finding in found) == named


def test_advice_on_outlines_can_be_followed() -> None:
    """A ring has at least three repeats, and the letters of a text are drawn by its font."""
    detail = FinestDetail(0.1, 0.1, 0, 10)
    (few, _) = check_detail(detail, LIMITS, ReliefOptions(), FreeForm("motif", around=3))  # type: ignore[arg-type]
    assert "fewer than" not in few.advice
    assert "a larger size" in few.advice
    layout = Repeats(None, MotifOptions("M0 0l30 0 0 20 -30 0z", text="tide"), 5, 1, (0.0, 0.0))  # type: ignore[arg-type]
    ridge, groove = check_detail(detail, LIMITS, ReliefOptions(), FreeForm("motif", motif=layout))  # type: ignore[arg-type]
    assert "take a bolder font, or fewer than 24" in ridge.advice
    assert "font" not in groove.advice
