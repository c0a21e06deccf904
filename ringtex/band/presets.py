"""Shapes of band to begin with, in plain trade words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from ringtex.band.band_options import BandOptions, Section, Station
from ringtex.basics.known_names import plain_name, unknown_name


@dataclass(frozen=True)
class BandPreset:
    """A whole band under a trade name. The measures are usual ones (common practice, no source)."""

    name: str
    hint: str
    options: BandOptions


def _preset(name: str, hint: str, section: Section | None, *stations: Station, mirror: bool = True) -> BandPreset:
    return BandPreset(name, hint, BandOptions(section, stations, mirror))


PRESETS: Final = (
    _preset("plain", "The same all round", "half_round", Station(0, 6.0, 2.2, 1.0)),
    _preset(
        "tapered", "Wider and higher at the head than at the palm", "court",
        Station(0, 8.0, 2.6, 1.2), Station(180, 4.0, 1.6, 1.0),
    ),
    _preset(
        "dome", "A high, wide head that comes down to a narrow palm side", None,
        Station(0, 18.0, 9.0, 1.2), Station(180, 5.0, 1.5, 1.2),
    ),
    _preset(
        "cigar-shaped", "Wide and low, slowly narrowing", None,
        Station(0, 14.0, 2.4, 1.2, 2.6), Station(90, 11.0, 2.0, 1.2, 2.6), Station(180, 8.0, 1.7, 1.2, 2.6),
    ),
    _preset(
        "saddle", "Lower at the head than at the shoulders", None,
        Station(0, 12.0, 2.2, 1.4, 3.0), Station(60, 9.0, 3.4, 1.4, 3.0), Station(180, 5.0, 1.7, 1.2, 3.0),
    ),
    _preset(
        "knife-edge", "A crease all round", "knife_edge",
        Station(0, 6.0, 2.8, 1.2), Station(180, 5.0, 2.2, 1.1),
    ),
    _preset(
        "asymmetric", "One shoulder fuller than the other", None,
        Station(25, 12.0, 5.0, 1.3, 2.4), Station(-70, 7.0, 2.4, 1.2, 2.4), Station(175, 5.0, 1.8, 1.2, 2.4),
        mirror=False,
    ),
)  # fmt: skip
"""From the plainest on."""


SECTIONS: Final = (
    _preset("flat", "Level across, the same all round", "flat", Station(0, 6.0, 1.8, 1.8)),
    _preset("half-round", "Round across, the same all round", "half_round", Station(0, 6.0, 2.2, 1.0)),
    _preset("court", "Gently rounded across, the same all round", "court", Station(0, 6.0, 2.2, 1.0)),
)  # fmt: skip
"""Plain bands by the name of their section; the window has a choice of sections for them."""

FILLERS: Final = frozenset({"band", "ring"})
"""Words that say nothing beside the name of a shape, such as "dome ring"; nor does "plain" beside that of a section."""


def preset_named(name: str) -> BandPreset:
    """The preset, or plain band of a section, of that name, however it is spelt.

    Raises: InputError that lists the names.

    >>> [preset_named(name).name for name in ("flat", "plain_flat", "Half round", "dome ring", "Plain band")]
    ['flat', 'flat', 'half-round', 'dome', 'plain']
    """
    known = {plain_name(preset.name): preset for preset in (*SECTIONS, *PRESETS)}
    words = plain_name(name).split()
    for fillers in (frozenset[str](), FILLERS, FILLERS | {"plain"}):
        spelling = " ".join(word for word in words if word not in fillers)
        if spelling in known:
            return known[spelling]
    names = band_names()
    raise unknown_name(f"there is no band called {name[:40]!r}", name, names, "band")


def band_names() -> list[str]:
    """What `preset_named` knows, the plain ones first."""
    return [preset.name for preset in (PRESETS[0], *SECTIONS, *PRESETS[1:])]
