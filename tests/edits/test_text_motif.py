"""Text as a motif: its area and letters against the font file itself, its repeats, and what is refused."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from fontTools.pens.areaPen import AreaPen
from fontTools.ttLib import TTFont
from zoo import plain_design

from ringtex.basics.errors import InputError
from ringtex.basics.resources import resource
from ringtex.design.design_file import design_from_json, design_to_json
from ringtex.edits.motif_edits import with_motif
from ringtex.edits.text_motif import CAPITALS_MM, text_motif
from ringtex.pattern.motif.motif_options import decoded_outline
from ringtex.pattern.motif.motif_outline import GRID
from ringtex.solid.finishing.letter_outlines import PACKAGED_FILE


def test_the_outline_has_the_area_and_holes_of_the_font_s_letters() -> None:
    motif = text_motif("HOB").motif
    outline = decoded_outline(motif.outline)
    # B has two holes and O one.
    assert [len(part.interiors) for part in sorted(outline.geoms, key=lambda part: part.bounds[0])] == [0, 1, 2]
    font = TTFont(resource(PACKAGED_FILE))
    glyphs, area = font.getGlyphSet(), 0.0
    for letter in "HOB":
        pen = AreaPen(glyphs)
        glyphs[letter].draw(pen)
        area += abs(pen.value)
    unit = CAPITALS_MM / font["glyf"]["H"].yMax
    step = max(motif.width_mm, motif.height_mm) / GRID
    assert outline.area * step**2 == pytest.approx(area * unit**2, rel=2e-3)


def test_a_text_fills_one_row_and_is_kept_with_its_font() -> None:
    design = with_motif(design_from_json(plain_design()), text_motif(" tide ").motif)
    motif = design.pattern.motif
    assert motif is not None
    assert (motif.text, motif.font, motif.name) == ("tide", "dejavu_sans", "tide")
    band = design.make_band()
    tile = band.crown_length / design.pattern.around
    width = 2.0 * float(band.half_width(np.zeros(1))[0]) - design.rails.lower_mm - design.rails.upper_mm
    assert tile * motif.height_mm / motif.width_mm == pytest.approx(width, rel=0.2)
    # The file has all that a ring is made of: the font is not asked for again.
    data = design_to_json(design)
    data["pattern"]["motif"]["font"] = "/nowhere/gone.ttf"
    assert design_from_json(data).pattern.motif is not None


def test_text_is_centred_and_joined() -> None:
    outline = decoded_outline(text_motif("Å").motif.outline)
    assert shapely.bounds(outline) == pytest.approx([0, 0, outline.bounds[2], GRID], abs=2)


@pytest.mark.parametrize(
    ("text", "what"),
    [(" ", "no text"), ("a\nb", "cannot be a motif"), ("a" * 121, "cannot be a motif"), ("指", "no letter")],
)
def test_unusable_text_is_refused(text: str, what: str) -> None:
    with pytest.raises(InputError, match=what) as caught:
        text_motif(text)
    assert caught.value.where.startswith("motif")


def test_a_long_line_stands_in_one_row_until_more_are_asked_for() -> None:
    # Three repeats are the least, so that its letters are a third of the band's width high.
    plain = design_from_json(plain_design())
    one = with_motif(plain, text_motif("for ever and a day").motif)
    assert (one.pattern.around, one.pattern.across) == (3, 1)
    three = replace(one, pattern=replace(one.pattern, across=3))
    assert with_motif(three, text_motif("Stella Maris").motif).pattern.across == 3
