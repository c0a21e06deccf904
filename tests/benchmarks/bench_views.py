"""What the views do while a value is dragged: normals of a mesh, and a panned frame of the strip against a full one."""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
from timing import print_table, seconds

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from ringtex.basics.resources import demo_folder
from ringtex.basics.tolerances import DRAFT_CHORD_MM
from ringtex.design.design_file import read_design
from ringtex.document.document import Document
from ringtex.export.picture.crease_normals import vertex_normals
from ringtex.make_ring import make_ring
from ringtex.window.app.application import make_application
from ringtex.window.building.drawable_ring import make_view
from ringtex.window.building.view_state import ViewState
from ringtex.window.strip_editor.strip_view import StripView

SIZES = ((24, 6), (60, 15), (100, 30))


def median_ms(work: Callable[[], object], count: int = 60) -> float:
    taken = []
    for _ in range(count):
        begun = time.perf_counter()
        work()
        taken.append(time.perf_counter() - begun)
    return 1e3 * float(np.median(taken))


def main() -> None:
    application = make_application([Path(__file__).name])
    design = read_design(demo_folder() / "plain_flat.ring.json")
    rows = []
    for around, across in SIZES:
        asked = replace(design, pattern=replace(design.pattern, around=around, across=across))
        built = make_ring(asked, DRAFT_CHORD_MM)
        mesh = built.solid.mesh
        normals = 1e3 * seconds(lambda mesh=mesh: vertex_normals(mesh.vertices, mesh.faces))
        strip = StripView(Document(asked), ViewState())
        strip.resize(1280, 260)
        strip.show()
        strip.show_view(make_view(built, is_draft=True))
        application.processEvents()
        full = median_ms(strip.repaint, 3)

        def pan(strip: StripView = strip) -> None:
            strip.state.look(strip.state.viewport.panned(-17, 0))
            strip.repaint()

        panned = median_ms(pan)
        rows.append((around * across, len(mesh.faces), normals, full, panned, panned / full))
        strip.close()
    head = ("cells", "triangles", "normals ms", "full frame ms", "panned ms", "panned / full")
    print_table("views of a flat ring", head, rows)


if __name__ == "__main__":
    main()
