"""A motif put on a ring, and the family chosen again."""

from __future__ import annotations

from dataclasses import replace

import pytest
from zoo import plain_design

from ringtex.basics.errors import InputError
from ringtex.basics.resources import demo_folder
from ringtex.design.design_file import design_from_json
from ringtex.edits.design_keys import with_all, with_one
from ringtex.edits.motif_edits import FIRST_AROUND, with_motif
from ringtex.pattern.motif.import_motif import read_motif

LEAF = read_motif(demo_folder() / "drawings" / "laurel_leaf.svg")


def test_what_motifs_do_not_have_goes() -> None:
    before = design_from_json(
        plain_design(pattern={"family": "hexagon", "scatter": 0.4, "evenness": 0.7}, relief={"form": "pierced"})
    )
    after = with_motif(before, LEAF.motif)
    pattern = after.pattern
    assert (pattern.family, pattern.scatter, pattern.evenness, pattern.around) == ("motif", 0.0, 0.0, FIRST_AROUND)
    assert (after.band, after.size, after.rails) == (before.band, before.size, before.rails)


def test_a_second_drawing_keeps_the_arrangement() -> None:
    first = with_motif(design_from_json(plain_design()), replace(LEAF.motif, size=0.5, arrangement="brick"))
    again = with_motif(with_one(first, "pattern.around", 7), LEAF.motif)
    assert again.pattern.around == 7
    assert again.pattern.motif is not None
    assert (again.pattern.motif.size, again.pattern.motif.arrangement) == (0.5, "brick")


def test_back_to_the_motif_takes_its_form_with_it() -> None:
    cells = with_one(with_motif(design_from_json(plain_design()), LEAF.motif), "pattern.family", "cellular")
    cells = with_one(with_one(cells, "relief.form", "pierced"), "pattern.evenness", 1.0)
    drawn = with_one(cells, "pattern.family", "motif")
    assert (drawn.relief.form, drawn.pattern.evenness) == ("pierced", 0.0)


@pytest.mark.parametrize("form", ["pillow", "dish", "peak", "pierced"])
def test_a_form_that_motifs_have_stays(form: str) -> None:
    before = with_one(design_from_json(plain_design()), "relief.form", form)
    assert with_motif(before, LEAF.motif).relief.form == form


def test_no_motif_to_choose_is_refused() -> None:
    with pytest.raises(InputError, match="Import a drawing"):
        with_one(design_from_json(plain_design()), "pattern.family", "motif")


@pytest.mark.parametrize(("key", "value"), [("arrangement", "half_drop"), ("alternate", "mirrored")])
def test_repeats_that_alternate_are_made_even(key: str, value: str) -> None:
    odd = with_one(with_motif(design_from_json(plain_design()), LEAF.motif), "pattern.around", 7)
    assert with_one(odd, f"pattern.motif.{key}", value).pattern.around == 8
    assert with_one(odd, "pattern.motif.arrangement", "brick").pattern.around == 7


@pytest.mark.parametrize("width", [5.0, 6.0, 7.0, 8.0, 9.0])
def test_a_new_text_over_a_half_drop_closes(width: float) -> None:
    first = with_motif(design_from_json(plain_design()), replace(LEAF.motif, arrangement="half_drop"))
    text = with_motif(first, replace(LEAF.motif, text="tide", width_mm=width, height_mm=4.0))
    assert text.pattern.motif is not None
    assert text.pattern.motif.arrangement == "half_drop"
    assert text.pattern.around % 2 == 0


def test_values_set_together_bring_their_ties_unless_they_are_set_themselves() -> None:
    odd = with_one(with_motif(design_from_json(plain_design()), LEAF.motif), "pattern.around", 7)
    dropped = {"pattern.motif.arrangement": "half_drop", "pattern.motif.size": 0.4}
    assert with_all(odd, dropped).pattern.around == 8
    assert with_all(odd, {**dropped, "pattern.around": 11}).pattern.around == 11
    assert with_all(odd, {}) == odd
