"""The conformal map (`keep` shape). Hexagons stay hexagons; their size follows the local scale.

The harmonic function with 0 and 1 on the two edges gives v, its conjugate gives u, and the strip's proportion W / L is
the annulus's own modulus. Both come from one bilinear finite-element stiffness matrix: the first with the edges held,
the second with free edges and a given gain in one turn. Every section is symmetric about the plane z = 0, so half the
face is solved. Second order in the grid.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from ringtex.band.band import Band
from ringtex.basics.arrays import Floats
from ringtex.strip.flat_grid import FlatGrid, grid_nodes, metric_terms

Matrix = Any  # a scipy sparse matrix; scipy is imported only where a band needs it


def conformal_rate(radius: Floats, length: float) -> Floats:
    """dv / ds on a band of revolution: length / 2 pi r (Mercator's rule)."""
    return (length / (2.0 * np.pi)) / radius


def conformal_grid(band: Band, columns: int, rows: int) -> FlatGrid:
    """The grid of a varying band; its width is modulus x length.

    Parameters:
        band: not a surface of revolution.
        columns, rows: elements round and across (an even number).
    Returns: strip coordinates of the grid's nodes.
    """
    theta, nodes = grid_nodes(columns, rows)
    half = rows // 2
    elements = _element_matrices(band, columns, half)
    stiffness = _assemble(elements, columns, half)
    height, height_energy = _held_edges(stiffness, columns, half)
    turn, turn_energy = _free_edges(stiffness, elements, columns, half)
    length = band.crown_length
    # Both energies come out a little high; in their ratio the excess cancels. Half the face has half the modulus.
    width = length * 2.0 * float(np.sqrt(turn_energy / height_energy))
    u = length * (turn - turn[0, half])
    v = 0.5 * width * height
    return FlatGrid(
        theta,
        nodes,
        np.concatenate((u, u[:, half - 1 :: -1]), axis=1),
        np.concatenate((v, width - v[:, half - 1 :: -1]), axis=1),
        length,
        width,
    )


def _element_matrices(band: Band, columns: int, half: int) -> Floats:
    """(around, half, 4, 4) stiffness of each element; corners (0,0), (1,0), (0,1), (1,1) in (theta, xi)."""
    step_t, step_a = 2.0 * np.pi / columns, 1.0 / half
    total = np.zeros((columns, half, 4, 4))
    for p in (0.5 - np.sqrt(1.0 / 12.0), 0.5 + np.sqrt(1.0 / 12.0)):
        for q in (0.5 - np.sqrt(1.0 / 12.0), 0.5 + np.sqrt(1.0 / 12.0)):
            theta = -np.pi + (np.arange(columns) + p) * step_t
            place = -1.0 + (np.arange(half) + q) * step_a
            E, F, G = metric_terms(band.profile_slopes(theta[:, None], place[None, :]))
            by_t = np.array([q - 1.0, 1.0 - q, -q, q]) / step_t
            by_a = np.array([p - 1.0, -p, 1.0 - p, p]) / step_a
            root = np.sqrt(np.maximum(E * G - F * F, 1e-300))
            mixed = np.outer(by_t, by_a)
            share = 0.25 * step_t * step_a / root
            total += (share * G)[..., None, None] * np.outer(by_t, by_t)
            total += (share * E)[..., None, None] * np.outer(by_a, by_a)
            total -= (share * F)[..., None, None] * (mixed + mixed.T)
    return total


def _corners(columns: int, half: int) -> NDArray[np.int32]:
    """(around, half, 4) node numbers of each element; node = column x (half + 1) + row."""
    column = np.arange(columns, dtype=np.int32)[:, None]
    row = np.arange(half, dtype=np.int32)[None, :]
    here, ahead = column * (half + 1) + row, (column + 1) % columns * (half + 1) + row
    return np.stack((here, ahead, here + 1, ahead + 1), axis=-1).astype(np.int32)


def _assemble(elements: Floats, columns: int, half: int) -> Matrix:
    from scipy.sparse import coo_array

    corner = _corners(columns, half)
    row = np.repeat(corner, 4, axis=-1).ravel()
    column = np.tile(corner, (1, 1, 4)).ravel()
    size = columns * (half + 1)
    return coo_array((elements.ravel(), (row, column)), shape=(size, size)).tocsc()


def _dot(a: Floats, b: Floats) -> float:
    """The scalar product; a BLAS sums in another order with another number of threads."""
    return float(np.sum(a * b))


def _solve(matrix: Matrix, right: Floats) -> Floats:
    from scipy.sparse.linalg import splu

    # The matrix is symmetric and positive definite: no pivoting, and a fill-reducing order for symmetric patterns. Its
    # factors are so sparse that panels of several columns take half as long again.
    options = {"SymmetricMode": True}
    factors = splu(matrix, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, panel_size=1, options=options)
    return np.asarray(factors.solve(right))


def _held_edges(stiffness: Matrix, columns: int, half: int) -> tuple[Floats, float]:
    """Harmonic function with 0 on the -z edge and 1 on the crown: (around, half + 1), and its energy."""
    value = np.zeros((columns, half + 1))
    value[:, -1] = 1.0
    inner = np.arange(columns * (half + 1)).reshape(columns, half + 1)[:, 1:-1].ravel()
    flow = stiffness @ value.ravel()
    value[:, 1:-1] = -_solve(stiffness[inner][:, inner].tocsc(), flow[inner]).reshape(columns, half - 1)
    return value, _dot(value.ravel(), stiffness @ value.ravel())


def _free_edges(stiffness: Matrix, elements: Floats, columns: int, half: int) -> tuple[Floats, float]:
    """Harmonic function that gains 1 in one turn, edges free: (around, half + 1), and its energy."""
    corner = _corners(columns, half)
    first = np.arange(columns)[:, None] / columns
    gain = np.stack((first, first + 1.0 / columns, first, first + 1.0 / columns), axis=-1)
    force = np.einsum("ikab,ikb->ika", elements, np.broadcast_to(gain, (columns, half, 4)))
    size = columns * (half + 1)
    load = np.bincount(corner.ravel(), weights=force.ravel(), minlength=size).astype(np.float64)
    # Constants cost no energy: one node is held at 0.
    ripple = np.zeros(size)
    ripple[1:] = -_solve(stiffness[1:, 1:].tocsc(), load[1:])
    straight_energy = float(np.sum(force * gain))
    energy = straight_energy + 2.0 * _dot(ripple, load) + _dot(ripple, stiffness @ ripple)
    return ripple.reshape(columns, half + 1) + first, energy
