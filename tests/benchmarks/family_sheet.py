"""One picture with every family on a flat band and on a dome, as it begins in the window, to be looked at.

    python tests/benchmarks/family_sheet.py out/families.png [--form raised] [--only FAMILY,...] [--side 260]

Rows of pairs: the starting design left, the demo dome right, the family's label and its counts on both under them.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parent.parent.parent
sys.path.insert(0, str(ROOT))

from PIL import Image, ImageDraw, ImageFont  # noqa: E402

from ringtex.basics.progress import Progress  # noqa: E402
from ringtex.basics.resources import demo_folder, resource  # noqa: E402
from ringtex.design.design import Design  # noqa: E402
from ringtex.design.design_file import read_design  # noqa: E402
from ringtex.edits.design_keys import with_one  # noqa: E402
from ringtex.export.picture.picture import render_picture  # noqa: E402
from ringtex.make_ring import shape_ring  # noqa: E402
from ringtex.pattern.lattice.families import ALL_FAMILIES  # noqa: E402

CAPTION = 22
COLUMNS = 4
CHORD_MM = 0.01


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
    starts = [read_design(resource("starting_design.ring.json")), read_design(demo_folder() / "dome.ring.json")]
    for at, family in enumerate(families):
        x, y = at % given.columns * wide, at // given.columns * high
        counts = []
        for side, start in enumerate(starts):
            drawn, count = picture(start, family, given.form, given.side)
            sheet.paste(drawn, (x + side * given.side, y))
            counts.append(count)
        pen.text((x + 8, y + given.side), f"{ALL_FAMILIES[family].label}: {', '.join(counts)}", "black", font)
        print(family, file=sys.stderr)
    given.out.parent.mkdir(parents=True, exist_ok=True)
    sheet.save(given.out)
    return 0


def picture(start: Design, family: str, form: str, side: int) -> tuple[Image.Image, str]:
    """The ring after the family and the form were chosen, and its counts."""
    design = start if family == start.pattern.family else with_one(start, "pattern.family", family)
    ring = shape_ring(with_one(design, "relief.form", form), CHORD_MM, Progress())
    made = render_picture(ring.finished.mesh, None, side, side)
    return Image.fromarray(np.asarray(made)), f"{design.pattern.around} x {ring.pattern.across}"


if __name__ == "__main__":
    raise SystemExit(main())
