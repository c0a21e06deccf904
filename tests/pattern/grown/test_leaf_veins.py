"""Leaf veins: veins of three widths, meshes of even size between them, level in zones and panels too."""

import numpy as np
import pytest
from ring_promises import strip_areas
from sample_rings import BANDS, sample_ring

from ringtex.basics.progress import Progress
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
