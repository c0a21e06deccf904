"""The figures behind each overlay, for every cell and every vertex. Slow enough to belong in a worker."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ringtex.basics.arrays import Bytes, Floats
from ringtex.pattern.measure import areas_on_ring, percent_words
from ringtex.strip.distortion import Distortion
from ringtex.window.building.cell_numbers import cell_numbers
from ringtex.window.building.drawable_ring import View
from ringtex.window.overlays.cell_levels import cell_levels, least_metal
from ringtex.window.overlays.colour_scales import NO_VALUE, scale_table
from ringtex.window.overlays.smooth_table import sampled_smoothly
from ringtex.window.overlays.wall_thickness import wall_thickness

THICK_ENOUGH: Final = 3.0
"""Metal of so many times the process's limit is shown as thick: beyond, more makes no difference to making it."""


@dataclass(frozen=True, eq=False)
class OverlayValues:
    """One overlay's figures.

    name one of ViewState's overlays; title and unit for the legend; per_vertex (n,) float32 in the order of the view's
    positions, NaN where there is no value; per_cell (cells,) float64; low and high: values at the scale's two ends;
    is_log: the scale runs evenly in the logarithm; marks: (value, word) to point out; note: one more thing to know;
    beyond: values above high occur and look like high; lines: what more there is to say over all.
    """

    name: str
    title: str
    unit: str
    per_vertex: NDArray[np.float32]
    per_cell: Floats
    low: float
    high: float
    scale_name: str
    is_log: bool = False
    marks: tuple[tuple[float, str], ...] = ()
    note: str = ""
    beyond: bool = False
    lines: tuple[str, ...] = ()


def overlay_values(view: View, name: str) -> OverlayValues | None:
    """The figures of an overlay; None for "none". Reads the view only, so it may run in any thread."""
    makers = {
        "stretch": _stretch,
        "angle_error": _angle_error,
        "cell_size": _cell_size,
        "thickness": _thickness,
        "findings": _findings,
    }
    return makers[name](view) if name in makers else None


def colours(values: OverlayValues, numbers: NDArray[np.floating] | None = None) -> Bytes:
    """(n, 3) sRGB colours of numbers on the overlay's scale; of its per_vertex values where none are given."""
    numbers = values.per_vertex if numbers is None else numbers
    return np.asarray(colour_table(values)[colour_index(values, numbers)])


def colour_table(values: OverlayValues) -> Bytes:
    """(n, 3) sRGB colours of the scale, and last the one where there is no value."""
    return np.concatenate((scale_table(values.scale_name), [NO_VALUE])).astype(np.uint8)


def colour_index(values: OverlayValues, numbers: NDArray[np.floating]) -> NDArray[np.int64]:
    """(n,) row of `colour_table` for each number."""
    known = np.isfinite(numbers)
    steps = len(scale_table(values.scale_name))
    share = np.zeros(len(numbers))
    share[known] = scale_share(values, np.asarray(numbers[known], dtype=np.float64))
    return np.where(known, np.rint(np.clip(share, 0.0, 1.0) * (steps - 1)), steps).astype(np.int64)


def scale_share(values: OverlayValues, numbers: Floats) -> Floats:
    """(n,) 0 at the scale's low end, 1 at its high end; not clipped."""
    low, high = values.low, values.high
    if values.is_log:
        low, high, numbers = np.log(low), np.log(high), np.log(np.maximum(numbers, 1e-12))
    return np.asarray((numbers - low) / max(high - low, 1e-12), dtype=np.float64)


def _stretch(view: View) -> OverlayValues:
    cells = _distorted_cells(view)
    vertices = _from_strip(view, lambda u, v: view.built.strip.distortion(u, v).area)
    reach = max(float(np.exp(np.max(np.abs(np.log(cells.area))))), 1.1)
    worst = float(np.max(cells.angle_error_deg))
    note = f"angles differ by up to {worst:.1f}°" if worst >= 0.05 else "angles are true"
    least, most = float(np.min(cells.stretch_min)), float(np.max(cells.stretch_max))
    return OverlayValues(
        "stretch", "Area on the ring / on the strip", "×", vertices, cells.area, 1.0 / reach, reach, "two_sided",
        is_log=True, marks=((1.0, "true"),), note=note,
        lines=(f"1 mm of strip becomes {least:.2f} to {most:.2f} mm",),
    )  # fmt: skip


