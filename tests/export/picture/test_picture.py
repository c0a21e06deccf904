"""The picture shows the ring and its pattern, without flaws, and is written safely."""

from __future__ import annotations

import os
import subprocess
import sys
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from export_sample_rings import bumpy_ring, tetrahedron
from PIL import Image

from ringtex.basics.errors import Cancelled, InputError, OutputError
from ringtex.basics.progress import Progress
from ringtex.export.picture.camera import VIEWS, named_view, slopes
from ringtex.export.picture.picture import render_picture, write_picture
from ringtex.export.picture.studio_light import MATERIALS

PLAIN = bumpy_ring(400, 81, relief=0.0)
BUMPY = bumpy_ring(400, 81, relief=0.3)


@cache
def _covered(view: str, width: int, height: int) -> np.ndarray:
    """(h, w) pixels whose middle shows the ring, by filling the projected triangles (Pillow), one by one."""
    from PIL import ImageDraw

    camera = named_view(view, BUMPY.vertices, width, height)
    across, upward = slopes(width, height)
    right, up, back = ((BUMPY.vertices - camera.eye) @ axis for axis in camera.axes)
    x = (right / -back / across + 1) * width / 2
    y = (1 - up / -back / upward) * height / 2
    mask = Image.new("L", (width, height))
    draw = ImageDraw.Draw(mask)
    for a, b, c in BUMPY.faces:
        draw.polygon([(x[a], y[a]), (x[b], y[b]), (x[c], y[c])], fill=255)
    return np.asarray(mask) > 0


def _grey(picture: np.ndarray) -> np.ndarray:
    return picture.astype(np.float64) @ [0.299, 0.587, 0.114]


@pytest.mark.parametrize("view", VIEWS)
def test_every_view(view: str) -> None:
    picture = render_picture(BUMPY, None, 300, 240, view)
    assert picture.shape == (240, 300, 3)
    assert picture.dtype == np.uint8
    metal = picture.astype(int)[..., 0] - picture.astype(int)[..., 2] > 22  # gold; the background is grey
    wanted = _covered(view, 300, 240)
    assert np.mean(metal == wanted) > 0.97


def test_the_background_is_a_warm_even_grey() -> None:
    picture = render_picture(BUMPY, None, 300, 240).astype(int)
    corners = picture[[4, 4, -5, -5], [4, -5, 4, -5]]
    assert np.all(corners.min(axis=0) > 140)
    assert np.all(corners.max(axis=0) < 225)
    assert np.all(np.diff(corners, axis=1) <= 0)
    assert np.all(corners[:, 0] - corners[:, 2] < 25)


@pytest.mark.parametrize("material", sorted(MATERIALS))
def test_no_black_blobs_and_no_large_burnt_ones(material: str) -> None:
    metal = _covered("three_quarter", 300, 240)
    grey = _grey(render_picture(BUMPY, None, 300, 240, material=material))[metal]
    assert np.percentile(grey, 0.5) > 18
    assert np.mean(grey > 250) < 0.05
    assert np.percentile(grey, 95) - np.percentile(grey, 5) > 60


def test_the_pattern_shows() -> None:
    """Against the plain ring the bumps change the light by a tenth of its range or more, all over the face."""
    change = _grey(render_picture(BUMPY, None, 450, 350, "head")) - _grey(render_picture(PLAIN, None, 450, 350, "head"))
    for piece in np.split(change[110:240, 105:345], 4, axis=1):
        assert np.std(piece) > 12


def test_a_shallow_relief_shows_too() -> None:
    """0.05 mm is the shallowest relief that a design may ask for."""
    shallow = render_picture(bumpy_ring(400, 81, relief=0.05), None, 450, 350, "head")
    plain = render_picture(PLAIN, None, 450, 350, "head")
    assert np.std(_grey(shallow) - _grey(plain)) > 5


