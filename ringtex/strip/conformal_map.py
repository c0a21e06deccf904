"""The conformal map (`keep` shape). Hexagons stay hexagons; their size follows the local scale.

The harmonic function with 0 and 1 on the two edges gives v, its conjugate gives u, and the strip's proportion W / L is
the annulus's own modulus. Both come from one bilinear finite-element stiffness matrix: the first with the edges held,
the second with free edges and a given gain in one turn. Every section is symmetric about the plane z = 0, so half the
face is solved. Columns stand closer where the section is short: elements are more alike all round, which halves the
steps in which the systems are solved. Second order in the grid.
"""

from __future__ import annotations

import numpy as np

from ringtex.band.band import Band
from ringtex.basics.arrays import Floats
from ringtex.strip.flat_grid import FlatGrid, grid_nodes, metric_terms
from ringtex.strip.periodic_stencil import PeriodicStencil, inner_product, node_sums
from ringtex.strip.spline_table import PeriodicSpline

MIN_DENSITY = 0.7
"""Columns stand nowhere further apart than even ones over this: where a section is long, bands vary too."""
PLACES_ACROSS = 8
"""Where a section is measured for the density of columns."""


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
    graded = _graded_turns(band, theta)
    elements = _element_matrices(band, graded, columns, half)
    stiffness = PeriodicStencil.from_elements(elements)
    height, height_energy = _held_edges(stiffness)
    turn, turn_energy = _free_edges(stiffness, elements)
    # Both energies come out a little high; in their ratio the excess cancels. Half the face has half the modulus.
    length = band.crown_length
    width = length * 2.0 * float(np.sqrt(turn_energy / height_energy))
    found = PeriodicSpline(np.concatenate((turn, height)).T).at(graded)
    u = length * (graded[:, None] + found[:, : half + 1])
    v = 0.5 * width * found[:, half + 1 :]
    u -= u[0, half]
    v[:, 0], v[:, half] = 0.0, 0.5 * width
    return FlatGrid(
        theta,
        nodes,
        np.concatenate((u, u[:, half - 1 :: -1]), axis=1),
        np.concatenate((v, width - v[:, half - 1 :: -1]), axis=1),
        length,
        width,
    )


def _graded_turns(band: Band, theta: Floats) -> Floats:
    """(n,) turns from -pi up to each even angle, of which equal steps make elements of like proportions: their rate is
    sqrt(E / G) in the mean across, but nowhere under MIN_DENSITY. It nears that limit smoothly: a kink in the rate
    costs ten times the dilatation."""
    xi = -1.0 + (np.arange(PLACES_ACROSS) + 0.5) / PLACES_ACROSS
    E, _, G = metric_terms(band.profile_slopes(theta[:, None], xi[None, :]))
    rate = np.exp(0.5 * np.mean(np.log(E / np.maximum(G, 1e-12)), axis=1))
    limit = -np.log(MIN_DENSITY)
    rate = np.exp(limit * np.tanh(np.log(rate / np.mean(rate)) / limit))
    steps = rate + np.roll(rate, -1)
    return np.asarray(np.concatenate(([0.0], np.cumsum(steps)[:-1])) / np.sum(steps))


def _angles_at(graded: Floats, turn: Floats) -> tuple[Floats, Floats]:
    """theta at graded turns (m,) in [0, 1], and dtheta / dturn: the inverse of the spline through the even angles."""
    even = np.arange(len(graded)) / len(graded)
    spline = PeriodicSpline((graded - even)[:, None])
    place = np.interp(turn, np.append(graded, 1.0), np.append(even, 1.0))
    for _ in range(3):
        place -= (place + spline.at(place)[:, 0] - turn) / (1.0 + spline.at(place, 1)[:, 0])
    return 2.0 * np.pi * place - np.pi, 2.0 * np.pi / (1.0 + spline.at(place, 1)[:, 0])


def _element_matrices(band: Band, graded: Floats, columns: int, half: int) -> Floats:
    """(4, 4, half, columns) stiffness of each element; corners (0, 0), (1, 0), (0, 1), (1, 1) in turn and xi."""
    step_t, step_a = 1.0 / columns, 1.0 / half
    total = np.zeros((4, 4, half, columns))
    for p in (0.5 - np.sqrt(1.0 / 12.0), 0.5 + np.sqrt(1.0 / 12.0)):
        theta, theta_t = _angles_at(graded, (np.arange(columns) + p) * step_t)
        for q in (0.5 - np.sqrt(1.0 / 12.0), 0.5 + np.sqrt(1.0 / 12.0)):
            place = -1.0 + (np.arange(half) + q) * step_a
            E, F, G = metric_terms(band.profile_slopes(theta, place[:, None]))
            E, F = E * theta_t * theta_t, F * theta_t
            share = 0.25 * step_t * step_a / np.sqrt(np.maximum(E * G - F * F, 1e-300))
            by_t = np.array([q - 1.0, 1.0 - q, -q, q]) / step_t
            by_a = np.array([p - 1.0, -p, 1.0 - p, p]) / step_a
            for a, b in np.argwhere(np.triu(np.ones((4, 4)))):
                total[a, b] += (by_t[a] * by_t[b]) * (share * G) + (by_a[a] * by_a[b]) * (share * E)
                total[a, b] -= (by_t[a] * by_a[b] + by_a[a] * by_t[b]) * (share * F)
    for a, b in np.argwhere(np.tril(np.ones((4, 4)), -1)):
        total[a, b] = total[b, a]
    return total


def _held_edges(stiffness: PeriodicStencil) -> tuple[Floats, float]:
    """Harmonic function with 0 on the -z edge and 1 on the crown: (half + 1, around), and its energy."""
    value = np.zeros_like(stiffness.centre)
    value[-1] = 1.0
    value[1:-1] = stiffness.without_ends().solve(-(stiffness @ value)[1:-1])
    return value, inner_product(value, stiffness @ value)


def _free_edges(stiffness: PeriodicStencil, elements: Floats) -> tuple[Floats, float]:
    """Harmonic function that gains 1 in one turn, edges free, less the even turn: (half + 1, around); its energy."""
    gain = 1.0 / elements.shape[3]
    force = (elements[:, 1] + elements[:, 3]) * gain
    load = node_sums(force)
    even_energy = gain * float(np.sum(force[1] + force[3]))
    ripple = stiffness.solve(-load, even_energy)
    return ripple, even_energy + 2.0 * inner_product(ripple, load) + inner_product(ripple, stiffness @ ripple)
