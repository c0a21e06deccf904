"""`ringtex compare`: the table, the JSON object and the picture."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from zoo import TAPERED, plain_design

from ringtex.basics.progress import Progress
from ringtex.basics.resources import demo_folder
from ringtex.command.main import run_command
from ringtex.design.design_file import read_design
from ringtex.pattern.make_pattern import make_pattern
from ringtex.strip.unwrap import unwrap

DOME = str(demo_folder() / "dome.ring.json")


@pytest.fixture
def _small_pictures(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of 64 pixels, which a mesh coarser than a draft is fine enough for."""
    monkeypatch.setattr("ringtex.command.compare_command.SIDE", 64)
    monkeypatch.setattr("ringtex.document.compare_mappings.DRAFT_CHORD_MM", 0.1)


def test_the_dome_under_every_mapping(capsys: pytest.CaptureFixture[str]) -> None:
    """Keep shape changes no angle, keep area no area, the naive wrap both; even cells keep both."""
    assert run_command(["compare", DOME, "--json"]) == 0
    told = {way["mapping"]: way for way in json.loads(capsys.readouterr().out)["mappings"]}
    assert list(told) == ["naive wrap", "keep length", "keep shape", "keep area", "even cells"]
    assert {way["cells"] for way in told.values()} == {96}
    cv = {name: way["cell_area"]["cv"] for name, way in told.items()}
    angle = {name: way["angle_error_degrees"]["worst"] for name, way in told.items()}
    assert cv["naive wrap"] > 0.5
    assert cv["keep shape"] > 1.0
    assert cv["keep area"] < 0.005
    assert cv["even cells"] < 0.005
    # A dilatation of 1.003 is 0.17 degrees.
    assert angle["keep shape"] < 0.18
    assert angle["even cells"] < 0.18
    assert angle["naive wrap"] > angle["keep length"] > 40.0
    assert angle["keep area"] > 90.0
    areas = [way["cell_area"]["mean"] for way in told.values()]
    np.testing.assert_allclose(areas, areas[0], rtol=2e-3)


@pytest.mark.usefixtures("_small_pictures")
@pytest.mark.parametrize("rails", [{"lower": 0.6, "upper": 0.6}, {"lower": 2.5, "upper": 0.4}])
def test_cells_lie_between_the_rails_of_the_design(
    rails: dict[str, float], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    data = plain_design(band=TAPERED, pattern={"family": "hexagon", "around": 12, "across": "auto"}, rails=rails)
    path = tmp_path / "railed.ring.json"
    path.write_text(json.dumps(data), encoding="utf-8")
    design = read_design(path)
    cells = make_pattern(unwrap(design.make_band(), "shape"), design.pattern, design.rails, Progress()).tiling.cells
    assert run_command(["compare", str(path), "--json", "--picture", str(tmp_path / "a.png")]) == 0
    told = json.loads(capsys.readouterr().out)["mappings"]
    assert [way["cells"] for way in told[:4]] == [cells] * 4
    # Even cells may lose or gain one in a row where it runs out.
    assert told[4]["cells"] == pytest.approx(cells, rel=0.06)


@pytest.mark.usefixtures("_small_pictures")
def test_table_and_picture(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    picture = tmp_path / "ways.png"
    assert run_command(["compare", DOME, "--picture", str(picture)]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert [line.split("  ")[0].strip() for line in lines[1:6]] == [
        "naive wrap", "keep length", "keep shape", "keep area", "even cells",
    ]  # fmt: skip
    shown = np.asarray(Image.open(picture))
    assert shown.shape[1] == 5 * 64
    assert shown.shape[0] > 2 * 64
    rings = [shown[:64, 64 * k : 64 * (k + 1)].astype(int) for k in range(5)]
    assert all(np.abs(rings[k] - rings[2]).max() > 20 for k in (0, 1, 3, 4))
    assert shown[128:].min() < 100  # words


def test_what_cannot_be_read_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    assert run_command(["compare", "nowhere.ring.json"]) == 2
    assert "nowhere" in capsys.readouterr().err
