"""Random dome rings for the exact test of self-intersection: heads high and wide, palms low and narrow."""

from __future__ import annotations

import numpy as np

from ringtex.band.band_options import BandOptions, Station
from ringtex.band.finger_size import FingerSize
from ringtex.design.design import Design
from ringtex.pattern.pattern_options import CELL_FAMILIES, PatternOptions, RailOptions
from ringtex.relief.relief_options import FORMS, ReliefOptions

BUILT = tuple(form for form in FORMS if form != "pierced")


def dome_design(seed: int) -> Design:
    """One dome ring: relief 0.1 to 0.5 deep, any family and form, even cells in half of those that can be."""
    rng = np.random.default_rng(seed)
    palm_width, palm_height = float(rng.uniform(3.0, 7.0)), float(rng.uniform(1.5, 2.4))
    head = Station(0.0, float(rng.uniform(9.0, 19.0)), float(rng.uniform(4.0, 9.5)), 1.2, float(rng.uniform(1.8, 3.0)))
    palm = Station(180.0, palm_width, palm_height, 1.2, 2.0)
    stations = [head, palm]
    if rng.random() < 0.4:
        share = float(rng.uniform(0.35, 0.8))
        width, height = (
            palm_width + share * (head.width_mm - palm_width),
            palm_height + share * (head.height_mm - 1.5),
        )
        stations.insert(1, Station(float(rng.uniform(40.0, 110.0)), width, height, 1.2, 2.0))
    family = str(rng.choice(CELL_FAMILIES))
    even = family in ("hexagon", "cellular") and rng.random() < 0.5
    around = int(rng.integers(14, 44))
    pattern = PatternOptions(
        family,
        around,
        seed=int(rng.integers(0, 1000)),
        scatter=float(rng.choice([0.0, rng.uniform(0.0, 0.7)])),
        evenness=float(rng.uniform(0.1, 1.0)) if even else 0.0,
    )
    depth = float(rng.uniform(0.1, 0.5))
    relief = ReliefOptions(
        str(rng.choice(BUILT)),
        depth,
        float(rng.uniform(0.2, 0.6)),
        flank_deg=float(rng.uniform(50.0, 85.0)),
        corner_mm=float(rng.choice([0.0, 0.1])),
        depth_scatter=float(rng.choice([0.0, 0.6])),
    )
    rail = float(rng.choice([0.0, 0.4]))
    return Design(
        FingerSize("iso", str(int(rng.integers(46, 66)))),
        BandOptions(None, tuple(stations), True),
        name=f"Dome {seed}",
        pattern=pattern,
        rails=RailOptions(rail, rail),
        relief=relief,
    )
