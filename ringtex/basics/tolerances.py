"""Every tolerance in one place, each with its reason. Lengths in millimetres."""

from __future__ import annotations

from typing import Final

FINAL_CHORD_MM: Final = 0.005
"""Largest distance between mesh and true surface for a finished ring: an eighth of a printer's 0.04 mm pixel."""

DRAFT_CHORD_MM: Final = 0.02
"""The same while the hand moves: half a printer's pixel, invisible at screen scale."""

SAME_PLACE_MM: Final = 1e-9
"""Two computed places closer than this are one: far under any size made, far over float64 rounding at 100 mm (1e-14)."""

COVER_SHARE: Final = 1e-9
"""Relative error allowed when cells' areas are added up against the area they must cover (float64 sums)."""

CREASE_RADIUS_MM: Final = 0.2
"""Radius on a crease such as a knife-edge's crown, so that the normal is continuous; a usual breaking of edges
(common practice, no source)."""

QUANTUM_MM: Final = 1e-9
"""Iterated patterns are rounded to this grid, so that the last bits of a machine's arithmetic do not reach the file."""