def test_no_speckles_on_a_smooth_face() -> None:
    """Rays that meet the face that they leave make lone dark dots: each pixel must be near its neighbours' median."""
    grey = _grey(render_picture(PLAIN, None, 450, 350, "head"))[110:240, 120:330]
    around = np.stack([np.roll(grey, shift, axis) for axis in (0, 1) for shift in (-1, 1)])
    assert np.abs(grey - np.median(around, axis=0))[1:-1, 1:-1].max() < 10


def test_a_band_of_few_facets_looks_smooth() -> None:
    """Facets of three degrees: steps between neighbouring pixels on the coarse band are those of the fine band."""

    def steps(around: int) -> float:
        grey = _grey(render_picture(bumpy_ring(around, 81, relief=0.0), None, 450, 350, "head"))[110:240, 120:330]
        return float(np.abs(np.diff(grey, 2, axis=1)).max())

    assert steps(120) < steps(960) + 6


def test_edges_are_smoothed() -> None:
    """Along the silhouette there are pixels between metal and background; a picture without oversampling has none."""
    picture = _grey(render_picture(BUMPY, None, 300, 240, "side"))
    row = picture[120]
    jumps = np.flatnonzero(np.abs(np.diff(row)) > 12)
    assert 4 <= len(jumps) <= 16


def test_same_picture_again() -> None:
    assert np.array_equal(render_picture(BUMPY, None, 200, 160), render_picture(BUMPY, None, 200, 160))


def test_png(tmp_path: Path) -> None:
    path = tmp_path / "ring.png"
    picture = render_picture(BUMPY, path, 200, 160)
    with Image.open(path) as image:
        assert image.format == "PNG"
        assert np.array_equal(np.asarray(image), picture)
    write_picture(tetrahedron(9.0), path, "silver_925")
    with Image.open(path) as image:
        assert image.size == (900, 700)
    assert os.listdir(tmp_path) == ["ring.png"]


@pytest.mark.parametrize(
    ("change", "where"),
    [
        ({"width": 5}, "width"),
        ({"height": 10_000}, "height"),
        ({"view": "top"}, "view"),
        ({"material": "mud"}, "material"),
    ],
)
def test_wishes_that_cannot_be_met(change: dict[str, object], where: str, tmp_path: Path) -> None:
    with pytest.raises(InputError) as caught:
        render_picture(BUMPY, tmp_path / "ring.png", **change)  # type: ignore[arg-type]
    assert caught.value.where == where
    assert caught.value.advice
    assert os.listdir(tmp_path) == []


def test_target_in_no_folder(tmp_path: Path) -> None:
    with pytest.raises(OutputError, match="no folder"):
        render_picture(BUMPY, tmp_path / "none" / "ring.png", 64, 64)


def test_cancel(tmp_path: Path) -> None:
    progress = Progress()
    progress.cancel()
    with pytest.raises(Cancelled):
        render_picture(BUMPY, tmp_path / "ring.png", 64, 64, progress=progress)
    assert os.listdir(tmp_path) == []


def test_no_display_is_needed_and_nothing_is_loaded_early(tmp_path: Path) -> None:
    """Loading the module loads neither the ray caster nor Pillow; drawing works without any display."""
    script = (
        "import sys; import ringtex.export.picture.picture as p, ringtex.export.mesh_files.mesh_files; "
        "assert not {'embreex', 'PIL', 'scipy', 'zipfile', 'xml'} & set(sys.modules), 'loaded early'; "
        "from export_sample_rings import bumpy_ring; p.render_picture(bumpy_ring(), sys.argv[1], 64, 64)"
    )
    here = Path(__file__).parent
    hidden = ("DISPLAY", "WAYLAND_DISPLAY")
    environment = {name: value for name, value in os.environ.items() if name not in hidden}
    environment["PYTHONPATH"] = os.pathsep.join([str(here.parent), str(here.parents[2])])
    subprocess.run([sys.executable, "-c", script, str(tmp_path / "a.png")], check=True, env=environment)
    assert (tmp_path / "a.png").stat().st_size > 1000
