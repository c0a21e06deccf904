"""Does a ring of any family in any of its relief forms cross itself? By exact arithmetic (CGAL through libigl).

    python tests/campaigns/family_crossings.py [FAMILY ...] [--bands flat,dome] [--forms pillow,dish]
        [--tolerance 0.005] [--rounding 0]

Small rings of every family x form x band at final tolerance; every crossing is printed with the whole request. Exit
code 1 if anything crosses or is not closed. Takes an hour.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parent.parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from sample_rings import sample_ring  # noqa: E402

from ringtex.basics.tolerances import FINAL_CHORD_MM  # noqa: E402
from ringtex.pattern.lattice.families import ALL_FAMILIES  # noqa: E402
from ringtex.relief.relief_options import FORMS  # noqa: E402


def main() -> int:
    from igl.copyleft import cgal

    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("families", nargs="*")
    parser.add_argument("--bands", default="flat,half_round,dome")
    parser.add_argument("--forms", default=",".join(FORMS))
    parser.add_argument("--tolerance", type=float, default=FINAL_CHORD_MM)
    parser.add_argument("--rounding", type=float, default=0.0)
    given = parser.parse_args()
    bad = built = 0
    for family in given.families or ALL_FAMILIES:
        around = max(5, ALL_FAMILIES[family].sample_around // 2)
        for band in given.bands.split(","):
            for form in given.forms.split(","):
                relief = {"form": form, "rounding": given.rounding}
                mesh = sample_ring(band, family, around, chord_mm=given.tolerance, **relief).mesh
                found = cgal.remesh_self_intersections(mesh.vertices, mesh.faces.astype(np.int64), detect_only=True)
                pairs, problems = len(found[2]), mesh.problems(1)
                built += 1
                if pairs or problems:
                    bad += 1
                    print(f"{family} {band} {form}: {pairs} crossings, {problems}", flush=True)
        print(f"{family}: {built} rings so far, {bad} bad", flush=True)
    return 1 if bad else 0


if __name__ == "__main__":
    raise SystemExit(main())
