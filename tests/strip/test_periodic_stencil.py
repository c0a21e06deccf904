"""Periodic nine-point operators against scipy's sparse matrices, assembled element by element."""

from __future__ import annotations

import numpy as np
import pytest
import scipy.sparse.linalg
from numpy.testing import assert_allclose
from scipy.sparse import coo_array, csc_array

from ringtex.basics.errors import InputError
from ringtex.strip import periodic_stencil
from ringtex.strip.periodic_stencil import PeriodicStencil

ROWS, COLUMNS = 7, 12


def random_elements(seed: int) -> np.ndarray:
    """(4, 4, rows - 1, columns) symmetric, positive semidefinite, rows that add up to 0, strongly uneven."""
    rng = np.random.default_rng(seed)
    slopes = rng.standard_normal((3, 4, ROWS - 1, COLUMNS)) * np.exp(rng.uniform(-1.0, 1.0, (ROWS - 1, COLUMNS)))
    slopes -= slopes.mean(axis=1, keepdims=True)
    return np.einsum("kaij,kbij->abij", slopes, slopes)


def assembled(elements: np.ndarray) -> csc_array:
    column, row = np.meshgrid(np.arange(COLUMNS), np.arange(ROWS - 1))
    corner = [
        ((row + over) * COLUMNS + (column + ahead) % COLUMNS).ravel()
        for ahead, over in ((0, 0), (1, 0), (0, 1), (1, 1))
    ]
    pairs = [(a, b) for a in range(4) for b in range(4)]
    values = np.concatenate([elements[a, b].ravel() for a, b in pairs])
    rows, columns = (np.concatenate([corner[pair[end]] for pair in pairs]) for end in (0, 1))
    return coo_array((values, (rows, columns)), shape=(ROWS * COLUMNS,) * 2).tocsc()


@pytest.mark.parametrize("seed", range(5))
def test_products_and_solutions_are_scipys(seed: int) -> None:
    elements = random_elements(seed)
    stencil, matrix = PeriodicStencil.from_elements(elements), assembled(elements)
    x = np.random.default_rng(seed + 100).standard_normal((ROWS, COLUMNS))
    assert_allclose(stencil @ x, (matrix @ x.ravel()).reshape(ROWS, COLUMNS), atol=1e-10)
    inner = np.arange(ROWS * COLUMNS).reshape(ROWS, COLUMNS)[1:-1].ravel()
    theirs = scipy.sparse.linalg.spsolve(matrix[inner][:, inner].tocsc(), x[1:-1].ravel())
    assert_allclose(stencil.without_ends().solve(x[1:-1]).ravel(), theirs, atol=1e-7 * np.max(np.abs(theirs)))


@pytest.mark.parametrize("seed", range(5))
def test_with_free_edges_solutions_differ_by_a_constant(seed: int) -> None:
    elements = random_elements(seed)
    stencil, matrix = PeriodicStencil.from_elements(elements), assembled(elements)
    right = np.random.default_rng(seed).standard_normal((ROWS, COLUMNS))
    right -= right.mean()
    ours = stencil.solve(right).ravel()
    theirs = scipy.sparse.linalg.spsolve(matrix[1:, 1:].tocsc(), right.ravel()[1:])
    assert_allclose(ours[1:] - ours[0], theirs, atol=1e-7 * np.max(np.abs(theirs)))


def test_a_system_that_does_not_settle_says_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(periodic_stencil, "MAX_STEPS", 3)
    with pytest.raises(InputError, match="Make the stations more alike"):
        PeriodicStencil.from_elements(random_elements(0)).without_ends().solve(np.ones((ROWS - 2, COLUMNS)))
