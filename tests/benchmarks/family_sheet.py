"""One picture with every family on a flat band and on a dome, to be looked at.

    python tests/benchmarks/family_sheet.py out/families.png [--form raised] [--only FAMILY,...] [--side 260]

Rows of pairs: the flat band left, the dome right, the family's label under them.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parent.parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from PIL import Image, ImageDraw, ImageFont  # noqa: E402
from sample_rings import sample_ring  # noqa: E402

from ringtex.basics.resources import resource  # noqa: E402
from ringtex.export.picture.picture import render_picture  # noqa: E402
from ringtex.pattern.lattice.families import ALL_FAMILIES  # noqa: E402

CAPTION = 22
COLUMNS = 4


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("out", type=Path)
    parser.add_argument("--form", default="raised")
    parser.add_argument("--only", default="")
    parser.add_argument("--side", type=int, default=260)
    parser.add_argument("--columns", type=int, default=COLUMNS)
    given = parser.parse_args()
    families = given.only.split(",") if given.only else list(ALL_FAMILIES)
    rows = -(-len(families) // given.columns)
    wide, high = 2 * given.side, given.side + CAPTION
    sheet = Image.new("RGB", (given.columns * wide, rows * high), "white")
    pen = ImageDraw.Draw(sheet)
    font = ImageFont.truetype(str(resource("fonts/DejaVuSans.ttf")), 14)
    for at, family in enumerate(families):
        x, y = at % given.columns * wide, at // given.columns * high
        for side, band in enumerate(("flat", "dome")):
            sheet.paste(picture(family, band, given.form, given.side), (x + side * given.side, y))
        pen.text((x + 8, y + given.side), f"{family}: {ALL_FAMILIES[family].label}", "black", font)
        print(family, file=sys.stderr)
    given.out.parent.mkdir(parents=True, exist_ok=True)
    sheet.save(given.out)
    return 0


def picture(family: str, band: str, form: str, side: int) -> Image.Image:
    """The ring with one and a half or, on the dome, more than twice the repeats of the small picture."""
    scale = 2.4 if band == "dome" else 1.6
    around = max(5, round(scale * ALL_FAMILIES[family].sample_around))
    ring = sample_ring(band, family, around, chord_mm=0.02, form=form, wall_width_mm=0.25, depth_mm=0.3, corner_mm=0.05)
    made = render_picture(ring.mesh, None, side, side)
    return Image.fromarray(np.asarray(made))


if __name__ == "__main__":
    raise SystemExit(main())
