"""Contrast of every text colour on every ground it lies on."""

from __future__ import annotations

import pytest

from ringtex.window.appearance.colours import DARK, LIGHT, MIN_CONTRAST, Colours, contrast

TEXTS = ("text", "soft_text", "accent", "error", "warning", "note")
GROUNDS = ("window", "panel", "field", "hover")


def test_contrast_ratio_as_wcag_defines_it() -> None:
    """Black on white is 21, and #777777 on white the well-known near miss of 4.48. Source: WCAG 2.1, contrast ratio;
    4.48 is the figure that contrast tools print for that pair (from memory)."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#ffffff", "#777777") == pytest.approx(4.48, abs=0.005)


@pytest.mark.parametrize("chosen", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("text", TEXTS)
def test_text_can_be_read_on_every_ground(chosen: Colours, text: str) -> None:
    assert {
        ground: contrast(getattr(chosen, text), getattr(chosen, ground)) >= MIN_CONTRAST for ground in GROUNDS
    } == dict.fromkeys(GROUNDS, True)


@pytest.mark.parametrize("chosen", [LIGHT, DARK], ids=["light", "dark"])
def test_text_on_the_accent_can_be_read(chosen: Colours) -> None:
    assert contrast(chosen.on_accent, chosen.accent) >= MIN_CONTRAST
