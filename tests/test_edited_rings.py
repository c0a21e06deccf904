"""Rings with single cells and sites changed by hand: as sound as any other ring, and changed just as was asked."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ring_promises import strip_areas
from zoo import plain_design

from ringtex.basics.caches import clear_all_caches
from ringtex.basics.errors import InputError
from ringtex.basics.progress import Progress
from ringtex.basics.tolerances import FOLDED_AREA_MM2
from ringtex.design.design import Design
from ringtex.design.design_file import design_from_json
from ringtex.design.edit_options import EditOptions
from ringtex.make_ring import ShapedRing, shape_ring
from ringtex.pattern.cellular.site_edits import MovedSite, SiteEdits, SitePosition
from ringtex.pattern.pattern_options import PatternOptions
from ringtex.relief.cell_edits import CellEdit
from ringtex.relief.relief_options import FORMS, ReliefOptions

CHORD_MM = 0.06
"""Coarser than a draft: which cell has which height, and whether anything folds, does not hang on it."""
FLAT = design_from_json(plain_design())
BANDS = [
    design_from_json(plain_design()),
    design_from_json(
        plain_design(
            band={
                "section": None,
                "stations": [
                    {"angle": 0, "width": 14, "height": 5, "edge_height": 1.4},
                    {"angle": 180, "width": 5, "height": 1.8, "edge_height": 1.4},
                ],
            }
        )
    ),
]


def shaped(design: Design) -> ShapedRing:
    return shape_ring(design, CHORD_MM, Progress())


def ring_or_key(design: Design) -> tuple[ShapedRing | None, str]:
    try:
        return shaped(design), ""
    except InputError as error:
        return None, error.where


def with_cells(design: Design, *edits: CellEdit, **relief: object) -> Design:
    return replace(design, relief=replace(design.relief, **relief), edits=EditOptions(cells=edits))


def cell_heights(ring: ShapedRing, cell: int) -> np.ndarray:
    faces = ring.solid.mesh.faces[ring.solid.face_ranges["cells"]][ring.solid.face_cell == cell]
    return ring.solid.strip_positions[np.unique(faces), 2]


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("depth", [-2.0, -1.0, -0.3, 0.0, 0.01, 1.5, 2.0])
def test_one_cell_has_its_depth_and_the_others_theirs(form: str, depth: float) -> None:
    design = with_cells(FLAT, CellEdit(0.5, 0.5, depth), form=form, depth_mm=0.2, wall_width_mm=0.2)
    ring = shaped(design)
    assert ring.solid.mesh.problems() == []
    named = int(np.flatnonzero(ring.relief.depth_share != 1.0)[0])
    sign = -1.0 if form in ("sunk", "dish", "pierced") else 1.0
    extreme = max(cell_heights(ring, named), key=abs)
    assert extreme == pytest.approx(sign * depth * 0.2, abs=1e-9)
    other = max(cell_heights(ring, (named + 40) % ring.pattern.tiling.cells), key=abs)
    assert other == pytest.approx(sign * 0.2, abs=1e-9)


def test_one_flat_cell_takes_away_just_its_metal() -> None:
    """A raised top is a prism on the cylinder of radius r: one less takes its h + h^2 / 2r with it."""
    whole, less = (
        shaped(with_cells(FLAT, *edits, flank_deg=89.0, corner_mm=0.0, wall_width_mm=0.1)).solid.mesh.volume
        for edits in ((), (CellEdit(0.5, 0.5, 0.0),))
    )
    pattern = shaped(FLAT).pattern
    side = float(np.max(pattern.tiling.areas))
    radius, depth = 54.0 / (2.0 * np.pi) + 1.6, 0.3
    prism = side * (depth + depth**2 / (2.0 * radius))
    # The ridge's strip and the flank stay out of the prism: 0.05 wide round a cell of 2.6 by 1.3 or so.
    assert 0.8 * prism < whole - less < prism


@pytest.mark.parametrize("family", ["cellular", "hexagon"])
def test_a_ring_with_changed_sites_is_sound(family: str) -> None:
    sites = SiteEdits(
        pinned=(SitePosition(0.25, 0.5),),
        added=(SitePosition(0.999, 0.5), SitePosition(0.5, 0.4)),
        removed=(SitePosition(0.7, 0.3),),
        moved=(MovedSite(0.001, 0.5, 0.98, 0.4),),
    )
    design = replace(FLAT, pattern=PatternOptions(family, 24, 6, scatter=0.4), edits=EditOptions(sites=sites))
    ring = shaped(design)
    assert ring.pattern.tiling.problems() == []
    assert ring.solid.mesh.problems() == []


def test_edits_are_the_same_bytes_every_time() -> None:
    design = with_cells(FLAT, CellEdit(0.5, 0.5, 1.5), CellEdit(0.2, 0.2, -1.0))
    first = shaped(design).solid
    clear_all_caches()
    second = shaped(design).solid
    assert first is not second
    assert first.mesh.vertices.tobytes() == second.mesh.vertices.tobytes()


shares = st.floats(0.0, 1.0)
depths = st.one_of(st.sampled_from([0.0, 1.0, 1.5, 2.0, -1.0, -2.0]), st.floats(-2.0, 2.0))
places = st.builds(SitePosition, shares, shares)
edits = st.builds(
    EditOptions,
    cells=st.lists(st.builds(CellEdit, shares, shares, depths), min_size=1, max_size=30).map(tuple),
    sites=st.builds(
        SiteEdits,
        pinned=st.lists(places, max_size=3).map(tuple),
        added=st.lists(places, max_size=3).map(tuple),
        removed=st.lists(places, max_size=6).map(tuple),
        moved=st.lists(st.builds(MovedSite, shares, shares, shares, shares), max_size=3).map(tuple),
    ),
)
reliefs = st.builds(
    ReliefOptions,
    form=st.sampled_from(FORMS),
    depth_mm=st.floats(0.05, 0.6),
    wall_width_mm=st.floats(0.0, 0.8),
    flank_deg=st.floats(30.0, 89.0),
    corner_mm=st.floats(0.0, 0.3),
) | st.builds(
    ReliefOptions,
    form=st.sampled_from(FORMS),
    depth_mm=st.floats(0.05, 0.6),
    wall_width_mm=st.none(),
    top_size=st.floats(0.05, 0.98),
    flank_deg=st.floats(30.0, 89.0),
)
patterns = st.builds(
    PatternOptions,
    family=st.sampled_from(["cellular", "cellular", "hexagon", "brick", "diamond"]),
    around=st.integers(5, 18),
    across=st.integers(1, 5),
    scatter=st.floats(0.0, 1.0),
    seed=st.integers(0, 99),
)


@settings(max_examples=40)
@given(st.sampled_from(BANDS), patterns, reliefs, edits)
def test_any_edits_give_a_sound_ring_or_a_sentence(
    band: Design, pattern: PatternOptions, relief: ReliefOptions, edit: EditOptions
) -> None:
    design = replace(band, pattern=pattern, relief=relief, edits=edit)
    ring, refused_at = ring_or_key(design)
    if ring is None:
        assert refused_at.startswith("edits")
        return
    assert ring.solid.mesh.problems() == []
    assert np.min(strip_areas(ring.solid, ring.strip.length)) > -FOLDED_AREA_MM2
