"""Rings with grey pictures: closed, within tolerance, of the heights and the volume that the picture has."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy import ndimage
from zoo import plain_design

from ringtex.basics.errors import InputError
from ringtex.basics.progress import Progress
from ringtex.design.design import Design
from ringtex.design.design_file import design_from_json, design_to_json
from ringtex.edits.motif_edits import with_motif
from ringtex.make_ring import ShapedRing, make_ring, shape_ring
from ringtex.pattern.motif.motif_options import MotifOptions
from ringtex.pattern.picture.grey_options import GreyOptions
from ringtex.pattern.picture.grey_reader import picture_text
from ringtex.pattern.picture.picture_layout import PictureLayout
from ringtex.solid.free_form.picture_surface import picture_heights

DOME = {"section": None, "stations": [
    {"angle": 0, "width": 9, "height": 3, "edge_height": 1.2, "fullness": 2.5},
    {"angle": 180, "width": 6, "height": 2.0, "edge_height": 1.2, "fullness": 2.5}], "mirror": True}  # fmt: skip


def waves(columns: int, rows: int) -> np.ndarray:
    """16 bits, periodic both ways."""
    x = np.arange(columns) / columns * 2.0 * np.pi
    y = np.arange(rows)[:, None] / rows * 2.0 * np.pi
    grey = np.sin(3 * x + 2 * np.sin(y + np.sin(2 * x))) + 0.5 * np.sin(7 * x - 2 * y)
    return np.rint((grey - grey.min()) / np.ptp(grey) * 65535).astype(np.uint16)


NOISE = ndimage.gaussian_filter(np.random.default_rng(2).random((60, 120)), 3.0)
NOISE = np.rint((NOISE - NOISE.min()) / np.ptp(NOISE) * 255).astype(np.uint8)


def design(samples: np.ndarray, around: int = 6, form: str = "raised", **given: object) -> Design:
    keys = {key: given.pop(key) for key in ("arrangement", "alternate") if key in given}
    band = {key: given.pop(key) for key in ("band",) if key in given}
    motif = MotifOptions("", "waves", fit="page", grey=GreyOptions(picture_text(samples), **given), **keys)  # type: ignore[arg-type]
    made = with_motif(design_from_json(plain_design(rails={"lower": 0.5, "upper": 0.5}, **band)), motif)
    pattern = replace(made.pattern, around=around, across=1 if given.get("once") else 2)
    return replace(made, pattern=pattern, relief=replace(made.relief, form=form, depth_mm=0.3))


CASES = {
    "waves once round": design(waves(400, 80), once=True),
    "noise like bricks, sunk": design(NOISE, form="sunk", arrangement="brick", blend=0.2),
    "noise half-dropped": design(NOISE, arrangement="half_drop", blend=0.3),
    "noise turned on a tapered dome": design(NOISE, alternate="turned", blend=0.1, high="black", band=DOME),
}


def crossings(ring: ShapedRing) -> int:
    """How many pairs of triangles cross, by exact arithmetic. Source: libigl's binding of CGAL, for tests only."""
    from igl.copyleft import cgal

    mesh = ring.solid.mesh
    return len(cgal.remesh_self_intersections(mesh.vertices, mesh.faces.astype(np.int64), detect_only=True)[2])


@pytest.mark.parametrize("name", CASES)
def test_ring_is_one_closed_body(name: str) -> None:
    """Closedness and volume by trimesh too."""
    import trimesh

    ring = make_ring(CASES[name], 0.02)
    mesh = ring.solid.mesh
    assert mesh.problems() == []
    assert crossings(ring) == 0
    assert ring.report.readings.fold_margin > 0.5
    outside = trimesh.Trimesh(mesh.vertices, mesh.faces, process=False)
    assert outside.is_watertight
    assert outside.volume == pytest.approx(mesh.volume, rel=1e-9)
    cells = ring.solid.face_ranges["cells"]
    assert len(ring.solid.face_cell) == cells.stop
    assert int(ring.solid.face_cell.max()) < ring.pattern.tiling.cells
    border = np.isin(ring.solid.strip_positions[:, 1], (ring.pattern.tiling.lower, ring.pattern.tiling.upper))
    assert np.all(ring.solid.strip_positions[border, 2] == 0.0)


def layout_of(ring: ShapedRing) -> PictureLayout:
    assert isinstance(ring.pattern.motif, PictureLayout)
    return ring.pattern.motif


