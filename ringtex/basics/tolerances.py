"""Every tolerance in one place, each with its reason. Lengths in millimetres."""

from __future__ import annotations

from typing import Final

FINAL_CHORD_MM: Final = 0.005
"""Largest distance between mesh and true surface for a finished ring: an eighth of a printer's 0.04 mm pixel."""

DRAFT_CHORD_MM: Final = 0.02
"""The same while a value is dragged: half a printer's pixel, invisible at screen scale."""

SAME_PLACE_MM: Final = 1e-9
"""Two computed places closer than this are one: far under any size made, far over float64 rounding at 100 mm
(1e-14)."""

SOLVED_SHARE: Final = 1e-10
"""Of its own size (square root of its energy) a band's flattening may be off: places move by under 1e-8 mm, and the
grid's own error is some 1e-4 mm."""

COVER_SHARE: Final = 1e-9
"""Relative error allowed when cells' areas are added up against the area they must cover (float64 sums)."""

CREASE_RADIUS_MM: Final = 0.2
"""Radius on a crease such as a knife-edge's crown, so that the normal is continuous; a usual breaking of edges
(common practice, no source)."""

QUANTUM_MM: Final = 1e-9
"""Iterated patterns are rounded to this grid, so that the last bits of a machine's arithmetic do not reach the file."""

MIN_INSET_MM: Final = 0.01
"""A side of an inset ring shorter than this is made a point: a quarter of a printer's 0.04 mm pixel, and longer ones
make triangles that are still well shaped between rings some hundredths apart."""

SQUEEZE_MARGIN: Final = 0.15
"""Share of the way from wall to centre that a profile must leave free, so that a top is left to see and to mesh."""

MAX_SPLITS: Final = 512
"""Segments of one wall: more than any ring that can be worn needs; keeps a mistaken tolerance from filling the
memory."""

MAX_TRIANGLES: Final = 12_000_000
"""Of the relief: as a file 600 MB, in memory with all checks some 4 GB. Rings that can be worn take under 3 million."""

MAX_CUT_TRIANGLES: Final = 6_000_000
"""Of a relief that is cut or joined: manifold3d holds it twice, and ends the process where memory runs out (16 million
at a limit of 6 GB)."""

FLAT_TRIANGLE_MM: Final = 1e-6
"""A triangle thinner than this is a line: float32 files keep places at 10 mm only to 1e-6."""

FOLDED_AREA_MM2: Final = 1e-12
"""A triangle of the strip with less than minus this area runs backwards: float64 rounding of places at 100 mm leaves
an edge of 0.01 mm an error of 1e-16 mm2, and upright flanks have no area at all."""

MIN_CORNER_MM: Final = 0.06
"""Corner radii that come out smaller than this are left sharp: their whole arc would be about a printer's 0.04 mm
pixel."""

LEVEL_MM: Final = 1e-9
"""Heights of a level part of the relief agree within this: they are computed alike, up to float64 rounding."""
