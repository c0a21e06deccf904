import math
from dataclasses import dataclass, field, replace

import numpy as np
import pytest
from plain_rings import BORE_MM, PlainStrip, plain_ring

from ringtex.band.finger_size import FingerSize
from ringtex.checks.check_ring import check_ring
from ringtex.checks.finding import Kind, Level
from ringtex.checks.making.make_options import MakeOptions
from ringtex.checks.ring_position import angle_deg, words_for
from ringtex.relief.relief_options import ReliefOptions
from ringtex.solid.mesh.ring_mesh import RingMesh

STRIP = PlainStrip()


@dataclass(frozen=True)
class Wanted:
    """The options that the checks look at."""

    relief: ReliefOptions = field(default_factory=ReliefOptions)
    make: MakeOptions = field(default_factory=MakeOptions)
    size: FingerSize = field(default_factory=lambda: FingerSize("iso", "54"))
    hollow: None = None


RAISED = Wanted()


def bumps(u, v):  # type: ignore[no-untyped-def]
    around = 1.0 + np.cos(24.0 * 2.0 * np.pi * u / STRIP.length)
    return 0.15 * around * np.clip(2.0 - np.abs(v - 3.0), 0.0, 1.0)


def test_sound_ring_is_clean_and_measured() -> None:
    ring = plain_ring(STRIP, bumps, columns=288)
    report = check_ring(RAISED, STRIP, None, ring)
    assert report.findings == []
    read = report.readings
    assert (read.closed, read.bodies, read.genus) == (True, 1, 1)
    assert read.weight_g == pytest.approx(read.volume_mm3 * 10.3664e-3, rel=1e-5)
    assert read.thinnest_metal_mm == pytest.approx(1.6)
    assert read.height_mm == pytest.approx(1.9)
    assert read.size_circumference_mm == pytest.approx(54.0, abs=0.01)
    assert read.seam_gap_mm == 0.0
    assert all(math.isfinite(value) for value in vars(read).values() if isinstance(value, float))


def test_relief_volume_is_the_integral_on_a_cylinder() -> None:
    # A relief of height h on a cylinder of radius r adds the integral of h + h^2 / (2 r) (Pappus-Guldinus).
    outer = STRIP.band.outer_mm
    n = 4000
    u = (np.arange(n) + 0.5) * STRIP.length / n
    v = (np.arange(400) + 0.5) * 6.0 / 400
    grid = bumps(u[:, None], v[None, :])
    added = np.mean(grid + grid**2 / (2.0 * outer)) * STRIP.length * 6.0
    volumes = []
    for columns, rows in ((288, 25), (576, 49)):
        volumes.append(check_ring(RAISED, STRIP, None, plain_ring(STRIP, bumps, columns, rows)).readings.volume_mm3)
    limit = (4.0 * volumes[1] - volumes[0]) / 3.0
    assert limit == pytest.approx(np.pi * (outer**2 - BORE_MM**2) * 6.0 + added, rel=1e-5)


def test_findings_come_worst_first_and_broken_meshes_do_not_stop_the_rest() -> None:
    ring = plain_ring(STRIP, lambda u, v: bumps(u, v) - 0.7, columns=288)
    opened = replace(
        ring, mesh=RingMesh(ring.mesh.vertices, np.delete(ring.mesh.faces, len(ring.mesh.faces) // 3, axis=0))
    )
    report = check_ring(RAISED, STRIP, None, opened)
    levels = [finding.level for finding in report.findings]
    assert levels == sorted(levels, key=lambda level: level.rank)
    kinds = {finding.kind for finding in report.findings}
    assert Kind.NOT_CLOSED in kinds
    assert Kind.THIN_METAL in kinds
    assert report.findings[0].level is Level.ERROR
    assert report.readings.genus is None


def test_nickel_alloy_brings_its_caution() -> None:
    ring = plain_ring(STRIP, bumps)
    report = check_ring(Wanted(make=MakeOptions(alloy="gold_750_white_nickel")), STRIP, None, ring)
    assert "nickel" in {caution.key for caution in report.cautions}


def test_every_finding_says_what_to_do() -> None:
    ring = plain_ring(STRIP, lambda u, v: bumps(u, v) - 1.3)
    report = check_ring(Wanted(ReliefOptions("sunk"), size=FingerSize("iso", "56")), STRIP, None, ring)
    assert {Level.ERROR} <= {finding.level for finding in report.findings}
    for finding in report.findings:
        assert finding.message
        assert not finding.message.endswith(".")
        assert finding.advice


def test_places_in_words() -> None:
    assert angle_deg(np.array([0.0, 10.0, 0.0])) == 0.0
    assert angle_deg(np.array([-10.0, 0.0, 0.0])) == pytest.approx(90.0)
    assert words_for(np.array([0.0, -10.0, 1.25])) == "palm side, 180 degrees, 1.2 mm above mid-width"
    assert words_for(np.array([10.0, 0.0, 0.0])) == "shoulder, 270 degrees, at mid-width"
