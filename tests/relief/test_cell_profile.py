import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from strategies import reliefs

from ringtex.relief.cell_profile import TERRACES, CellProfile, cell_profile
from ringtex.relief.relief_options import FORMS, ReliefOptions

CHORD_MM = 0.005


def final_height(profile: CellProfile) -> float:
    """Height at the cell's centre."""
    return float(profile.height_mm[-1] + profile.rise_mm * profile.inner_height(np.ones(1), 0.0)[0])


@given(options=reliefs())
def test_every_profile_starts_on_the_face_and_ends_at_its_depth(options: ReliefOptions) -> None:
    profile = cell_profile(options, CHORD_MM)
    sign = -1.0 if options.form in ("sunk", "dish", "pierced") else 1.0
    assert (profile.inward_mm[0], profile.share[0], profile.height_mm[0]) == (0.0, 0.0, 0.0)
    assert final_height(profile) == pytest.approx(sign * options.depth_mm, abs=1e-12)
    assert np.all(np.diff(sign * profile.height_mm) >= -1e-12)
    assert np.all((profile.share >= 0.0) & (profile.share < 1.0))


@given(options=reliefs())
def test_profiles_never_run_back_towards_the_wall(options: ReliefOptions) -> None:
    """So rings nest. A share of the cell counts as long: only parts within one share are compared."""
    profile = cell_profile(options, CHORD_MM)
    same = np.diff(profile.share) == 0.0
    assert np.all(np.diff(profile.share) >= 0.0)
    assert np.all(np.diff(profile.inward_mm)[same] >= -1e-12)


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("wall_width_mm", [0.2, 0.4, 1.0])
def test_half_the_ridge_is_level(form: str, wall_width_mm: float) -> None:
    """A ridge or groove is as wide as asked from flank to flank, so half of it lies in each cell."""
    profile = cell_profile(ReliefOptions(form=form, wall_width_mm=wall_width_mm, corner_mm=0.0), CHORD_MM)
    level = profile.height_mm == 0.0
    assert profile.inward_mm[level].max() == pytest.approx(wall_width_mm / 2.0, abs=1e-12)
    assert profile.level_mm == wall_width_mm / 2.0


@pytest.mark.parametrize("form", ["raised", "sunk"])
@pytest.mark.parametrize("flank_deg", [30.0, 45.0, 70.0, 89.0])
def test_the_flank_has_its_angle(form: str, flank_deg: float) -> None:
    profile = cell_profile(ReliefOptions(form=form, flank_deg=flank_deg, corner_mm=0.0), CHORD_MM)
    run, rise = profile.inward_mm[-1] - profile.inward_mm[-2], profile.height_mm[-1] - profile.height_mm[-2]
    assert math.degrees(math.atan2(abs(rise), run)) == pytest.approx(flank_deg, abs=1e-9)
    assert profile.flank_mm == pytest.approx(run)


def distance_to_line(points: np.ndarray, place: np.ndarray) -> float:
    start, way = points[:-1], np.diff(points, axis=0)
    fraction = np.clip(np.sum((place - start) * way, axis=1) / np.sum(way * way, axis=1), 0.0, 1.0)
    return float(np.min(np.linalg.norm(start + fraction[:, None] * way - place, axis=1)))


@pytest.mark.parametrize("form", ["raised", "sunk"])
def test_rounded_corners_stay_within_their_radius_of_the_sharp_profile(form: str) -> None:
    """An arc of radius r in a corner that turns by a lies at most r (1 / cos(a / 2) - 1) off the corner."""
    sharp = cell_profile(ReliefOptions(form=form, depth_mm=0.5, corner_mm=0.0), CHORD_MM)
    soft = cell_profile(ReliefOptions(form=form, depth_mm=0.5, corner_mm=0.1), CHORD_MM)
    assert len(soft.share) > len(sharp.share)
    corner = np.array([sharp.inward_mm[1], sharp.height_mm[1]])
    off = distance_to_line(np.column_stack((soft.inward_mm, soft.height_mm)), corner)
    assert off == pytest.approx(0.1 * (1.0 / math.cos(math.radians(35.0)) - 1.0), abs=CHORD_MM)
    # Tangents: the first arc starts level, the last ends level on the top.
    assert soft.height_mm[1] == pytest.approx(0.0, abs=1e-12)
    assert abs(soft.height_mm[-1]) == pytest.approx(0.5, abs=1e-12)


