"""The column of settings with real keys and mouse: what the document then says."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest
from zoo import DOME, SOUND, plain_design

pytest.importorskip("PySide6")

from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from settings_bench import WIDE, Bench
from settings_hands import changed_keys, design_of, steps_done, type_number

from ringtex.basics.errors import InputError
from ringtex.basics.resources import demo_folder
from ringtex.document.pattern_library import OwnPattern
from ringtex.edits.motif_edits import with_motif
from ringtex.edits.pattern_ties import with_scatter
from ringtex.pattern.motif.import_motif import read_motif
from ringtex.relief.relief_options import FORMS
from ringtex.window.settings.controls.basic_rows import ChoiceRow
from ringtex.window.settings.controls.number_row import NumberRow
from ringtex.window.settings.sections.pattern_section import PatternSection


@pytest.fixture(scope="module")
def one_bench(qapp: QApplication) -> Iterator[Bench]:
    made = Bench(None, WIDE)
    yield made
    made.close()


@pytest.fixture
def bench(one_bench: Bench) -> Bench:
    one_bench.restart(WIDE)
    return one_bench


def test_across_is_a_number_or_auto(bench: Bench) -> None:
    across = bench.number("pattern.across")
    type_number(across.field, "auto")
    assert bench.document.design.pattern.across == "auto"
    assert across.auto.isChecked()
    type_number(across.field, "5")
    assert bench.document.design.pattern.across == 5
    QTest.mouseClick(across.auto, Qt.MouseButton.LeftButton)
    assert bench.document.design.pattern.across == "auto"
    QTest.mouseClick(across.auto, Qt.MouseButton.LeftButton)
    assert isinstance(bench.document.design.pattern.across, int)
    assert steps_done(bench.document) == 4


def test_choices_change_their_key_alone(bench: Bench) -> None:
    for key, keys in (
        ("strip.keep", {"strip.keep"}),
        ("make.alloy", {"make.alloy"}),
        ("make.process", {"make.process"}),
    ):
        begun = bench.document.design
        choice = next(found for found in bench.panel.rows if isinstance(found, ChoiceRow) and found.key == key)
        choice.box.setFocus()
        QTest.keyClick(choice.box, Qt.Key.Key_Down)
        if bench.document.design == begun:
            QTest.keyClick(choice.box, Qt.Key.Key_Up)
        assert changed_keys(begun, bench.document.design) == keys
        bench.document.undo()
        assert bench.document.design == begun
        assert bench.agrees()


@pytest.mark.parametrize("key", ["pattern.family", "relief.form", "band.section"])
def test_every_drawing_can_be_chosen_and_undone(bench: Bench, key: str) -> None:
    pictured = next(found for found in bench.panel.rows if found.key == key)
    begun = bench.document.design
    # A family begins with its own counts and scatter.
    tied = {"pattern.around", "pattern.across", "pattern.scatter"} if key == "pattern.family" else set()
    # A motif is chosen by importing a drawing.
    for button in (found for found in pictured.buttons if found.picture.value != "motif"):  # type: ignore[attr-defined]
        QTest.mouseClick(button, Qt.MouseButton.LeftButton)
        assert changed_keys(begun, bench.document.design) <= {key, *tied}
        assert pictured.matches_design()
        assert button.isChecked()
    while bench.document.undo_label is not None:
        bench.document.undo()
    assert bench.document.design == begun
    assert pictured.matches_design()


def test_a_motif_shows_only_what_it_has(bench: Bench) -> None:
    """Every form, no width of walls, and as a pillow neither flank nor corner."""
    leaf = read_motif(demo_folder() / "drawings" / "laurel_leaf.svg").motif
    bench.document.change(with_motif(bench.document.design, leaf), "")
    section = bench.panel.section("Relief")
    assert not any(section.form.button_of(form).isHidden() for form in FORMS)  # type: ignore[attr-defined]
    assert bench.number("relief.wall_width").isHidden()
    assert not bench.number("relief.flank").isHidden()
    section.form.button_of("pillow").click()  # type: ignore[attr-defined]
    assert bench.document.design.relief.form == "pillow"
    assert bench.number("relief.flank").isHidden()
    assert bench.number("relief.corner").isHidden()
    assert not bench.number("relief.depth").isHidden()


def test_ridges_are_given_in_exactly_one_way(bench: Bench) -> None:
    relief = bench.panel.section("Relief")
    relief.way.box.setFocus()  # type: ignore[attr-defined]
    QTest.keyClick(relief.way.box, Qt.Key.Key_Down)  # type: ignore[attr-defined]
    given = bench.document.design.relief
    assert given.wall_width_mm is None
    assert given.top_size is not None
    assert bench.number("relief.wall_width").isHidden()
    assert not bench.number("relief.top_size").isHidden()
    bench.document.undo()
    assert bench.document.design.relief.wall_width_mm == 0.4


def test_seeds_go_up_and_down(bench: Bench) -> None:
    pattern = bench.panel.section("Pattern")
    QTest.mouseClick(pattern.next_seed, Qt.MouseButton.LeftButton)  # type: ignore[attr-defined]
    assert bench.document.undo_label is None, "at scatter 0 a seed has no effect, so it is no step"
    bench.document.change(with_scatter(bench.document.design), "scatter the cells")
    QTest.mouseClick(pattern.next_seed, Qt.MouseButton.LeftButton)  # type: ignore[attr-defined]
    QTest.mouseClick(pattern.next_seed, Qt.MouseButton.LeftButton)  # type: ignore[attr-defined]
    assert bench.document.design.pattern.seed == 3
    assert bench.document.undo_label == "take the next seed"
    QTest.mouseClick(pattern.previous_seed, Qt.MouseButton.LeftButton)  # type: ignore[attr-defined]
    assert bench.document.design.pattern.seed == 2


def test_an_error_of_the_build_is_explained_at_its_control_and_ends_with_a_change(bench: Bench) -> None:
    bench.panel.set_folded(["Pattern", "Band"])
    bench.panel.show_error(InputError("the rails leave nothing", "Make them narrower", "rails.lower"))
    lower = bench.number("rails.lower")
    assert "Rails leave nothing" not in lower.explained
    assert lower.explained.startswith("The rails leave nothing. Make them narrower.")
    assert lower.isVisible()
    type_number(bench.number("relief.depth").field, "0.4")
    assert not lower.explained

    bench.panel.show_error(InputError("too thin", "Thicken it", "band.stations[1].width"))
    assert bench.number("band.stations[1].width").explained.startswith("Too thin. Thicken it.")

    bench.panel.show_error(InputError("too steep", "Move them apart", "band.stations"))
    assert bench.panel.section("Band").message.text().startswith("Too steep. Move them apart.")
    bench.panel.show_error(InputError("something else"))
    assert bench.panel.message.text().startswith("Something else.")


def test_hover_and_focus_say_which_setting_is_touched(bench: Bench) -> None:
    bench.number("relief.wall_width").field.setFocus()
    assert bench.state.hovered_setting == "wall_width"
    bench.number("rails.upper").field.setFocus()
    assert bench.state.hovered_setting == "rails"
    depth = bench.number("relief.depth")
    bench.panel.area.ensureWidgetVisible(depth)
    QTest.mouseMove(depth.label, QPoint(4, 4))
    assert bench.state.hovered_setting == "depth"
    QTest.mouseMove(bench.panel.section("Relief").header, QPoint(4, 4))
    assert bench.state.hovered_setting == "rails"


def test_undo_and_redo_of_others_show_in_every_control(bench: Bench) -> None:
    other = design_of(SOUND["top size"])
    bench.document.change(other, "another design")
    assert bench.agrees()
    bench.document.undo()
    assert bench.agrees()
    bench.document.redo()
    assert bench.agrees()
    assert bench.told == 3


@pytest.mark.parametrize("name", sorted(SOUND))
def test_every_sound_design_shows_as_it_is_and_is_not_changed_by_it(one_bench: Bench, name: str) -> None:
    bench = one_bench
    bench.restart(SOUND[name])
    bench.panel.grab()
    assert bench.agrees()
    assert bench.told == 0


def test_folding_hides_and_is_told(bench: Bench) -> None:
    band = bench.panel.section("Band")
    band.header.setFocus()
    QTest.keyClick(band.header, Qt.Key.Key_Space)
    assert band.folded
    assert not band.body.isVisible()
    assert bench.panel.folded == ["Band"]
    assert "9" in band.header.summary


def test_undo_keys_belong_to_the_document_while_nothing_is_half_typed(bench: Bench) -> None:
    from PySide6.QtGui import QKeySequence, QShortcut

    undo = QShortcut(QKeySequence(QKeySequence.StandardKey.Undo), bench.panel)
    undo.activated.connect(bench.document.undo)
    begun, field = bench.document.design, bench.number("relief.depth").field
    type_number(field, "0.5")
    QTest.keyClick(field, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert bench.document.design == begun
    assert field.text() == "0.30"


def test_half_typed_text_can_be_meant_before_saving(bench: Bench) -> None:
    type_number(bench.number("relief.depth").field, "0.45", enter=False)
    bench.panel.commit_typed_text()
    assert bench.document.design.relief.depth_mm == 0.45


def test_tab_goes_through_the_column_in_the_order_of_the_job(bench: Bench) -> None:
    seen: list[int] = []
    bench.panel.name.field.setFocus()
    for _ in range(90):
        focused = bench.panel.focusWidget()
        assert focused is not None
        seen.append(focused.mapTo(bench.panel._column, QPoint(0, focused.height())).y())
        QTest.keyClick(focused, Qt.Key.Key_Tab)
        if bench.panel.focusWidget() is bench.panel.name.field:
            break
    assert len(seen) > 40
    line = bench.panel.fontMetrics().height()
    assert all(after > before - 3 * line for before, after in itertools.pairwise(seen)), seen


def test_everything_that_can_be_reached_has_a_name(bench: Bench) -> None:
    for widget in bench.panel.findChildren(QWidget):
        if widget.focusPolicy() & Qt.FocusPolicy.TabFocus and widget.isVisible():
            named = widget.accessibleName() or (widget.text() if hasattr(widget, "text") else "")
            assert named, widget


@pytest.mark.parametrize(("scale", "width"), [(1.0, 320), (1.0, 400), (2.0, 440)])
def test_nothing_is_cut_and_nothing_scrolls_sideways(qtbot: Any, qapp: QApplication, scale: float, width: int) -> None:
    font = qapp.font()
    larger = qapp.font()
    larger.setPointSizeF(font.pointSizeF() * scale)
    qapp.setFont(larger)
    try:
        bench = Bench(qtbot, plain_design(band=DOME))
        bench.panel.resize(width, 650)
        qtbot.wait(20)
        assert bench.panel.area.widget().width() <= bench.panel.area.viewport().width()
        for found in bench.panel.rows:
            if found.isHidden() or not isinstance(found, NumberRow):
                continue
            assert found.label.height() >= found.label.heightForWidth(found.label.width()), found.key
            assert found.label.width() >= found.label.minimumSizeHint().width(), found.key
            assert found.field.geometry().right() <= found.width()
    finally:
        qapp.setFont(font)


def test_the_name_of_the_ring_has_a_field(bench: Bench) -> None:
    field = bench.panel.name.field
    type_number(field, "Summer dome")
    assert bench.document.design.name == "Summer dome"
    assert changed_keys(design_of(WIDE), bench.document.design) == {"name"}
    bench.document.undo()
    assert field.text() == design_of(WIDE).name


def test_a_seed_without_effect_says_so_and_offers_scatter(bench: Bench) -> None:
    section = bench.panel.section("Pattern")
    assert isinstance(section, PatternSection)
    assert not section.seed_effect.isHidden()
    assert "no effect" in section.seed_effect.note.text()
    section.seed_effect.offer.click()
    assert bench.document.design.pattern.scatter == 0.3
    assert section.seed_effect.isHidden()
    bench.document.undo()
    assert not section.seed_effect.isHidden()


def test_a_pattern_is_put_on_this_ring_as_one_step(bench: Bench) -> None:
    section, begun = bench.panel.section("Pattern"), bench.document.design
    assert isinstance(section, PatternSection)
    section.patterns.click()
    dialog = section.pattern_dialog
    assert dialog is not None
    for words in ("dome", "winter star", "slate"):
        dialog.search.setText(words)
        dialog.list.setCurrentRow(0)
        point = dialog.chosen
        assert point is not None
        dialog.use_button.click()
        design, other = bench.document.design, point.design()
        assert (design.pattern, design.relief, design.rails) == (other.pattern, other.relief, other.rails)
        assert replace(design, pattern=begun.pattern, relief=begun.relief, rails=begun.rails) == begun
        assert bench.agrees()
        bench.document.undo()
        assert bench.document.design == begun
    dialog.reject()


def test_an_own_pattern_is_saved_renamed_and_deleted(bench: Bench, qtbot: Any) -> None:
    section, design = bench.panel.section("Pattern"), bench.document.design
    assert isinstance(section, PatternSection)
    section.patterns.click()
    dialog = section.pattern_dialog
    assert dialog is not None
    dialog.name.setText("Evening tide")
    dialog.save_button.click()
    assert isinstance(dialog.chosen, OwnPattern)
    assert dialog.chosen.design().pattern == design.pattern
    qtbot.waitUntil(lambda: dialog.chosen is not None and dialog.chosen.picture.exists(), timeout=20_000)
    dialog.save_button.click()
    assert "already a pattern" in dialog.status.text()
    dialog.name.setText("Morning tide")
    dialog.rename_button.click()
    assert dialog.chosen is not None
    assert (dialog.chosen.title, dialog.chosen.picture.exists()) == ("Morning tide", True)
    dialog.delete_button.click()
    assert dialog.chosen.path.exists(), "a second press means it"
    dialog.delete_button.click()
    assert dialog.status.text() == "Morning tide is deleted"
    dialog.search.setText("tide")
    assert dialog.list.count() == 0
    assert "tide" in dialog.status.text()
    # What a search finds first is chosen, so that it can be used at once.
    dialog.search.setText("lace")
    assert dialog.chosen is not None
    assert dialog.use_button.isEnabled()
    dialog.search.clear()
    assert dialog.chosen is None
    dialog.reject()
