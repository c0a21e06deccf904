"""The finishing stage as a whole: nothing asked costs nothing, the same design gives the same bytes, parts are told."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
from finished_rings import dome, shaped

from ringtex.basics.caches import clear_all_caches
from ringtex.basics.tolerances import DRAFT_CHORD_MM
from ringtex.design.design_file import design_from_json
from ringtex.solid.finishing.finish import finish_ring
from ringtex.solid.mesh.booleans import ORIGINALS

ALL = {
    "hollow": {"wall": 1},
    "stones": [
        {"u": 0.5, "v": 0.5, "diameter": 2},
        {"count": 2, "stone": {"u": 0, "v": 0.5, "diameter": 1}, "spacing": 2},
    ],
    "plain": [{"u": 0.3, "v": 0.5, "width": 3, "level": "top"}, {"u": 0.7, "v": 0.5, "width": 3, "shape": "round"}],
    "inscription": {"text": "A8", "angle": -160, "height": 1},
}


def test_a_ring_without_anything_is_left_as_it_is() -> None:
    ring = shaped(dome(), DRAFT_CHORD_MM)
    assert ring.finished.mesh is ring.solid.mesh
    assert (ring.finished.genus, ring.finished.saved_mm3, ring.finished.stones) == (1, 0.0, ())


def test_a_plain_ring_is_made_without_manifold3d(demo: Callable[[str], Path], environment: dict[str, str]) -> None:
    code = (
        "import sys; from pathlib import Path; from ringtex.design.design_file import read_design;"
        "from ringtex.make_ring import make_ring; make_ring(read_design(Path(sys.argv[1])), 0.02);"
        "print([name for name in sys.modules if name.startswith(('manifold3d', 'fontTools'))])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(demo("plain_flat.ring.json"))],
        env=environment, capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert done.stdout.strip() == "[]"


def test_everything_at_once_is_one_body_with_its_parts_told() -> None:
    finished = shaped(dome(**ALL), DRAFT_CHORD_MM).finished
    assert finished.genus == 4
    assert finished.mesh.problems(4) == []
    found = {ORIGINALS[number] for number in np.unique(finished.original_id)}
    assert found == {"ring", "hollow", "collar", "seat", "plain", "inscription"}


def test_the_same_design_gives_the_same_bytes() -> None:
    design = dome(**ALL)
    ring = shaped(design, DRAFT_CHORD_MM)
    clear_all_caches()
    again = finish_ring(ring.strip, ring.solid, design_from_json(design).finish, DRAFT_CHORD_MM)
    assert ring.finished.mesh.vertices.tobytes() == again.mesh.vertices.tobytes()
    assert ring.finished.mesh.faces.tobytes() == again.mesh.faces.tobytes()
    assert ring.finished.original_id.tobytes() == again.original_id.tobytes()
