"""What one can begin with: the demo rings, and some of the demo patterns on a plain band; each with a picture."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from ringtex.basics.progress import Progress
from ringtex.basics.resources import demo_folder, resource, resource_folder
from ringtex.design.design import Design
from ringtex.design.design_file import read_design, read_pattern

FIRST: Final = "dome"
"""Shown at the first start."""
RING_ENDING: Final = ".ring.json"
PATTERN_ENDING: Final = ".pattern.json"
BEGIN_WITH: Final = (
    "brick_pillows", "comb_walls", "diamond_peaks", "dry_lake", "hexagon_dishes", "hexagon_tops", "river_pebbles",
    "sponge", "stepped_diamonds", "worn_bricks",
)  # fmt: skip
"""The demo patterns that one can begin with; all of them can be put on a ring."""
PICTURE_SIZE: Final = (240, 180)
"""Pixels; shown at half the size, so that they are sharp on a high-density screen."""
PICTURE_CHORD_MM: Final = 0.01


@dataclass(frozen=True)
class StartingPoint:
    """One thing to begin with; name is that of its file without the ending."""

    name: str
    path: Path

    @property
    def title(self) -> str:
        """Its name in words."""
        return self.name.replace("_", " ").capitalize()

    @property
    def picture(self) -> Path:
        """Where its picture lies; the file may be missing."""
        return resource_folder() / "start_pictures" / f"{self.name}.png"

    def design(self) -> Design:
        """The ring. Raises: InputError where the file is missing or damaged."""
        if self.path.name.endswith(RING_ENDING):
            return read_design(self.path)
        return read_pattern(self.path).on(read_design(resource("starting_design.ring.json")))

    def draw_picture(self, progress: Progress) -> None:
        """Picture the ring, or the pattern on the starting band. Raises: InputError, OutputError, Cancelled."""
        from ringtex.export.picture.picture import render_picture
        from ringtex.make_ring import make_ring

        mesh = make_ring(self.design(), PICTURE_CHORD_MM, progress).finished.mesh
        render_picture(mesh, self.picture, *PICTURE_SIZE, progress=progress)


def starting_points() -> list[StartingPoint]:
    """Whole rings first, the dome leading, then some patterns by name."""
    return demo_rings() + [point for point in demo_patterns() if point.name in BEGIN_WITH]


def demo_rings() -> list[StartingPoint]:
    """The whole rings that come with the program, the dome leading."""
    files = demo_folder().glob(f"*{RING_ENDING}")
    rings = [StartingPoint(file.name.removesuffix(RING_ENDING), file) for file in files]
    return sorted(rings, key=lambda point: (point.name != FIRST, point.name))


def demo_patterns() -> list[StartingPoint]:
    """Every pattern that comes with the program, by name."""
    files = demo_folder().glob(f"*{PATTERN_ENDING}")
    patterns = [StartingPoint(file.name.removesuffix(PATTERN_ENDING), file) for file in files]
    return sorted(patterns, key=lambda point: point.name)


def draw_pictures(names: Sequence[str] = ()) -> None:
    """Draw the pictures of these demos, or of all, into `resources/start_pictures`."""
    for point in demo_rings() + demo_patterns():
        if not names or point.name in names:
            point.picture.parent.mkdir(exist_ok=True)
            point.draw_picture(Progress())
            print(point.picture)


if __name__ == "__main__":
    draw_pictures(sys.argv[1:])
