"""Reflection lines: straight and even on a cylinder, broken where curvature or tangent is."""

from __future__ import annotations

import math

import numpy as np
import pytest

from ringtex.band.band import Band
from ringtex.band.band_options import BandOptions, Station
from ringtex.band.bore import BoreOptions
from ringtex.export.picture.picture import render_picture
from ringtex.export.picture.studio_light import reflection_values, stripes_on_wall
from ringtex.solid.plain_faces import bare_face_mesh
from ringtex.strip.unwrap import unwrap

EYE = np.array([0.0, 0.0, 1.0])
ALONG = np.array([1.0, 0.0, 0.0])


def test_as_many_stripes_as_asked_for_in_a_turn() -> None:
    angle = np.linspace(0.0, 2.0 * np.pi, 100_000, endpoint=False)
    wall = np.column_stack([np.zeros_like(angle), np.sin(angle), np.cos(angle)])
    values = stripes_on_wall(wall, ALONG, 28)
    assert np.sum((values[1:] > 0.5) & (values[:-1] <= 0.5)) in (27, 28)
    assert np.mean(values) == pytest.approx(0.5, abs=1e-3)
    assert values.min() == 0.0
    assert values.max() == 1.0


def test_a_cylinder_mirrors_twice_its_turn_and_nothing_along() -> None:
    """A mirror that turns by an angle turns its image by twice that."""
    turn = np.linspace(0.1, 1.1, 500)
    normals = np.column_stack([np.zeros_like(turn), np.sin(turn), np.cos(turn)])
    wall = np.column_stack([np.zeros_like(turn), np.sin(2.0 * turn), np.cos(2.0 * turn)])
    np.testing.assert_allclose(reflection_values(normals, EYE, ALONG), stripes_on_wall(wall, ALONG), atol=1e-9)


def test_a_corner_of_the_tangent_breaks_the_lines() -> None:
    turn = np.linspace(0.1, 1.1, 5000)
    kinked = turn + np.where(turn > 0.6, 0.03, 0.0)
    steps = []
    for angle in (turn, kinked):
        normals = np.column_stack([np.zeros_like(angle), np.sin(angle), np.cos(angle)])
        steps.append(np.max(np.abs(np.diff(reflection_values(normals, EYE, ALONG)))))
    assert steps[1] > 5.0 * steps[0]


def test_picture_of_a_dome() -> None:
    stations = (Station(0, 18, 9, 1.2), Station(180, 5, 1.5, 1.2))
    strip = unwrap(Band(54.0 / (2.0 * math.pi), BoreOptions(), BandOptions(None, stations)), "shape")
    mesh = bare_face_mesh(strip, 240, 48)
    assert mesh.vertices.shape == (240 * 49, 3)
    assert mesh.faces.shape == (2 * 240 * 48, 3)
    centre = mesh.vertices[mesh.faces].mean(axis=1)
    a, b, c = (mesh.vertices[mesh.faces[:, k]] for k in range(3))
    outwards = np.sum(np.cross(b - a, c - a)[:, :2] * centre[:, :2], axis=1)
    assert np.mean(outwards > 0.0) > 0.99
    picture = render_picture(mesh, None, 160, 140, "head", "reflection_lines").astype(int)
    middle = picture[:, 80, 1]
    crossings = np.sum(np.abs(np.diff(np.sign(middle - 128))) > 0)
    assert crossings > 10
    # The dome is its own mirror image left to right as seen from the head.
    assert np.mean(np.abs(picture - picture[:, ::-1])) < 12.0
