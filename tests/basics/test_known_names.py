"""Names out of closed lists: the nearest one is offered wherever one is read."""

from __future__ import annotations

from pathlib import Path

import pytest
from zoo import plain_design

from ringtex.basics.errors import InputError
from ringtex.basics.known_names import nearest_name, unknown_name
from ringtex.command.main import run_command
from ringtex.design.design_file import design_from_json


@pytest.mark.parametrize(
    ("given", "near"),
    [("hexagn", "hexagon"), ("Half Drop", "half_drop"), ("spiral row", "phyllotaxis"), ("weave", "basket_weave"),
     ("", ""), (54, ""), ("x" * 5000, ""), ("hex", ""), ("horse", "")],
)  # fmt: skip
def test_nearest(given: object, near: str) -> None:
    known = ["hexagon", "half_drop", "basket_weave", "phyllotaxis", "flat_hexagon"]
    assert nearest_name(given, known, {"phyllotaxis": "spiral rows"}) == near


def test_without_a_near_name_all_are_listed() -> None:
    error = unknown_name("no such thing", "horse", ["flat", "court"], "band.section")
    assert str(error) == "band.section: no such thing. Choose one of flat, court"


IN_FILES = {
    "pattern.family": ({"pattern": {"family": "hexagn"}}, "hexagon"),
    "zones[1].pattern.family": ({"zones": [{}, {"pattern": {"family": "circle"}}]}, "intersecting_circles"),
    "relief.form": ({"relief": {"form": "Pillows"}}, "pillow"),
    "band.section": ({"band": {"section": "half-round", "stations": []}}, "half_round"),
    "size.scale": ({"size": {"scale": "ISO", "value": "54"}}, "iso"),
    "strip.keep": ({"strip": {"keep": "shapes"}}, "shape"),
    "make.alloy": ({"make": {"alloy": "silver_9250"}}, "silver_925"),
    "make.process": ({"make": {"process": "print_and_kast"}}, "print_and_cast"),
    "bore.shape": ({"bore": {"shape": "comfrt"}}, "comfort"),
    "plain[0].shape": ({"plain": [{"u": 0, "v": 0.5, "shape": "rectangel"}]}, "rectangle"),
}


@pytest.mark.parametrize("where", IN_FILES)
def test_a_design_file_is_offered_the_nearest_name(where: str) -> None:
    body, near = IN_FILES[where]
    with pytest.raises(InputError) as refused:
        design_from_json(plain_design(**body))
    assert refused.value.where == where
    assert refused.value.advice == f"Did you mean {near!r}?"


ON_THE_COMMAND_LINE = {
    "band": (["new", "--out", "x.ring.json", "--band", "nife edge"], "knife-edge"),
    "part of a band": (["new", "--out", "x.ring.json", "--band", "cigar"], "cigar-shaped"),
    "pattern": (["new", "--out", "x.ring.json", "--from", "pebbles"], "river_pebbles"),
    "panel": (["new", "--out", "x.ring.json", "--panel", "diamonds"], "diamond"),
    "scale": (["sizes", "54", "--scale", "isoo"], "iso"),
    "key": (["keys", "releif"], "relief"),
}


@pytest.mark.parametrize("what", ON_THE_COMMAND_LINE)
def test_the_command_line_is_offered_the_nearest_name(
    what: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    arguments, near = ON_THE_COMMAND_LINE[what]
    assert run_command(arguments) == 2
    assert capsys.readouterr().err.endswith(f"Did you mean {near!r}?\n")