def _angle_error(view: View) -> OverlayValues:
    cells = _distorted_cells(view)
    vertices = _from_strip(view, lambda u, v: view.built.strip.distortion(u, v).angle_error_deg)
    errors = cells.angle_error_deg
    high = max(float(np.max(errors)), 1.0)
    sizes = areas_on_ring(view.built.pattern.tiling, view.built.strip)
    mean, worst = float(np.average(errors, weights=sizes)), int(np.argmax(errors))
    if errors[worst] < 0.05:
        note, lines = "angles are true everywhere", ("shapes are kept, sizes are not: see the stretch",)
    else:
        theta, _ = view.built.strip.to_band(*view.built.pattern.tiling.kernel[0][[worst]].T)
        note = f"mean {mean:.1f}°, worst {errors[worst]:.1f}° at {float(np.rad2deg(theta[0])):.0f}° from the head"
        lines = (f"a right angle of the strip becomes {90.0 - errors[worst]:.0f}° to {90.0 + errors[worst]:.0f}°",)
    return OverlayValues(
        "angle_error", "Angles on the ring differ by", "°", vertices, errors, 0.0, high, "light_to_dark", note=note,
        lines=lines,
    )  # fmt: skip


def _distorted_cells(view: View) -> Distortion:
    """What the map does in the middle of each cell."""
    centre = view.built.pattern.tiling.kernel[0]
    return view.built.strip.distortion(centre[:, 0], centre[:, 1])


def _from_strip(view: View, figure: Callable[[Floats, Floats], Floats]) -> NDArray[np.float32]:
    """A smooth figure of the strip at the outer face's vertices; NaN elsewhere."""
    outer = np.flatnonzero(np.isfinite(view.places[:, 0]))
    strip = view.built.strip
    values = sampled_smoothly(figure, strip.length, strip.width, view.places[outer])
    return _for_positions(view, _spread(view, outer, values))


def _cell_size(view: View) -> OverlayValues:
    cells = view.cells or cell_numbers(view.built)
    areas = cells.area
    low, high = cells.smallest, cells.largest
    ratio = high / low
    if high < 1.02 * low:
        low, high = 0.99 * low, 1.01 * high
    note = f"{len(areas)} cells, areas vary by {100.0 * cells.variation:.{1 if cells.variation < 0.1 else 0}f} %"
    lines = (
        f"the largest is {ratio:.2f} times the smallest",
        f"{percent_words(cells.six_sided_share)} six-sided; roundness {cells.roundness.mean():.2f}, least "
        f"{cells.roundness.min():.2f}",
    )
    return OverlayValues(
        "cell_size", "Cell area on the ring", "mm²", _from_cells(view, areas), areas, low, high, "dark_to_light",
        is_log=high > 4.0 * low, note=note, lines=lines,
    )  # fmt: skip


def _thickness(view: View) -> OverlayValues:
    built = view.built
    metal = wall_thickness(built)
    limits = built.design.make.making_limits
    limit = limits.metal_mm if built.finished.hollow is None else limits.hollow_wall_mm
    high = THICK_ENOUGH * limit.near
    least = least_metal(built, metal)
    thinnest = float(np.fmin.reduce(metal))
    note = f"marks: least {limit.least:g}, safe {limit.near:g} mm; thinnest {thinnest:.2f} mm"
    title = "Metal down to the finger hole" if built.finished.hollow is None else "Metal down to hollow or finger hole"
    marks = ((limit.least, "least"), (limit.near, "safe"))
    beyond = bool(np.fmax.reduce(metal) > high)
    return OverlayValues(
        "thickness", title, "mm", _for_positions(view, metal), least, 0.0, high, "dark_to_light",
        marks=marks, note=note, beyond=beyond,
    )  # fmt: skip


def _findings(view: View) -> OverlayValues:
    levels = cell_levels(view.built, wall_thickness(view.built)).astype(np.float64)
    counts = [int(np.sum(levels == level)) for level in (3, 2)]
    note = f"{counts[0]} cells with errors, {counts[1]} with warnings"
    return OverlayValues("findings", "Findings", "", _from_cells(view, levels), levels, 0.0, 3.0, "levels", note=note)


def _spread(view: View, outer: NDArray[np.int64], values: Floats) -> Floats:
    """Values of some of the mesh's vertices for all of them; NaN for the others."""
    found = np.full(len(view.places), np.nan)
    found[outer] = values
    return found


def _for_positions(view: View, per_mesh_vertex: Floats) -> NDArray[np.float32]:
    """(n,) float32 in the length of the view's positions: the mesh's vertices come first, NaN for doubled ones."""
    found = np.full(len(view.positions), np.nan, dtype=np.float32)
    found[: len(per_mesh_vertex)] = per_mesh_vertex
    return found


def _from_cells(view: View, per_cell: Floats) -> NDArray[np.float32]:
    """Each vertex takes the value of a cell that it belongs to; NaN outside the cells."""
    mesh = view.built.finished.mesh
    found = np.full(len(view.positions), np.nan, dtype=np.float32)
    of_cells = np.flatnonzero(view.cell_of_triangle >= 0)
    found[mesh.faces[of_cells]] = per_cell[view.cell_of_triangle[of_cells]].astype(np.float32)[:, None]
    return found
