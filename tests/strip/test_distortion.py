from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringtex.strip.distortion import distortion_of

ENTRY = st.floats(-3.0, 3.0)


def of_matrix(matrix: np.ndarray):
    form = matrix.T @ matrix
    return distortion_of(*(np.array([value]) for value in (form[0, 0], form[0, 1], form[1, 1])))


@given(ENTRY, ENTRY, ENTRY, ENTRY)
def test_principal_stretches_are_singular_values(a: float, b: float, c: float, d: float) -> None:
    matrix = np.array([[a, b], [c, d], [0.0, 0.0]])
    if abs(np.linalg.det(matrix[:2])) < 1e-3:
        return
    larger, smaller = np.linalg.svd(matrix, compute_uv=False)
    found = of_matrix(matrix)
    assert found.stretch_max[0] == pytest.approx(larger, rel=1e-9)
    assert found.stretch_min[0] == pytest.approx(smaller, rel=1e-6)
    assert found.area[0] == pytest.approx(larger * smaller, rel=1e-6)


def test_tissots_angle() -> None:
    """Snyder, USGS PP 1395, ch. 10 formulas at phi 35, phi_s 30 (computed): h 0.9458753, k 1.0572218, omega 6.3731."""
    found = of_matrix(np.array([[1.0572218, 0.0], [0.0, 0.9458753], [0.0, 0.0]]))
    assert found.angle_error_deg[0] == pytest.approx(6.3731, abs=1e-4)
    assert found.area[0] == pytest.approx(1.0, abs=1e-6)


def test_no_small_angle_changes_more_than_tissot_says_and_one_does() -> None:
    matrix = np.array([[1.7, 0.4], [0.1, 0.8], [0.3, 0.2]])
    turn = np.linspace(0.0, np.pi, 361)
    lines = matrix @ np.stack((np.cos(turn), np.sin(turn)))
    lines /= np.linalg.norm(lines, axis=0)
    after = np.arccos(np.clip(lines.T @ lines, -1.0, 1.0))
    before = np.abs(turn[:, None] - turn[None, :])
    before, after = before[before <= np.pi], after[before <= np.pi]
    error = np.rad2deg(np.max(np.abs(after - before)))
    assert of_matrix(matrix).angle_error_deg[0] == pytest.approx(error, abs=0.02)


def test_a_similarity_has_no_angle_error() -> None:
    found = of_matrix(np.array([[3.0, -4.0], [4.0, 3.0], [0.0, 0.0]]))
    assert found.angle_error_deg[0] == 0.0
    assert found.dilatation[0] == 1.0
