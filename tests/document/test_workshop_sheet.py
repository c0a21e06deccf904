"""The workshop sheet: what stands on it, on both papers, in both formats, the same bytes every time."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from zoo import DOME, plain_design

from ringtex.basics.errors import InputError
from ringtex.design.design_file import design_from_json
from ringtex.document import workshop_sheet
from ringtex.document.workshop_sheet import make_sheet, write_sheet
from ringtex.export.sheet.sheet import Sheet, SheetBlock, SheetRow
from ringtex.export.sheet.sheet_html import drawing_svg, sheet_html
from ringtex.export.sheet.sheet_pdf import PAPER_MM, _printed, sheet_pdf
from ringtex.make_ring import BuiltRing, make_ring

STONE = {"u": 0.5, "v": 0.5, "diameter": 2.0}


@pytest.fixture(scope="module")
def built() -> BuiltRing:
    body = plain_design(name="Tide <1> & ring", band=DOME, pattern={"around": 16}, hollow={"wall": 0.9}, stones=[STONE])
    return make_ring(design_from_json(body), 0.05)


@pytest.fixture(scope="module")
def sheet(built: BuiltRing) -> Sheet:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(workshop_sheet, "PICTURE_PIXELS", 60)
        return make_sheet(built)


def value(sheet: Sheet, name: str) -> str:
    return next(row.value for block in sheet.blocks for row in block.rows if row.name == name)


def test_sizes_stand_in_every_scale(sheet: Sheet) -> None:
    """ISO 54 is 54 mm round and 17.2 mm across (ISO 8653 table); Italy: circumference - 40."""
    assert value(sheet, "Asked for") == "ISO 54"
    assert value(sheet, "Inside") == "circumference 54.00, diameter 17.19 mm"
    assert value(sheet, "Italy, Spain, Switzerland") == "14"
    assert value(sheet, "US, Canada").startswith("6 3/4")


def test_stones_findings_and_cautions_stand_on_it(sheet: Sheet) -> None:
    """Carat = D^2 x depth x 0.0061, depth 0.59928 D by Tolkowsky's angles with a girdle of 0.7 per cent."""
    text = "\n".join(row.value for block in sheet.blocks for row in block.rows)
    assert value(sheet, "1 x Ø 2").startswith(f"{4.0 * 2.0 * 0.59928 * 0.0061:.3f} ct each")
    assert "tear the skin" in text
    assert "right through" in text
    assert {block.title for block in sheet.blocks} >= {"Findings", "Take care", "Pattern", "Weight", "Finger size"}


def test_a_flat_bands_blank_is_bent_at_mid_thickness() -> None:
    """Workshop chart: inner diameter 17.3, thickness 1.0 gives 57.49 (pi x 18.3)."""
    body = plain_design(size={"scale": "iso", "value": f"{17.3 * math.pi:.4f}"}, pattern={"around": 12, "across": 2})
    body["band"]["stations"][0] |= {"width": 6, "height": 1.0, "edge_height": 1.0}
    row = workshop_sheet.sheet_blocks.blank_row(make_ring(design_from_json(body), 0.05))
    assert row is not None
    assert row.value.startswith("57.49 x 6 x 1 mm")


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_pdf_is_the_same_every_time_and_has_its_papers_size(sheet: Sheet, paper: str) -> None:
    first, second = sheet_pdf(sheet, paper), sheet_pdf(sheet, paper)  # type: ignore[arg-type]
    assert first == second
    assert first.startswith(b"%PDF-")
    box = re.search(rb"/MediaBox \[ 0 0 ([\d.]+) ([\d.]+) \]", first)
    assert box is not None
    assert [float(side) * 25.4 / 72.0 for side in box.groups()] == pytest.approx(PAPER_MM[paper], abs=0.01)
    assert 1 <= first.count(b"/Type /Page\n") <= 2


def test_the_html_needs_nothing_else_and_is_the_same_every_time(sheet: Sheet) -> None:
    text = sheet_html(sheet)
    assert text == sheet_html(sheet)
    assert "Tide &lt;1&gt; &amp; ring" in text
    assert text.count("data:image/png;base64,") == len(sheet.pictures) == 4
    assert "http" not in text.replace("http://www.w3.org/2000/svg", "")