def test_heights_at_pixel_centres_are_the_pictures() -> None:
    """To 1/65535 of the depth, without smoothing."""
    samples = waves(400, 80)
    ring = shape_ring(design(samples, once=True, smooth_mm=0.0), 0.02, Progress())
    layout = layout_of(ring)
    u, v = (np.arange(400) + 0.5) * ring.strip.length / 400, (np.arange(80) + 0.5) / 80
    uu, vv = np.meshgrid(u, layout.part.lower + (1.0 - v) * layout.part.width)
    share = layout.height_fraction(uu.ravel(), vv.ravel()).reshape(80, 400)
    assert float(np.max(np.abs(share - samples / 65535.0))) < 0.5 / 65535.0
    black = PictureLayout(
        layout.part, replace(layout.options, grey=replace(layout.options.grey, high="black")), 1, 1, (0.0, 0.0), (9, 9)
    )  # type: ignore[arg-type]
    assert np.allclose(black.height_fraction(uu.ravel(), vv.ravel()), 1.0 - share.ravel(), atol=1e-12)


@pytest.mark.parametrize("tolerance", [0.005, 0.02])
def test_mesh_lies_within_tolerance_of_its_surface(tolerance: float) -> None:
    """Random points of random triangles against the surface; flanks at the rails, whose crease is finer than the grid,
    are left out."""
    ring = shape_ring(CASES["waves once round"], tolerance, Progress())
    layout, solid = layout_of(ring), ring.solid
    corners = solid.strip_positions[solid.mesh.faces[solid.face_ranges["cells"]]]
    corners[:, :, 0] -= ring.strip.length * np.rint((corners[:, :, 0] - corners[:, :1, 0]) / ring.strip.length)
    weights = np.random.default_rng(4).dirichlet((1.0, 1.0, 1.0), len(corners))
    points = np.einsum("nk,nkd->nd", weights, corners)
    inner = (points[:, 1] > layout.part.lower + 0.15) & (points[:, 1] < layout.part.upper - 0.15)
    points = points[inner]
    off = np.abs(points[:, 2] - 0.3 * layout.height_fraction(points[:, 0], points[:, 1]))
    assert float(off.max()) < tolerance
    assert float(off.max()) > 0.1 * tolerance


def test_volume_is_the_integral_of_the_heights() -> None:
    """On a cylinder of radius r a relief of height h adds h + h^2 / 2r on every area."""
    ring = shape_ring(CASES["waves once round"], 0.005, Progress())
    layout, radius = layout_of(ring), ring.strip.length / (2.0 * np.pi)
    u, v = (np.arange(2000) + 0.5) * ring.strip.length / 2000, (np.arange(600) + 0.5) / 600
    height = picture_heights(ring.strip, layout, ring.relief, u, layout.part.lower + v * layout.part.width)
    added = float(np.mean(height + height**2 / (2.0 * radius))) * layout.part.area
    bore = ring.design.size.diameter_mm / 2.0
    band = np.pi * (radius**2 - bore**2) * ring.strip.width
    assert ring.solid.mesh.volume - band == pytest.approx(added, rel=5e-3)


@pytest.mark.parametrize(
    "keys",
    [{}, {"arrangement": "brick"}, {"arrangement": "half_drop"}, {"alternate": "mirrored"}, {"alternate": "turned"}],
)
def test_blended_borders_meet(keys: dict[str, str]) -> None:
    layout = layout_of(shape_ring(design(NOISE, blend=0.2, smooth_mm=0.0, **keys), 0.05, Progress()))
    wide, high = layout.tile
    rng = np.random.default_rng(6)
    v = layout.part.lower + rng.random(200) * layout.part.width
    u = rng.integers(0, 6, 200) * wide + 0.5 * wide * (keys.get("arrangement") == "brick") * ((v - v.min()) > 1e9)
    assert np.allclose(layout.height_fraction(u - 1e-7, v), layout.height_fraction(u + 1e-7, v), atol=1e-4)
    u = rng.random(200) * layout.part.length
    v = layout.part.lower + high * (1.0 + layout.column_shift(np.floor(u / wide)))
    assert np.allclose(layout.height_fraction(u, v - 1e-7), layout.height_fraction(u, v + 1e-7), atol=1e-4)


def test_the_file_keeps_the_picture_and_gives_the_same_ring() -> None:
    before = CASES["noise like bricks, sunk"]
    after = design_from_json(design_to_json(before))
    assert after == before
    first, second = (shape_ring(each, 0.05, Progress()).solid.mesh for each in (before, after))
    assert np.array_equal(first.vertices, second.vertices)


def test_forms_with_flanks_are_refused() -> None:
    with pytest.raises(InputError, match="grey picture"):
        design(NOISE, form="step")
