"""Leaf veins: veins of three widths, meshes of even size between them, level in zones and panels too."""

import numpy as np
import pytest
from ring_promises import strip_areas
from sample_rings import BANDS, sample_ring
from zoo import plain_design

from ringtex.basics.progress import Progress
from ringtex.basics.tolerances import DRAFT_CHORD_MM
from ringtex.checks.finding import Kind
from ringtex.checks.geometry.cell_widths import cell_widths
from ringtex.command.results import ring_results, summary_lines
from ringtex.design.design_file import design_from_json
from ringtex.document.sheet_blocks import pattern_block
from ringtex.make_ring import make_ring
from ringtex.pattern.grown.leaf_veins import leaf_veins
from ringtex.pattern.locate import cells_at
from ringtex.pattern.make_pattern import make_pattern
from ringtex.pattern.panels.panel_options import Panel
from ringtex.pattern.panels.panel_pattern import panel_of_cell
from ringtex.pattern.pattern_options import PatternOptions, RailOptions
from ringtex.pattern.patterned_part import PatternedPart
from ringtex.pattern.zone_options import ZoneOptions
from ringtex.strip.unwrap import unwrap

PART = PatternedPart(58.0, 0.5, 7.5)


def test_a_midrib_goes_round_the_ring_and_side_veins_end_at_the_rails() -> None:
    tiling, level = leaf_veins(PART, 200, 0.0, 1)
    assert tiling.problems() == []
    assert np.count_nonzero(~level) == 200
    u, v = np.meshgrid(np.linspace(0.0, 58.0, 400, endpoint=False), np.arange(0.55, 7.5, 0.05))
    on_vein = level[cells_at(tiling, np.column_stack([u.ravel(), v.ravel()]))].reshape(u.shape)
    # Pinnate venation (Hickey 1973; from memory): a midrib, the widest vein; side veins thin out towards the margin.
    assert np.all(np.any(on_vein[np.abs(v[:, 0] - 4.0) < 0.8], axis=0))
    near, far = (np.mean(on_vein[np.abs(np.abs(v[:, 0] - 4.0) - away) < 0.4]) for away in (1.4, 3.0))
    assert near > 1.3 * far > 0.0


def test_meshes_are_of_even_size() -> None:
    for seed in (1, 2, 3):
        tiling, level = leaf_veins(PART, 240, 0.0, seed)
        areas = tiling.areas[~level]
        assert np.std(areas) < 0.45 * np.mean(areas)


@pytest.mark.parametrize("form", ["sunk", "pillow", "pierced"])
def test_veins_stay_level_and_sharp(form: str) -> None:
    ring = sample_ring("flat", "leaf_veins", 20, chord_mm=0.05, form=form, rounding=0.6)
    assert ring.mesh.problems(genus=1) == []
    assert np.all(strip_areas(ring.solid, ring.strip.length) > 0.0)
    assert np.all(ring.relief.depth_share[ring.pattern.level] == 0.0)


def test_level_in_zones_and_panels() -> None:
    strip = unwrap(BANDS["flat"], "length")
    leaf, plain = PatternOptions("leaf_veins", 30), PatternOptions("hexagon", 24)
    zones = (ZoneOptions(), ZoneOptions(leaf, mirrored=True))
    zoned = make_pattern(strip, plain, RailOptions(), Progress(), zones=zones)
    alone = zoned.zones[1].pattern
    assert zoned.level is not None
    assert alone.level is not None
    np.testing.assert_array_equal(zoned.level[zoned.zones[1].first_cell :], alone.level)
    assert not np.any(zoned.level[: zoned.zones[1].first_cell])
    for inside, outside in ((leaf, plain), (plain, leaf)):
        panel = Panel(0.5, 0.5, 12.0, 4.0, pattern=PatternOptions(inside.family, 12))
        pattern = make_pattern(strip, outside, RailOptions(), Progress(), panels=(panel,))
        assert pattern.level is not None
        where = panel_of_cell(pattern)
        assert np.any(pattern.level[where == 0]) == (inside is leaf)
        assert np.any(pattern.level[where == -1]) == (outside is leaf)


