from dataclasses import replace

import numpy as np
import pytest
from plain_rings import PlainBand, PlainStrip, level, plain_ring

from ringtex.checks.finding import Kind, Level
from ringtex.checks.geometry.folding import relief_faces
from ringtex.checks.geometry.seam import band_normals, check_seam, measure_seam
from ringtex.solid.mesh.ring_mesh import RingMesh, RingSolid

STRIP = PlainStrip()


def cut(ring: RingSolid, gap_mm: float) -> RingSolid:
    """The ring cut open at the seam: the vertices of its first column doubled, the copies moved by the gap."""
    vertices, faces = ring.mesh.vertices, ring.mesh.faces.copy()
    on_seam = np.flatnonzero((np.abs(vertices[:, 0]) < 1e-9) & (vertices[:, 1] < 0.0))
    copy = np.arange(len(vertices))
    copy[on_seam] = len(vertices) + np.arange(len(on_seam))
    left = vertices[faces, 0].mean(axis=1) < 0.0
    faces[left] = copy[faces[left]]
    moved = vertices[on_seam] - np.array([gap_mm, 0.0, 0.0])
    return replace(ring, mesh=RingMesh(np.concatenate((vertices, moved)), faces.astype(np.int32)))


def bent(ring: RingSolid, degrees: float) -> RingSolid:
    """The ring with a crease at the seam: its outer radii grow from there to the head."""
    x, y, z = ring.mesh.vertices.T
    away = np.abs(np.arctan2(x, -y))
    radius = np.hypot(x, y)
    # A polar curve r (1 + a |phi| + ...) meets itself at an angle of 2 atan(a); the square makes it smooth at the head.
    rise = away - away**2 / (2.0 * np.pi)
    grow = np.tan(np.radians(degrees / 2.0)) * rise * (radius > STRIP.band.bore_radius_mm + 0.1)
    vertices = np.column_stack((x * (1.0 + grow), y * (1.0 + grow), z))
    return replace(ring, mesh=RingMesh(vertices, ring.mesh.faces))


def bumps(u, v):  # type: ignore[no-untyped-def]
    """24 bumps round, on the middle of the face only; one stands right on the seam."""
    phase = 24.0 * 2.0 * np.pi * u / STRIP.length
    return 0.15 * (1.0 + np.cos(phase)) * np.clip(2.0 - np.abs(v - 3.0), 0.0, 1.0)


@pytest.mark.parametrize("height", [level, bumps])
def test_sound_ring_has_no_gap_and_no_bend(height) -> None:  # type: ignore[no-untyped-def]
    seam = measure_seam(plain_ring(STRIP, height, columns=288))
    assert (seam.gap_mm, seam.open_edges) == (0.0, 0)
    assert seam.normal_deg == pytest.approx(0.0, abs=0.002)
    assert check_seam(seam) == []


@pytest.mark.parametrize("gap", [0.0, 0.02, 0.3])
def test_open_seam_is_measured(gap: float) -> None:
    seam = measure_seam(cut(plain_ring(STRIP, bumps), gap))
    assert seam.gap_mm == pytest.approx(gap, abs=1e-12)
    assert seam.open_edges == 2 * (12 + 8 + 2)
    (finding,) = check_seam(seam)
    assert finding.kind is Kind.SEAM_OPEN
    assert finding.level is Level.ERROR


def test_hole_elsewhere_is_no_open_seam() -> None:
    ring = plain_ring(STRIP, level)
    head = int(np.argmax(ring.mesh.vertices[ring.mesh.faces].mean(axis=1)[:, 1]))
    opened = replace(ring, mesh=RingMesh(ring.mesh.vertices, np.delete(ring.mesh.faces, head, axis=0)))
    assert not opened.mesh.closed
    assert measure_seam(opened).open_edges == 0


def test_hole_at_the_seam_without_a_facing_side_is_its_own_gap() -> None:
    ring = plain_ring(STRIP, level)
    opened = replace(ring, mesh=RingMesh(ring.mesh.vertices, ring.mesh.faces[1:]))
    seam = measure_seam(opened)
    assert seam.open_edges == 3
    assert seam.gap_mm > 0.4


@pytest.mark.parametrize("degrees", [2.0, 5.0, 20.0])
@pytest.mark.parametrize("height", [level, bumps])
def test_crease_at_the_seam_is_measured(degrees: float, height) -> None:  # type: ignore[no-untyped-def]
    seam = measure_seam(bent(plain_ring(STRIP, height, columns=288), degrees))
    assert seam.normal_deg == pytest.approx(degrees, rel=0.02)
    (finding,) = check_seam(seam)
    assert finding.kind is Kind.SEAM_BENT
    assert finding.level is Level.WARNING


def test_relief_is_taken_off_whatever_its_slope() -> None:
    def ripples(u, v):  # type: ignore[no-untyped-def]
        return 0.3 * np.cos(24.0 * 2.0 * np.pi * u / STRIP.length) + 0.05 * v

    ring = plain_ring(STRIP, ripples, columns=576)
    normal, weight = band_normals(ring, relief_faces(ring))
    middle = ring.mesh.vertices[relief_faces(ring)].mean(axis=1)
    outwards = middle[:, :2] / np.hypot(middle[:, 0], middle[:, 1])[:, None]
    # On a cylinder the band's normal is radial; the face's own slopes are up to 40 degrees.
    assert np.min(np.einsum("mi,im->m", outwards, normal[:2])) > np.cos(np.radians(1.0))
    assert np.sum(weight) == pytest.approx(STRIP.length * 6.0, rel=0.03)
    seam = measure_seam(ring)
    assert seam.normal_deg == pytest.approx(0.0, abs=0.05)
    assert check_seam(seam) == []


def test_few_triangles_leave_the_bend_unmeasured() -> None:
    seam = measure_seam(plain_ring(PlainStrip(PlainBand()), level, columns=18))
    assert seam.normal_deg is None
    assert check_seam(seam) == []
