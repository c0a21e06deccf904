"""Sites changed by hand: what is held stays, what is far away stays, and whatever is done gives a sound tiling."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringtex.basics.caches import clear_all_caches
from ringtex.basics.errors import InputError
from ringtex.basics.progress import Progress
from ringtex.pattern.cellular.site_edits import MAX_SITE_EDITS, MovedSite, SiteEdits, SitePosition
from ringtex.pattern.locate import cells_at
from ringtex.pattern.make_pattern import make_pattern
from ringtex.pattern.pattern_options import PatternOptions, RailOptions
from ringtex.pattern.patterned_part import Pattern

STRIP = SimpleNamespace(length=60.0, width=8.0)
SIZE = np.array([60.0, 8.0])
OPTIONS = PatternOptions("cellular", 24, 6, scatter=0.3)
FAMILIES = [OPTIONS, PatternOptions("hexagon", 24, 6, scatter=0.6), PatternOptions("hexagon", 24, twist=1)]


def pattern_of(edits: SiteEdits | None = None, options: PatternOptions = OPTIONS) -> Pattern:
    return make_pattern(STRIP, options, RailOptions(0.5, 0.5), Progress(), edits=edits)


def pattern_or_key(edits: SiteEdits, options: PatternOptions) -> tuple[Pattern | None, str]:
    try:
        return pattern_of(edits, options), ""
    except InputError as error:
        return None, error.where


def place(u: float, v: float) -> SitePosition:
    return SitePosition(u / 60.0, v / 8.0)


def move(u: float, v: float, to_u: float, to_v: float) -> MovedSite:
    return MovedSite(u / 60.0, v / 8.0, to_u / 60.0, to_v / 8.0)


def round_the_ring(difference: np.ndarray) -> np.ndarray:
    return difference - np.array([60.0, 0.0]) * np.round(difference / 60.0)


@pytest.mark.parametrize("options", FAMILIES, ids=str)
@pytest.mark.parametrize("u", [0.1, 30.0, 59.9])
def test_an_added_site_gets_a_cell_of_its_own(options: PatternOptions, u: float) -> None:
    before = pattern_of(SiteEdits(pinned=(place(30.0, 4.0),)), options)
    after = pattern_of(SiteEdits(pinned=(place(30.0, 4.0),), added=(place(u, 3.3),)), options)
    assert after.tiling.cells == before.tiling.cells + 1
    assert after.grown is not None
    added = int(np.flatnonzero(after.grown.origin == -1)[0])
    assert after.sites is not None
    assert np.allclose(after.sites[added], [u, 3.3], atol=1e-4)
    assert cells_at(after.tiling, after.sites)[added] == added


def test_a_moved_site_stays_where_it_was_put_across_the_seam() -> None:
    before = pattern_of()
    assert before.sites is not None
    near_seam = before.sites[np.argmin(before.sites[:, 0])]
    after = pattern_of(SiteEdits(moved=(move(*near_seam, 59.2, near_seam[1]),)))
    assert after.sites is not None
    assert after.grown is not None
    held = int(np.flatnonzero(after.grown.fixed)[0])
    assert np.allclose(after.sites[held], [59.2, near_seam[1]], atol=1e-4)
    assert after.tiling.cells == before.tiling.cells


def test_changes_are_felt_nearby_only() -> None:
    before, after = pattern_of(), pattern_of(SiteEdits(removed=(place(30.0, 4.0),)))
    assert before.sites is not None
    assert after.sites is not None
    assert after.grown is not None
    away = np.hypot(*round_the_ring(before.sites - [30.0, 4.0]).T)
    moved = np.hypot(*round_the_ring(after.sites - before.sites[after.grown.origin]).T)
    assert after.tiling.cells == before.tiling.cells - 1
    spacing = np.sqrt(60.0 * 7.0 / 144)
    assert np.all(moved[away[after.grown.origin] > 4.0 * spacing] == 0.0)
    assert np.max(moved) > 0.05 * spacing


def test_a_pin_where_a_site_is_changes_nothing_to_be_seen() -> None:
    before = pattern_of()
    assert before.sites is not None
    pins = SiteEdits(pinned=tuple(place(*site) for site in before.sites[:20]))
    after = pattern_of(pins)
    assert after.sites is not None
    assert np.max(np.abs(after.sites - before.sites)) < 1e-5


@pytest.mark.parametrize("seed", [2, 3, 77])
def test_a_pinned_site_stays_when_seed_and_scatter_change(seed: int) -> None:
    for scatter in (0.0, 0.5, 1.0):
        options = PatternOptions("cellular", 24, 6, seed=seed, scatter=scatter)
        after = pattern_of(SiteEdits(pinned=(place(12.0, 3.0), place(59.99, 5.0))), options)
        assert after.sites is not None
        for pin in ([12.0, 3.0], [59.99, 5.0]):
            assert np.min(np.hypot(*round_the_ring(after.sites - pin).T)) < 1e-4


def test_edits_rest_in_other_families() -> None:
    edits = SiteEdits(removed=(place(30.0, 4.0),))
    brick = PatternOptions("brick", 20)
    assert np.array_equal(pattern_of(edits, brick).tiling.vertices, pattern_of(None, brick).tiling.vertices)


def test_same_edits_same_bytes() -> None:
    edits = SiteEdits(added=(place(3.0, 4.0),), moved=(move(20.0, 4.0, 21.0, 4.4),))
    first = pattern_of(edits).tiling
    clear_all_caches()
    second = pattern_of(edits).tiling
    assert first is not second
    assert first.vertices.tobytes() == second.vertices.tobytes()


def test_sites_added_in_exact_rows_are_sound() -> None:
    """Four sites on one circle have no definite cells; by hand in a drawn grid this is the usual case."""
    grid = tuple(SitePosition(i / 40, j / 8) for i in range(40) for j in range(1, 8))
    assert pattern_of(SiteEdits(added=grid)).tiling.problems() == []


@pytest.mark.parametrize("seed", range(4))
def test_holes_in_regular_hexagons_are_sound(seed: int) -> None:
    """The six neighbours of a regular site that is gone lie on one circle."""
    gone = np.random.default_rng(seed).random((12, 2))
    removed = SiteEdits(removed=tuple(SitePosition(u, v) for u, v in gone.tolist()))
    pattern = pattern_of(removed, PatternOptions("hexagon", 23, 6))
    assert pattern.tiling.problems() == []


def test_even_cells_are_even_again() -> None:
    from ringtex.band.band import Band
    from ringtex.band.band_options import BandOptions, Station
    from ringtex.band.bore import BoreOptions
    from ringtex.pattern.measure import areas_on_ring
    from ringtex.strip.unwrap import unwrap

    stations = (Station(0.0, 12.0, 4.0, 1.2), Station(180.0, 5.0, 1.5, 1.2))
    strip = unwrap(Band(8.6, BoreOptions(), BandOptions(None, stations)), "shape")
    options = PatternOptions("cellular", 24, 6, scatter=0.2, evenness=1.0)
    edits = SiteEdits(removed=(SitePosition(0.5, 0.5),), added=(SitePosition(0.2, 0.4),))
    pattern = make_pattern(strip, options, RailOptions(), Progress(), edits=edits)
    areas = areas_on_ring(pattern.tiling, strip)
    assert pattern.tiling.problems() == []
    assert np.std(areas) / np.mean(areas) < 0.02


@pytest.mark.parametrize(
    ("make", "key"),
    [
        (lambda: SitePosition(1.2, 0.5), "u"),
        (lambda: SitePosition(0.2, float("nan")), "v"),
        (lambda: MovedSite(0.2, 0.5, -0.1, 0.5), "to_u"),
        (lambda: SiteEdits(added=(SitePosition(0.1, 0.1),) * (MAX_SITE_EDITS + 1)), "added"),
    ],
)
def test_refused_with_the_key(make: object, key: str) -> None:
    with pytest.raises(InputError) as caught:
        make()  # type: ignore[operator]
    assert caught.value.where == key


def test_two_sites_at_one_place_are_refused_in_a_sentence() -> None:
    with pytest.raises(InputError, match="same place"):
        pattern_of(SiteEdits(added=(place(3.0, 4.0), place(3.0, 4.0))))


def test_nothing_left_is_refused_in_a_sentence() -> None:
    small = PatternOptions("cellular", 3, 1, scatter=1.0)
    sites = pattern_of(None, small).sites
    assert sites is not None
    with pytest.raises(InputError, match="three cells"):
        pattern_of(SiteEdits(removed=(place(*sites[0]),)), small)


shares = st.one_of(st.floats(0.0, 1.0), st.sampled_from([0.0, 0.5, 1.0]))
places = st.builds(SitePosition, shares, shares)
edits = st.builds(
    SiteEdits,
    pinned=st.lists(places, max_size=6).map(tuple),
    added=st.lists(places, max_size=6).map(tuple),
    removed=st.lists(places, max_size=30).map(tuple),
    moved=st.lists(st.builds(MovedSite, shares, shares, shares, shares), max_size=6).map(tuple),
)
patterns = st.builds(
    PatternOptions,
    family=st.sampled_from(["cellular", "cellular", "hexagon"]),
    around=st.integers(3, 30),
    across=st.integers(1, 6),
    seed=st.integers(0, 1000),
    scatter=st.floats(0.0, 1.0),
)


@settings(max_examples=80)
@given(edits, patterns)
def test_any_edits_give_a_sound_tiling_or_a_sentence(edit: SiteEdits, options: PatternOptions) -> None:
    pattern, refused_at = pattern_or_key(edit, options)
    if pattern is None:
        assert refused_at.startswith("edits.sites")
        return
    assert pattern.tiling.problems() == []
    if edit:
        assert pattern.sites is not None
        assert pattern.grown is not None
        assert len(pattern.sites) == pattern.tiling.cells == len(pattern.grown.origin)
