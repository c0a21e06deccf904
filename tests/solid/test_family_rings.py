"""Every family with most relief forms on flat, half-round and dome bands: closed, clean, one body.

Two of three bands are left to tests/campaigns/family_crossings.py, which builds all of them at final tolerance. Two
forms of each family, other ones each time, are built in tests/outside/test_meshes_outside.py, by stricter judges; of
the others every fourth is left to the campaign, for each family another.
"""

import numpy as np
import pytest
from ring_promises import strip_areas
from sample_rings import JUDGED_OUTSIDE, sample_ring

from ringtex.pattern.lattice.families import ALL_FAMILIES, LATTICE_FAMILIES
from ringtex.pattern.pattern_options import CELL_FAMILIES
from ringtex.relief.relief_options import FORMS

BANDS = ("flat", "half_round", "dome")
DRAFT_MM = 0.15
FAMILIES = list(CELL_FAMILIES)


@pytest.mark.parametrize("family", FAMILIES)
def test_every_family_gives_sound_rings_in_its_forms(family: str) -> None:
    around = max(5, ALL_FAMILIES[family].sample_around // 2)
    judged = {form for _, found, form in JUDGED_OUTSIDE if found == family}
    assert 1 <= len(judged) <= 2
    for at, form in enumerate(FORMS):
        if form in judged or (at + FAMILIES.index(family)) % 4 == 3:
            continue
        band = BANDS[(at + FAMILIES.index(family)) % len(BANDS)]
        ring = sample_ring(band, family, around, chord_mm=DRAFT_MM, form=form)
        assert ring.mesh.problems(genus=1) == [], (band, form)
        assert np.all(strip_areas(ring.solid, ring.strip.length) > 0.0), (band, form)


@pytest.mark.parametrize("family", FAMILIES)
def test_turned_slid_and_scattered_patterns_give_sound_rings(family: str) -> None:
    ring = sample_ring(
        "half_round", family, 8, 2, chord_mm=DRAFT_MM, scatter=0.7, twist=2 * (family in LATTICE_FAMILIES)
    )
    assert ring.mesh.problems(genus=1) == []
    assert np.all(strip_areas(ring.solid, ring.strip.length) > 0.0)
