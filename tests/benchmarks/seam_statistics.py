"""Whether even cells show where the strip's seam is: many seeds, a rotation test, and a picture round the ring.

    seam_statistics.py [--seeds 1000] [--around 24 --across 6] [--store DIR] [--picture seam.png]

What is measured is kept in the store by blocks of seeds, so that a stopped run goes on where it was.

Each pattern is cut into 24 sectors of 15 degrees. For each measure (fraction of defects, mean area error, side count,
wall length, roundness) the sector means, averaged over seeds, are compared with a constant (plain band) or with their
mirror image (bands that are symmetric about the head). p comes from turning (mirroring) each pattern at random, which
changes nothing if no angle is privileged; p values are corrected by Bonferroni's method.
"""

from __future__ import annotations

import argparse
import math
from pathlib import Path
from typing import TypeAlias

import numpy as np
from timing import print_table

from ringtex.band.band import Band  # isort: skip
from ringtex.band.band_options import BandOptions, Station  # isort: skip
from ringtex.band.bore import BoreOptions  # isort: skip
from ringtex.basics.arrays import Floats  # isort: skip
from ringtex.basics.progress import Progress  # isort: skip
from ringtex.pattern.make_pattern import make_pattern  # isort: skip
from ringtex.pattern.measure import areas_on_ring, on_border, roundness_on_ring, sides  # isort: skip
from ringtex.pattern.pattern_options import PatternOptions, RailOptions  # isort: skip
from ringtex.strip.strip_map import StripMap  # isort: skip
from ringtex.strip.unwrap import unwrap  # isort: skip

SECTORS = 24
TURNS = 20000
TURNS_AT_ONCE = 1000
MEASURES = ("defects", "area", "sides", "wall length", "roundness")
BANDS: dict[str, tuple[Station, ...]] = {
    "plain": (Station(0, 7, 2, 2),),
    "tapered": (Station(0, 9, 2.5, 2.5), Station(180, 5, 1.6, 1.6)),
    "dome": (Station(0, 14, 6, 1.2), Station(180, 5, 1.5, 1.2)),
}
BLOCK = 50
"""Seeds measured of each case before the next one, and kept together in the store."""

Case: TypeAlias = tuple[str, str, float, float]
"""Family, band, evenness, scatter."""

CASES = [(evenness, scatter) for evenness in (0.3, 0.5, 0.8, 1.0) for scatter in (0.0, 0.5)]


def strip_of(name: str) -> StripMap:
    section = "flat" if name == "plain" else None
    options = BandOptions(section, BANDS[name], len(BANDS[name]) > 1)
    return unwrap(Band(54.0 / (2.0 * math.pi), BoreOptions(), options), "shape")


def sector_means(strip: StripMap, options: PatternOptions) -> Floats:
    """(5, 24) mean of each measure in each sector; the mean of all cells where a sector has none."""
    tiling = make_pattern(strip, options, RailOptions(0.3, 0.3), Progress()).tiling
    centre = tiling.centroids
    theta = np.mod(strip.to_band(np.mod(centre[:, 0], strip.length), centre[:, 1])[0], 2.0 * np.pi)
    sector = np.minimum((theta * SECTORS / (2.0 * np.pi)).astype(np.int64), SECTORS - 1)
    inner = ~on_border(tiling)
    areas = areas_on_ring(tiling, strip)
    ends = tiling.corners[tiling.next_corner] - tiling.corners
    walls = np.maximum.reduceat(np.hypot(*ends.T), tiling.cell_start[:-1]) / np.sqrt(tiling.areas)
    values = (
        inner & (sides(tiling) != 6),
        areas / np.mean(areas),
        sides(tiling),
        walls,
        roundness_on_ring(tiling, strip),
    )
    count = np.bincount(sector, minlength=SECTORS)
    rows = []
    for value in np.array(values, dtype=np.float64):
        total = np.bincount(sector, value, SECTORS)
        rows.append(np.where(count > 0, total / np.maximum(count, 1), np.mean(value)))
    return np.array(rows)


