"""Even cells over bands, counts, evenness, scatter and densities at random: a sound tiling, or a sentence."""

from __future__ import annotations

import numpy as np
import pytest

from ringtex.band.band import Band
from ringtex.band.band_options import BandOptions, Station
from ringtex.band.bore import BoreOptions
from ringtex.basics.errors import InputError
from ringtex.basics.progress import Progress
from ringtex.pattern.density_options import DensityOptions
from ringtex.pattern.make_pattern import make_pattern
from ringtex.pattern.pattern_options import PatternOptions, RailOptions
from ringtex.strip.unwrap import unwrap


def request(seed: int):
    rng = np.random.default_rng(seed)
    stations = [Station(0.0, float(rng.uniform(3, 18)), float(rng.uniform(1.8, 9)), 1.2)]
    if rng.random() < 0.7:
        stations.append(
            Station(float(rng.uniform(90, 180)), float(rng.uniform(3, 7)), float(rng.uniform(1.4, 2.5)), 1.2)
        )
    section = str(rng.choice(["half_round", "flat", "free"]))
    band = Band(
        float(rng.uniform(7, 11)), BoreOptions(), BandOptions(None if section == "free" else section, tuple(stations))
    )
    points = tuple((float(a), float(np.exp(rng.uniform(-1.5, 1.5)))) for a in rng.choice(360, 3, replace=False))
    density = DensityOptions(points) if rng.random() < 0.4 else None
    options = PatternOptions(
        str(rng.choice(["hexagon", "cellular"])),
        int(rng.integers(3, 50)),
        "auto" if rng.random() < 0.5 else int(rng.integers(1, 10)),
        seed=seed,
        scatter=float(rng.choice([0.0, rng.uniform(0.0, 1.0)])),
        evenness=float(rng.choice([1.0, rng.uniform(0.0, 1.0), 1e-6])),
        density=density,
    )
    rail = float(rng.choice([0.0, 0.4]))
    return unwrap(band, str(rng.choice(["shape", "length", "area"]))), options, RailOptions(rail, rail)


@pytest.mark.parametrize("seed", range(16))
def test_sound_or_refused(seed: int) -> None:
    try:
        strip, options, rails = request(seed)
        pattern = make_pattern(strip, options, rails, Progress())
    except InputError as error:
        refused = bool(error.advice)
    else:
        refused = None
        assert pattern.tiling.problems() == []
        assert pattern.tiling.cells <= options.around * pattern.across
        assert pattern.tiling.cells >= 0.95 * options.around * pattern.across
    assert refused in (None, True)