@pytest.mark.parametrize(("wall_width_mm", "top_size"), [(0.3, None), (None, 0.5)])
def test_steps_are_equal_terraces(wall_width_mm: float | None, top_size: float | None) -> None:
    options = ReliefOptions(form="step", depth_mm=0.6, wall_width_mm=wall_width_mm, top_size=top_size, corner_mm=0.0)
    profile = cell_profile(options, CHORD_MM)
    levels, uses = np.unique(np.round(profile.height_mm, 12), return_counts=True)
    assert levels == pytest.approx(0.6 * np.arange(TERRACES + 1) / TERRACES)
    assert np.all(uses[1:-1] == 2)
    if wall_width_mm is not None:
        starts, ends = profile.inward_mm[2::2][:-1], profile.inward_mm[3::2]
        assert ends - starts == pytest.approx(np.full(TERRACES - 1, wall_width_mm / 2.0))


@pytest.mark.parametrize("form", ["raised", "sunk", "step"])
@pytest.mark.parametrize("top_size", [0.2, 0.6, 0.9])
def test_the_top_is_the_asked_share_of_the_cell(form: str, top_size: float) -> None:
    """The flank lies outside of the top, so the top begins exactly where the share says."""
    profile = cell_profile(ReliefOptions(form=form, wall_width_mm=None, top_size=top_size, corner_mm=0.0), CHORD_MM)
    assert (profile.share[-1], profile.inward_mm[-1]) == pytest.approx((1.0 - top_size, 0.0), abs=1e-12)
    assert profile.rise_mm == 0.0


def test_bent_forms_are_a_parabola_and_a_straight_line() -> None:
    way = np.linspace(0.0, 1.0, 11)
    pillow, peak = (cell_profile(ReliefOptions(form=form), CHORD_MM) for form in ("pillow", "peak"))
    assert pillow.inner_height(way) == pytest.approx(1.0 - (1.0 - way) ** 2)
    assert peak.inner_height(way, 0.0) == pytest.approx(way, abs=1e-9)
    dish = cell_profile(ReliefOptions(form="dish"), CHORD_MM)
    assert dish.rise_mm == -pillow.rise_mm


def test_a_peaks_tip_is_rounded_and_still_rises() -> None:
    way = np.linspace(0.0, 1.0, 101)
    height = cell_profile(ReliefOptions(form="peak"), CHORD_MM).inner_height(way, 0.3)
    slopes = np.diff(height)
    assert (height[0], height[-1]) == (pytest.approx(0.0), pytest.approx(1.0))
    assert np.all(slopes > 0.0)
    assert np.all(np.diff(slopes) < 0.0)
    assert slopes[-1] < 0.1 * slopes[0]


@given(options=reliefs())
def test_fewer_points_keep_the_ends_of_arcs_and_lie_within_the_distance(options: ReliefOptions) -> None:
    profile = cell_profile(options, 0.03)
    fewer = profile.in_fewer_points(0.03)
    ends = profile.inward_mm[profile.touch_mm != profile.inward_mm]
    assert np.all(np.isin(ends, fewer.inward_mm))
    assert (fewer.share[0], fewer.share[-1]) == (profile.share[0], profile.share[-1])
    assert fewer.height_mm[-1] == profile.height_mm[-1]
    for share in np.unique(profile.share):
        all_points, few_points = profile.share == share, fewer.share == share
        line = shapely.LineString(np.column_stack((fewer.inward_mm, fewer.height_mm))[few_points].repeat(2, axis=0))
        for point in np.column_stack((profile.inward_mm, profile.height_mm))[all_points]:
            assert line.distance(shapely.Point(point)) < 0.03 + 1e-9


def test_rounded_corners_of_a_draft_lose_their_middles() -> None:
    profile = cell_profile(
        ReliefOptions(form="raised", depth_mm=0.3, wall_width_mm=0.4, flank_deg=70.0, corner_mm=0.1), 0.03
    )
    assert (len(profile.share), len(profile.in_fewer_points(0.03).share)) == (7, 5)
    assert len(profile.in_fewer_points(0.001).share) == 7
