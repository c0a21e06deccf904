"""The list of a design file's keys: all there are, each with what it takes and means."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

from zoo import plain_design

from ringtex.band.finger_size import SCALES
from ringtex.design.design_file import design_from_json, design_to_json
from ringtex.design.key_list import KeyEntry, design_keys, field_meanings
from ringtex.pattern.panels.panel_options import Panel
from ringtex.relief.relief_options import ReliefOptions


def entry(path: str) -> KeyEntry:
    return next(each for each in design_keys() if each.path == path)


def paths_in(value: Any, path: str = "") -> set[str]:
    """Every key of a JSON value, as the list writes it."""
    if isinstance(value, list):
        return set().union(*(paths_in(each, f"{path}[]") for each in value)) if value else set()
    if not isinstance(value, dict):
        return set()
    inner = {key: f"{path}.{key}" if path else key for key in value}
    return set(inner.values()).union(*(paths_in(value[key], where) for key, where in inner.items()))


def test_every_key_says_what_it_takes_and_means() -> None:
    every = design_keys()
    assert len(every) > 150
    assert [each.path for each in every if not each.takes or len(each.meaning) < 6] == []
    inside = [each.path for each in every if "`" in each.meaning or "_mm" in each.meaning or "None" in each.meaning]
    assert inside == []


def test_the_keys_are_those_of_a_written_file() -> None:
    design = design_from_json(
        plain_design(
            stones=[{"u": 0.5, "v": 0.5, "diameter": 2}, {"count": 2, "stone": {"u": 0, "v": 0.5, "diameter": 1}}],
            plain=[{"u": 0, "v": 0.5, "width": 2}],
            inscription={"text": "tide"},
            panels=[{"u": 0.5, "pattern": {"family": "diamond"}}],
            hollow={"floor": 0.6, "drains": [{"angle": 0}]},
            edits={
                "cells": [{"u": 0.1, "v": 0.1, "depth": 1}],
                "sites": {"moved": [{"u": 0, "v": 0, "to_u": 0, "to_v": 1}]},
            },
        )
    )  # fmt: skip
    listed = {each.path for each in design_keys()}
    again = ("stones[].stone.", "panels[].pattern.", "kind", "version")
    written = {path for path in paths_in(design_to_json(design)) if not path.startswith(again)}
    assert len(written) > 90
    assert written - listed == set()


def test_limits_choices_and_defaults_are_the_options_own() -> None:
    assert entry("relief.depth") == KeyEntry(
        "relief.depth", "0.05 to 1 mm", "0.3", field_meanings(ReliefOptions)["depth_mm"]
    )
    assert entry("pattern.across").takes == '1 to 300000, whole or "auto"'
    assert entry("size.scale") == KeyEntry("size.scale", ", ".join(SCALES), "", "which scale.")
    assert entry("pattern.slide").takes == "[-500 to 500 mm, -500 to 500 mm]"
    assert entry("pattern.slide").default == "[0, 0]"
    assert entry("panels[].pattern").meaning.endswith("Its keys are those of pattern.")


def test_fields_that_share_an_entry_have_its_words() -> None:
    meanings = field_meanings(Panel)
    assert meanings["u"] == meanings["v"]
    assert set(meanings) == {field.name for field in fields(Panel)}