def rotation_test(means: Floats, symmetric: bool, turns: int = TURNS) -> Floats:
    """(m,) p of no privileged angle, from patterns' sector means (seeds, m, 24).

    The statistic is the sum of squares of the mean over seeds about its own mean (or of its odd part about the head);
    under the null hypothesis turning each pattern by a random number of sectors (or mirroring it) changes nothing.
    p = (1 + patterns turned with a statistic as large) / (1 + turns): Phipson and Smyth 2010.
    """
    draw = np.random.Generator(np.random.PCG64(1))
    centred = means - np.mean(means, axis=2, keepdims=True)
    if symmetric:
        centred = 0.5 * (centred - centred[:, :, ::-1])
    # Sectors may differ in spread: a plain sum of squares is what turning leaves alone. Sums of squares are
    # taken of the Fourier terms, whose first is nothing (Parseval); those with a mirrored twin count twice.
    spectrum = np.fft.rfft(centred, axis=2)[:, :, 1:]
    twins = np.where(np.arange(1, SECTORS // 2 + 1) < SECTORS // 2, 2.0, 1.0)
    observed = np.abs(np.sum(spectrum, axis=0)) ** 2 @ twins
    larger = np.zeros(means.shape[1])
    for begin in range(0, turns, TURNS_AT_ONCE):
        shape = (min(TURNS_AT_ONCE, turns - begin), len(means))
        statistic = np.zeros((shape[0], means.shape[1]))
        chance = draw.choice((-1.0, 1.0), shape) if symmetric else draw.integers(SECTORS, size=shape)
        for wave, weight in enumerate(twins):
            turn = chance if symmetric else np.exp(2j * np.pi * (wave + 1) * np.arange(SECTORS) / SECTORS)[chance]
            statistic += weight * np.abs(turn @ spectrum[:, :, wave]) ** 2
        larger += np.sum(statistic >= observed * (1.0 - 1e-9), axis=0)
    return np.asarray((1.0 + larger) / (1.0 + turns))


def picture(profiles: dict[str, Floats], path: Path) -> None:
    """Fraction of defects in each sector as bars round a circle, one circle for each case."""
    from PIL import Image, ImageDraw

    size, columns = 220, 8
    image = Image.new("RGB", (size * columns, (size + 20) * math.ceil(len(profiles) / columns)), "white")
    pen = ImageDraw.Draw(image)
    top = max(float(np.max(profile)) for profile in profiles.values()) or 1.0
    for number, (name, profile) in enumerate(profiles.items()):
        x, y = (number % columns + 0.5) * size, (number // columns) * (size + 20) + 0.5 * size
        for sector, value in enumerate(profile):
            radius = 0.2 * size + 0.28 * size * value / top
            begin = 360.0 * sector / SECTORS - 90.0
            pen.pieslice((x - radius, y - radius, x + radius, y + radius), begin, begin + 14.0, fill=(70, 110, 160))
        hole = 0.2 * size
        pen.ellipse((x - hole, y - hole, x + hole, y + hole), fill="white", outline="grey")
        pen.text((x - 0.45 * size, y + 0.5 * size), name, fill="black")
    image.save(path)


def measured(case: Case, seeds: range, shape: tuple[int, int], store: Path | None) -> Floats:
    """(seeds, 5, 24) sector means of one case; read from the store if they are there."""
    family, band, evenness, scatter = case
    name = f"{family}_{band}_{evenness:g}_{scatter:g}_{shape[0]}x{shape[1]}_{seeds.start}_{seeds.stop}.npy"
    if store is not None and (store / name).exists():
        return np.load(store / name)
    strip = strip_of(band)
    asked = [PatternOptions(family, *shape, seed=seed, scatter=scatter, evenness=evenness) for seed in seeds]
    means = np.array([sector_means(strip, options) for options in asked])
    if store is not None:
        store.mkdir(parents=True, exist_ok=True)
        np.save(store / name, means)
    return means


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--seeds", type=int, default=40)
    parser.add_argument("--around", type=int, default=40)
    parser.add_argument("--across", type=int, default=5)
    parser.add_argument("--families", nargs="+", default=["cellular", "hexagon"])
    parser.add_argument("--store", type=Path)
    parser.add_argument("--picture", type=Path)
    given = parser.parse_args()
    cases = [(family, band, *case) for family in given.families for band in BANDS for case in CASES]
    found: dict[Case, list[Floats]] = {case: [] for case in cases}
    for first in range(1, given.seeds + 1, BLOCK):
        seeds = range(first, min(first + BLOCK, given.seeds + 1))
        for case in cases:
            found[case].append(measured(case, seeds, (given.around, given.across), given.store))
        print(f"seeds up to {seeds.stop - 1}", flush=True)
    rows, profiles = [], {}
    tests = len(cases) * len(MEASURES)
    for case, blocks in found.items():
        means = np.concatenate(blocks)
        name = "{} {} {:g} {:g}".format(*case)
        p = rotation_test(means, symmetric=case[1] != "plain")
        profiles[name] = np.mean(means[:, 0], axis=0)
        rows.append([name, *(f"{value:.4f}" for value in p), f"{min(1.0, tests * float(np.min(p))):.3f}"])
    print_table(f"p of no privileged angle, {given.seeds} seeds", ["case", *MEASURES, "corrected"], rows)
    if given.picture:
        picture(profiles, given.picture)


if __name__ == "__main__":
    main()
