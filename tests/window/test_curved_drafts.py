"""While a value is dragged curved walls are drawn in fewer steps: the same cells, as near to those of the finished
ring as DEVELOPERS.md says."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
import shapely

pytest.importorskip("PySide6")

from zoo import plain_design

from ringtex.basics.tolerances import FINAL_CHORD_MM
from ringtex.design.design_file import design_from_json
from ringtex.pattern.tiling import Tiling
from ringtex.window.building import build_worker
from ringtex.window.strip_editor.state.strip_scene import StripScene

if TYPE_CHECKING:
    from collections.abc import Callable

    from pytestqt.qtbot import QtBot

    from ringtex.window.app.main_window import MainWindow
    from ringtex.window.building.drawable_ring import View

DRAFT_MM = 0.03
"""As in the program; other tests of the window have drafts of their own tolerance."""

WALL_MM = DRAFT_MM + FINAL_CHORD_MM
WALL_FRACTION = 0.025
"""How far walls of drafts may lie from the finished ones: mm, and of a mean cell's size (DEVELOPERS.md)."""


@pytest.fixture
def window(same_window: MainWindow) -> MainWindow:
    """One window for all tests of this file."""
    return same_window


def outlines(tiling: Tiling) -> Any:
    """(cells,) closed lines."""
    return shapely.linearrings(tiling.corners, indices=tiling.corner_cell)


@pytest.mark.parametrize("family", ["scale", "round_scale", "waves", "ripples", "ogee", "shells"])
def test_a_draft_of_curved_cells_lies_beside_the_finished_ring(
    family: str,
    qtbot: QtBot,
    window: MainWindow,
    settled: Callable[[], None],
    final_tolerance: None,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    import igl

    monkeypatch.setattr(build_worker, "DRAFT_MM", DRAFT_MM)
    views: list[View] = []
    window.worker.built.connect(views.append)
    design = design_from_json(
        plain_design(pattern={"family": family, "around": 12, "seed": 3}, relief={"depth_scatter": 0.5})
    )
    window.document.new(design)
    settled()
    window.document.begin_drag("change the depth")
    dragged = replace(design, relief=replace(design.relief, depth_mm=0.27))
    window.document.change(dragged, "change the depth")
    qtbot.waitUntil(lambda: any(view.design == dragged for view in views))
    draft = next(view for view in views if view.design == dragged)
    window.document.end_drag()
    settled()
    window.worker.built.disconnect(views.append)
    final = window.view
    assert final is not None
    assert draft.is_draft
    assert final.design == dragged

    drawn, made = draft.built.pattern.tiling, final.built.pattern.tiling
    assert len(drawn.corner_vertex) < 0.7 * len(made.corner_vertex)
    assert drawn.cells == made.cells
    assert np.array_equal(draft.built.relief.depth_share, final.built.relief.depth_share)
    apart = shapely.hausdorff_distance(outlines(drawn), outlines(made))
    assert 0.0 < apart.max() <= min(WALL_MM, WALL_FRACTION * float(np.sqrt(np.mean(made.areas))))
    # The pointer finds the same cell on both.
    middles = made.kernel[0]
    found = [StripScene(view.built).finder.cells_at(middles) for view in (draft, final)]
    assert np.array_equal(*found)
    # libigl's distances, for tests only: of the draft's vertices from the finished mesh.
    mesh, fine = draft.built.finished.mesh, final.built.finished.mesh
    squared = igl.point_mesh_squared_distance(mesh.vertices, fine.vertices, fine.faces.astype(np.int64))[0]
    assert float(np.sqrt(squared.max())) < DRAFT_MM + WALL_MM
