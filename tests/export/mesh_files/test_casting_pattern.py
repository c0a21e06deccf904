"""Allowances on what is exported: the worked example, the bore's size, closed meshes, names."""

from __future__ import annotations

import math

import numpy as np
import pytest
from checks.plain_rings import PlainBand, PlainStrip, plain_ring
from zoo import DOME, plain_design

from ringtex.band.bore import BoreOptions
from ringtex.checks.making.bore_size import measure_bore
from ringtex.checks.making.make_options import MakeOptions
from ringtex.design.design_file import design_from_json
from ringtex.export.mesh_files.casting_pattern import casting_mesh, casting_name, casting_sentence
from ringtex.make_ring import make_ring


class Bored(PlainBand):
    """A plain band that tells its bore."""

    def bore_radius_at(self, theta: np.ndarray, z: np.ndarray) -> np.ndarray:
        return self.bore_radius_mm + self.bore.height_at(z / self.half_width(theta))


def test_the_worked_example() -> None:
    """p = 1.25 %: scale 1 / (1 - p) = 1.012658, inner diameter 17.30 -> 17.519, volume x 1.03846 (reckoned by hand)."""
    band = Bored(bore_radius_mm=17.30 / 2.0)
    ring = plain_ring(PlainStrip(band), columns=720)
    make = MakeOptions(shrinkage_percent=1.25)
    grown = casting_mesh(ring.mesh, band, make)
    assert make.pattern_scale == pytest.approx(1.012658, abs=5e-7)
    assert 2.0 * measure_bore(grown, ring.face_ranges["bore"]).radius_mm == pytest.approx(17.519, abs=5e-4)
    assert grown.volume / ring.mesh.volume == pytest.approx(1.03846, abs=5e-6)


@pytest.mark.parametrize("rise", [0.0, 0.4])
def test_the_finished_bore_has_the_size_asked_for(rise: float) -> None:
    """Backwards: shrink what was exported, take the loss off the bore, and the asked radius is left."""
    bore = BoreOptions("comfort", rise) if rise else BoreOptions()
    band = Bored(bore=bore)
    ring = plain_ring(PlainStrip(band))
    pattern = casting_mesh(ring.mesh, band, MakeOptions(shrinkage_percent=2.0, polish_mm=0.1))
    cast = pattern.vertices * (1.0 - 0.02)
    on_bore = np.unique(ring.mesh.faces[ring.face_ranges["bore"]])
    finished = np.hypot(cast[on_bore, 0], cast[on_bore, 1]) + 0.1
    asked = band.bore_radius_at(np.zeros(len(on_bore)), ring.mesh.vertices[on_bore, 2])
    np.testing.assert_allclose(finished, asked, atol=1e-9)
    outside = np.setdiff1d(np.arange(len(cast)), on_bore)
    np.testing.assert_allclose(cast[outside], ring.mesh.vertices[outside], atol=1e-9)


def test_the_bores_extra_metal_by_closed_form() -> None:
    """A tube from R - p to R, w wide: pi (R^2 - (R - p)^2) w, here as the polygon of 720 sides that the mesh is."""
    band = Bored()
    ring = plain_ring(PlainStrip(band), columns=720)
    extra = casting_mesh(ring.mesh, band, MakeOptions(polish_mm=0.1)).volume - ring.mesh.volume
    radius = band.bore_radius_mm
    polygon = 720 / (2.0 * math.pi) * math.sin(2.0 * math.pi / 720)
    assert extra == pytest.approx(math.pi * (radius**2 - (radius - 0.1) ** 2) * 6.0 * polygon, rel=1e-9)


def test_a_hollow_ring_with_stones_stays_sound() -> None:
    body = plain_design(
        band=DOME,
        pattern={"around": 16},
        hollow={"wall": 0.9},
        stones=[{"u": 0.5, "v": 0.5, "diameter": 2.0}],
        make={"shrinkage_percent": 1.25, "polish": 0.1},
    )
    built = make_ring(design_from_json(body), 0.03)
    pattern = casting_mesh(built.finished.mesh, built.strip.band, built.design.make)
    assert pattern.problems(built.finished.genus) == []
    assert measure_bore(pattern).radius_mm == pytest.approx((54.0 / (2.0 * math.pi) - 0.1) / (1.0 - 0.0125), abs=0.02)
    assert pattern.volume > built.finished.mesh.volume


def test_without_allowances_nothing_is_touched() -> None:
    band = Bored()
    mesh = plain_ring(PlainStrip(band)).mesh
    assert casting_mesh(mesh, band, MakeOptions()) is mesh
    assert casting_name("out/ring.stl", MakeOptions()) == "out/ring.stl"
    assert casting_sentence(MakeOptions()) == ""


@pytest.mark.parametrize(
    ("name", "shrinkage", "polish", "written"),
    [
        ("ring.stl", 1.25, 0.0, "ring_scaled_1.25pct.stl"),
        ("out/ring.stl", 0.0, 0.1, "out/ring_polish_0.1mm.stl"),
        ("/a.b/ring.x.3mf", 2.0, 0.1, "/a.b/ring.x_scaled_2pct_polish_0.1mm.3mf"),
        ("unscaled.stl", 2.0, 0.1, "unscaled_scaled_2pct_polish_0.1mm.stl"),
        ("ring_scaled_1pct.stl", 2.0, 0.0, "ring_scaled_1pct_scaled_2pct.stl"),
        ("ring_scaled_2pct.stl", 2.0, 0.0, "ring_scaled_2pct.stl"),
        ("ring_polish_0.1mm.stl", 0.0, 0.1, "ring_polish_0.1mm.stl"),
    ],
)
def test_the_name_says_it(name: str, shrinkage: float, polish: float, written: str) -> None:
    make = MakeOptions(shrinkage_percent=shrinkage, polish_mm=polish)
    assert casting_name(name, make) == written
    assert casting_name(written, make) == written