def test_the_drawing_is_sound_svg_with_every_dimension(sheet: Sheet) -> None:
    root = ET.fromstring(drawing_svg(sheet.drawing, "a & b"))
    words = {element.text for element in root.iter("{http://www.w3.org/2000/svg}text")}
    assert {"Ø 17.19", "Head width 18.0", "Palm width 5.0", "9.0", "1.5", "1.2"} <= words


def test_letters_beyond_western_europe_are_in_the_pdf(sheet: Sheet) -> None:
    """The packaged font is put into the file, and always in the same way."""
    assert b"DejaVuSans" not in sheet_pdf(sheet)
    first, second = (sheet_pdf(replace(sheet, title="Кольцо Ω")) for _ in range(2))
    assert b"DejaVuSans" in first
    assert first == second


def test_plain_places_and_inscription_stand_on_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(workshop_sheet, "PICTURE_PIXELS", 20)
    body = plain_design(
        pattern={"around": 16, "across": 3},
        plain=[{"u": 0.0, "v": 0.5, "width": 6, "height": 3}],
        inscription={"text": "for M.", "depth": 0.2},
    )
    told = make_sheet(make_ring(design_from_json(body), 0.05))
    assert value(told, "Plain place 1") == "rectangle 6 x 3 mm at -180°, 50 % of the width, level with the ground"
    assert value(told, "In the bore") == "for M."


def test_a_date_only_where_one_is_given(built: BuiltRing, sheet: Sheet, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(workshop_sheet, "PICTURE_PIXELS", 20)
    assert sheet.date == ""
    assert "12 May" in sheet_html(make_sheet(built, "12 May"))
    with pytest.raises(InputError, match="date"):
        make_sheet(built, "x" * 99)


@pytest.mark.parametrize(("name", "paper", "where"), [("a.doc", "a4", "a.doc"), ("a.pdf", "a5", "--paper")])
def test_what_cannot_be_written_is_refused_first(
    built: BuiltRing, tmp_path: Path, name: str, paper: str, where: str
) -> None:
    with pytest.raises(InputError) as refused:
        write_sheet(built, name, paper)
    assert refused.value.where == where
    assert not list(tmp_path.iterdir())


def test_both_formats_are_written(built: BuiltRing, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(workshop_sheet, "PICTURE_PIXELS", 20)
    for name in ("a.pdf", "a.HTML"):
        assert write_sheet(built, str(tmp_path / name)) == (tmp_path / name).stat().st_size


def test_the_shoulders_stand_where_the_flat_strip_has_them() -> None:
    """Laid flat with its shape kept, a dome's wide head takes less of the length than of the turn."""
    built = make_ring(design_from_json(plain_design(band=DOME, pattern={"around": 16})), 0.05)
    places = {name: u for u, name in workshop_sheet._flat_angles(built)}
    assert places["head"] == pytest.approx(built.strip.length / 2.0)
    point = built.strip.point(np.array([places["90°"]]), np.array([built.strip.width / 2.0]))[0]
    # direction(theta) = (-sin theta, cos theta, 0): a quarter turn from the head lies on -x.
    assert point[1] == pytest.approx(0.0, abs=1e-6)
    assert point[0] < 0.0
    assert abs(places["90°"] - 0.75 * built.strip.length) > 1.0


def test_much_to_say_is_set_smaller_and_keeps_to_two_pages(sheet: Sheet) -> None:
    """Fifteen long findings; where even small letters do not do, nothing is left out."""
    row = SheetRow("warning", "word " * 60)
    much = SheetBlock("Findings", (row,) * 15, wide=True)
    full = replace(sheet, blocks=(*sheet.blocks, much))
    assert _printed(full, PAPER_MM["a4"], 1.0)[1] == 3
    assert sheet_pdf(full).count(b"/Type /Page\n") == 2
    fuller = replace(sheet, blocks=(*sheet.blocks, replace(much, rows=(row,) * 90)))
    assert sheet_pdf(fuller).count(b"/Type /Page\n") > 2
