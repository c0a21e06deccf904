"""The profile drawing: its points are controls of the document."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
import pytest
from zoo import DOME, plain_design

from ringtex.basics.resources import demo_folder
from ringtex.edits.motif_edits import with_motif
from ringtex.pattern.motif.import_motif import read_motif

pytest.importorskip("PySide6")

from PySide6.QtCore import Qt
from PySide6.QtGui import QImage
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from settings_drawn import Drawn
from settings_hands import changed_keys, design_of, drag, handle_place, steps_done


@pytest.fixture(scope="module")
def drawn(qapp: QApplication) -> Iterator[Drawn]:
    made = Drawn(None, plain_design())
    yield made
    made.close()


@pytest.fixture
def dome(drawn: Drawn) -> Drawn:
    drawn.begin(design_of(plain_design(band=DOME, bore={"shape": "comfort", "rise": 0.2})))
    return drawn


RELIEF_DRAGS = [
    ("wall width", (0.1, 0.0), "relief.wall_width", 0.6),
    ("depth", (0.0, -0.1), "relief.depth", 0.4),
    ("corner", (0.05, 0.0), "relief.corner", 0.1 + 0.05 / math.tan(math.radians(35.0))),
    ("flank", (0.05, 0.0), "relief.flank", math.degrees(math.atan2(0.3, 0.3 / math.tan(math.radians(70.0)) + 0.1))),
]


@pytest.mark.parametrize(("name", "by_mm", "key", "becomes"), RELIEF_DRAGS)
def test_a_point_of_the_profile_changes_what_it_measures(
    dome: Drawn, name: str, by_mm: tuple[float, float], key: str, becomes: float
) -> None:
    drawing, begun = dome.show(dome.relief.profile), dome.document.design
    scale = drawing.frame.x_scale
    drag(drawing, handle_place(drawing, name), (by_mm[0] * scale, by_mm[1] * scale), steps=12)
    assert changed_keys(begun, dome.document.design) == {key}
    value = getattr(dome.document.design.relief, {"relief.flank": "flank_deg"}.get(key, f"{key[7:]}_mm"))
    assert value == pytest.approx(becomes, abs=0.51 if key == "relief.flank" else 0.006)
    assert steps_done(dome.document) == 1
    dome.document.undo()
    assert dome.document.design == begun


@pytest.mark.parametrize("form", ["raised", "sunk", "pillow", "dish", "peak", "step"])
@pytest.mark.parametrize("width", [{"wall_width": 0.3}, {"top_size": 0.6}])
def test_every_form_has_its_points_on_its_line(drawn: Drawn, form: str, width: dict[str, float]) -> None:
    drawn.begin(design_of(plain_design(relief={"form": form, "depth": 0.4, "corner": 0.0, **width})))
    drawing = drawn.show(drawn.relief.profile)
    names = {handle.name for handle in drawing.handles}
    flanked = {"flank", "corner"} if form in ("raised", "sunk", "step") else set()
    assert names == {"depth", "wall width" if "wall_width" in width else "top size", *flanked}
    from ringtex.relief.cell_profile import cell_profile
    from ringtex.window.settings.drawings.choice_pictures import profile_line

    line = profile_line(cell_profile(drawn.document.design.relief, 0.005), drawn.relief.profile.half_cell_mm)
    for handle in drawing.handles:
        away = np.hypot(line[:, 0] - handle.x, line[:, 1] - handle.y)
        on_line = abs(np.interp(handle.x, line[:, 0], line[:, 1]) - handle.y)
        assert min(float(np.min(away)), float(on_line)) < 0.011, handle.name
    begun = drawn.document.design
    drag(drawing, handle_place(drawing, "depth"), (0.0, -8.0))
    grew = drawn.document.design.relief.depth_mm > begun.relief.depth_mm
    assert grew == (form not in ("sunk", "dish"))


def test_top_size_is_dragged_where_it_rules(drawn: Drawn) -> None:
    drawn.begin(design_of(plain_design(relief={"top_size": 0.6})))
    drawing, begun = drawn.show(drawn.relief.profile), drawn.document.design
    drag(drawing, handle_place(drawing, "top size"), (0.1 * drawing.frame.x_scale, 0.0))
    assert changed_keys(begun, drawn.document.design) == {"relief.top_size"}
    assert drawn.document.design.relief.top_size == pytest.approx(0.5, abs=0.011)


def test_points_are_reached_and_moved_by_keyboard(dome: Drawn) -> None:
    drawing = dome.show(dome.relief.profile)
    drawing.setFocus()
    assert drawing.handles[drawing.chosen].name == "wall width"
    QTest.keyClick(drawing, Qt.Key.Key_Right)
    assert dome.document.design.relief.wall_width_mm == pytest.approx(0.41)
    QTest.keyClick(drawing, Qt.Key.Key_PageDown)
    QTest.keyClick(drawing, Qt.Key.Key_Up, Qt.KeyboardModifier.ShiftModifier)
    assert dome.document.design.relief.depth_mm == pytest.approx(0.4)
    assert steps_done(dome.document) == 2


def _changed_pixels(before: QImage, after: QImage) -> int:
    places = [(x, y) for y in range(after.height()) for x in range(after.width())]
    return sum(before.pixel(x, y) != after.pixel(x, y) for x, y in places)


@pytest.mark.parametrize("name", ["wall_width", "depth", "corner", "flank"])
def test_a_touched_length_shows_itself(dome: Drawn, name: str) -> None:
    drawing = dome.show(dome.relief.profile)
    dome.state.set_hovered_setting(None)
    before = drawing.grab().toImage()
    assert _changed_pixels(before, drawing.grab().toImage()) == 0
    dome.state.set_hovered_setting(name)
    # Three figures alone are more ink than this.
    assert _changed_pixels(before, drawing.grab().toImage()) > 60


@pytest.mark.parametrize("rounding", [0.0, 0.4, 1.0])
def test_the_picture_of_a_rounding_has_its_arcs(rounding: float) -> None:
    """A hexagon's corners rounded by r lose (2 sqrt(3) - pi) r^2 of its area 2 sqrt(3) a^2 (elementary geometry)."""
    from PySide6.QtCore import QPointF

    from ringtex.window.settings.drawings.rounding_picture import rounded_hexagon

    outline = rounded_hexagon(QPointF(50.0, 40.0), 30.0, rounding).toFillPolygon()
    x, y = np.array([(point.x(), point.y()) for point in outline]).T
    area = 0.5 * abs(np.sum(x[:-1] * y[1:] - x[1:] * y[:-1]))
    expected = 2.0 * math.sqrt(3.0) - (2.0 * math.sqrt(3.0) - math.pi) * rounding**2
    assert area == pytest.approx(30.0**2 * expected, rel=0.01)


@pytest.mark.parametrize("form", ["raised", "sunk", "step"])
@pytest.mark.parametrize("width", [{"wall_width": 0.3}, {"top_size": 0.6}])
def test_an_own_drawing_has_no_points_for_walls(drawn: Drawn, form: str, width: dict[str, float]) -> None:
    """The flank rises from the outline itself; what is dragged is what the ring is made of."""
    leaf = read_motif(demo_folder() / "drawings" / "laurel_leaf.svg").motif
    relief = {"form": form, "depth": 0.4, "corner": 0.05, **width}
    drawn.begin(with_motif(design_of(plain_design(relief=relief)), leaf))
    drawing, begun = drawn.show(drawn.relief.profile), drawn.document.design
    assert {handle.name for handle in drawing.handles} == {"depth", "flank", "corner"}
    assert {each.name for each in drawing.dimensions()} == {"depth", "flank", "corner"}
    drag(drawing, handle_place(drawing, "flank"), (0.05 * drawing.frame.x_scale, 0.0))
    assert changed_keys(begun, drawn.document.design) == {"relief.flank"}
    assert drawn.document.design.relief.flank_deg < begun.relief.flank_deg
