"""Hollows all over the options' limits: what comes out keeps its wall by an independent distance, or is refused by key.

A longer run: `python3 dev.py test tests/solid/test_hollow_space.py --hypothesis-profile=long -s`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

import igl
import numpy as np
import pytest
import trimesh
from finish_strategies import any_hollows, worn_bands
from hypothesis import given, settings
from hypothesis import strategies as st
from zoo import plain_design

from ringtex.band.band_options import BandOptions
from ringtex.band.bore import BoreOptions
from ringtex.basics.errors import InputError
from ringtex.basics.tolerances import DRAFT_CHORD_MM, FINAL_CHORD_MM
from ringtex.design.design_file import design_from_json
from ringtex.make_ring import BuiltRing, make_ring
from ringtex.relief.relief_options import ReliefOptions
from ringtex.solid.finishing.hollow_options import HollowOptions
from ringtex.solid.mesh.booleans import ORIGINALS

EXAMPLES = min(settings().max_examples, 500) if settings().max_examples > 100 else 12
PLAIN = design_from_json(plain_design(pattern={"family": "hexagon", "around": 16, "across": "auto"}))


@pytest.fixture(scope="module")
def endings() -> Iterator[Counter[str]]:
    counted: Counter[str] = Counter()
    yield counted
    print(f"\n{sum(counted.values())} hollows: {dict(counted.most_common())}")


def thinnest(ring: BuiltRing) -> float:
    """From places all over the hollow's faces to the ring's outer face and sides, by libigl."""
    mesh, solid = ring.finished.mesh, ring.solid
    faces = mesh.faces[ring.finished.original_id == ORIGINALS.index("hollow")]
    inner = trimesh.Trimesh(mesh.vertices, faces, process=False)
    places = np.concatenate((inner.triangles.reshape(-1, 3), trimesh.sample.sample_surface(inner, 5000, seed=1)[0]))
    outer = solid.mesh.faces[: solid.face_ranges["sides"].stop].astype(np.int64)
    return float(np.sqrt(np.min(igl.point_mesh_squared_distance(places, solid.mesh.vertices, outer)[0])))


def judge_refusal(error: InputError) -> None:
    assert error.where.split("[")[0] in ("hollow.wall", "hollow.lip", "hollow.floor", "hollow.drains")
    assert error.advice


@settings(max_examples=EXAMPLES)
@given(
    band=worn_bands(),
    hollow=any_hollows(),
    form=st.sampled_from(["raised", "sunk", "dish"]),
    bore=st.sampled_from([BoreOptions(), BoreOptions("comfort", 0.3)]),
)
def test_any_hollow_keeps_its_wall(
    band: BandOptions, hollow: HollowOptions, form: str, bore: BoreOptions, endings: Counter[str]
) -> None:
    relief = ReliefOptions(form=form, depth_mm=0.25, wall_width_mm=0.5)
    design = replace(PLAIN, band=band, bore=bore, relief=relief, hollow=hollow)
    try:
        ring = make_ring(design, DRAFT_CHORD_MM)
    except InputError as error:
        judge_refusal(error)
        endings[f"refused: {error.where}"] += 1
        return
    assert ring.finished.mesh.problems(ring.finished.genus) == []
    measured, read = thinnest(ring), ring.report.readings.hollow_wall_mm
    # The wall is kept from a finished ring's mesh; a draft's facets lie up to two of its tolerances inside the faces.
    assert measured >= hollow.wall_mm - 2.0 * (DRAFT_CHORD_MM - FINAL_CHORD_MM) - 0.001
    assert read == pytest.approx(measured, abs=0.01)
    endings["built"] += 1