def test_a_panel_over_the_seam_has_the_same_veins_as_elsewhere() -> None:
    strip, leaf = unwrap(BANDS["flat"], "length"), PatternOptions("leaf_veins", 12)
    counts = []
    for u in (0.5, 0.0, 0.98):
        panel = Panel(u, 0.5, 12.0, 4.0, pattern=leaf)
        pattern = make_pattern(strip, PatternOptions("hexagon", 24), RailOptions(), Progress(), panels=(panel,))
        assert pattern.level is not None
        counts.append(np.sum(pattern.tiling.areas[pattern.level]))
    np.testing.assert_allclose(counts, counts[0], rtol=1e-6)


@pytest.mark.parametrize("form", ["raised", "pillow", "peak"])
def test_rounded_cells_between_veins_leave_no_vertex_behind(form: str) -> None:
    """Found by random designs: the fill of veins, which is not used, left its vertices in the mesh and in files."""
    relief = {"form": form, "depth": 0.3, "wall_width": 0.5, "rounding": 0.1}
    ring = make_ring(
        design_from_json(plain_design(pattern={"family": "leaf_veins", "around": 16}, relief=relief)), DRAFT_CHORD_MM
    )
    mesh = ring.solid.mesh
    assert np.array_equal(np.unique(mesh.faces), np.arange(len(mesh.vertices)))
    # Euler and Poincare for a torus, counted without the program's own genus.
    assert 2 * len(mesh.vertices) == len(mesh.faces)


@pytest.mark.parametrize("form", ["raised", "sunk"])
def test_veins_are_neither_small_cells_nor_narrow_floors(form: str) -> None:
    """39 of 71 cells were found too small, and every vein a thin groove: an error of each ring of the family."""
    relief = {"form": form, "depth": 0.3, "wall_width": 0.4}
    ring = make_ring(
        design_from_json(plain_design(pattern={"family": "leaf_veins", "around": 16}, relief=relief)), DRAFT_CHORD_MM
    )
    level = ring.pattern.level
    assert level is not None
    widths = cell_widths(ring.strip, ring.pattern.tiling, ring.solid)
    assert np.all(np.isinf(widths.inside[level]))
    assert np.all(np.isfinite(widths.inside[~level]))
    assert not np.any(ring.solid.shrunk[level])
    kinds = {finding.kind for finding in ring.report.findings}
    assert not kinds & {Kind.SMALL_CELLS, Kind.THIN_RIDGE, Kind.THIN_GROOVE}


def test_cells_are_counted_and_measured_without_veins_and_frames_everywhere() -> None:
    """One number in JSON, summary and sheet; areas as on the strip, which is true on a flat band."""
    panel = {"u": 0.5, "v": 0.5, "width": 8, "height": 4, "pattern": {"family": "brick", "around": 4, "across": 2}}
    leaf = {"family": "leaf_veins", "around": 16}
    built = make_ring(design_from_json(plain_design(pattern=leaf, panels=[panel])), DRAFT_CHORD_MM)
    level, told = built.pattern.level, ring_results(built, [], {})
    assert level is not None
    count = int(np.sum(~level))
    assert told["cells"] == built.pattern.counted[0] == count < built.pattern.tiling.cells
    assert f"{count} cells" in summary_lines(built, told)[0]
    assert f"{count} cells" in pattern_block(built).rows[0].value
    areas = built.pattern.tiling.areas[~level]
    assert told["cell_area"]["min"] == pytest.approx(areas.min(), rel=1e-3)
    assert told["cell_area"]["mean"] == pytest.approx(areas.mean(), rel=1e-3)
    assert told["panels"][0]["cells"] == 8
