"""What the designer asks of the relief."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Final, TypeAlias

from ringtex.basics.errors import InputError
from ringtex.basics.known_names import unknown_name
from ringtex.basics.limits import Within, require_limits
from ringtex.pattern.density_options import Angle, LengthFraction, WidthFraction, refuse_doubles
from ringtex.pattern.motif.motif_options import MotifOptions
from ringtex.pattern.pattern_options import FREE_FORM_FAMILIES

FORMS = ("raised", "sunk", "pillow", "dish", "peak", "step", "pierced")
"""raised: level tops on flanks; sunk: level floors below standing walls; pillow: tops domed smoothly; dish: cells
hollowed smoothly; peak: plane sides that meet in creases at the cell's centre; step: three terraces; pierced: sunk
cells whose floors are cut through the band. All start from height 0 at the cell's wall."""

SUNKEN = frozenset({"sunk", "dish", "pierced"})
"""Forms whose cells go inwards, so that the walls stand."""

FLANKED = frozenset({"raised", "sunk", "step", "pierced"})
"""Forms whose cells have level tops or floors, with flanks to the wall."""

PICTURE_FORMS: Final = ("raised", "sunk")
"""Forms of grey pictures: heights over the band's face, or depths under it."""


def forms_of(family: str, motif: MotifOptions | None) -> tuple[str, ...]:
    """The forms that the relief of a family can have: all but for grey pictures."""
    return PICTURE_FORMS if family == "motif" and motif is not None and motif.grey is not None else FORMS


MAX_POINTS: Final = 72
MAX_SPOTS: Final = 500
"""A point every 5 degrees; as many spots as a hand could paint."""

DepthShare: TypeAlias = Annotated[float, Within(0.0, 1.0, "of the depth")]

MAX_RADIUS_MM: Final = 15.0
"""A spot beyond this reaches the ring's other side."""


@dataclass(frozen=True)
class FadeOptions:
    """How deep the relief is, as a share 0 to 1 of its depth; where several act, their shares multiply.

    around  (angle in degrees from the head, share), joined smoothly and closed round the ring.
    across  (share of the strip's width from the -z edge, share of the depth), joined smoothly: ((0, 0), (0.5, 1),
            (1, 0)) fades towards both edges.
    spots   (u, v, radius, share): round a place, given as shares of the strip's length and width; the radius in mm on
            the ring; the share at the middle goes over to 1 at the rim.

    Raises InputError naming the key when a value cannot be used.
    """

    around: tuple[tuple[Angle, DepthShare], ...] = ()
    across: tuple[tuple[WidthFraction, DepthShare], ...] = ()
    spots: tuple[
        tuple[LengthFraction, WidthFraction, Annotated[float, Within(0.1, MAX_RADIUS_MM, "mm")], DepthShare], ...
    ] = ()

    def __post_init__(self) -> None:
        for key, count, most in (
            ("around", len(self.around), MAX_POINTS),
            ("across", len(self.across), MAX_POINTS),
            ("spots", len(self.spots), MAX_SPOTS),
        ):
            if count > most:
                raise InputError(f"{count} entries are too many", f"Give at most {most}", f"relief.fade.{key}")
        require_limits(self, "relief.fade")
        refuse_doubles([angle % 360.0 for angle, _ in self.around], "relief.fade.around", "angle")
        refuse_doubles([place for place, _ in self.across], "relief.fade.across", "place")


@dataclass(frozen=True)
class ReliefOptions:
    """The profile of a cell from its wall to its centre.

    form           of the tops or floors: level, domed, hollowed, pointed, in steps, or open (`FORMS`).
    depth_mm       height of the tops above (or of the floors below) the band's outer face.
    wall_width_mm  full width of the level strip along every wall, true on the ring: the groove between raised cells,
                   the ridge between sunk ones; or None where top_size is given.
    top_size       the top as a share of the cell, 0 to 1 (each length, not the area); or None where wall_width_mm is.
    flank_deg      slope of the flank against the face, 30 to 89.
    corner_mm      radius where a flank meets a level part, and about that of the tips of cells' peaks.
    rounding       radius of the cells' corners in plan, where the flank begins: 0 sharp, 1 the largest that fits the
                   cell. The walls' corners stay sharp; the level strip widens towards them.
    depth_scatter  0: all cells alike; 1: each cell's depth is drawn evenly between 0 and depth_mm.
    seed           of that draw.
    fade           where the relief is shallower, by curves round and across and by spots; None nowhere.
    """

    form: str = "raised"
    depth_mm: Annotated[float, Within(0.05, 1.0, "mm")] = 0.3
    wall_width_mm: Annotated[float, Within(0.0, 5.0, "mm")] | None = 0.4
    top_size: Annotated[float, Within(0.05, 0.98, "of the cell")] | None = None
    flank_deg: Annotated[float, Within(30.0, 89.0, "degrees")] = 70.0
    corner_mm: Annotated[float, Within(0.0, 0.5, "mm")] = 0.1
    rounding: Annotated[float, Within(0.0, 1.0)] = 0.0
    depth_scatter: Annotated[float, Within(0.0, 1.0)] = 0.0
    seed: Annotated[int, Within(0, 2**32 - 1)] = 1
    fade: FadeOptions | None = None

    def __post_init__(self) -> None:
        """Refuse what cannot be made, naming the key."""
        if self.form not in FORMS:
            raise unknown_name(f"'{self.form}' is no relief form", self.form, FORMS, "relief.form")
        if (self.wall_width_mm is None) == (self.top_size is None):
            message = "exactly one of wall_width and top_size must be given"
            raise InputError(message, "Set the other one to null", "relief")
        require_limits(self, "relief")

    @property
    def wall_name(self) -> str:
        """What the level strip along the walls is in this form: a "ridge" between sunk cells, else a "groove"."""
        return "ridge" if self.form in SUNKEN else "groove"


def unused_numbers(relief: ReliefOptions, family: str, motif: MotifOptions | None) -> frozenset[str]:
    """Fields of the relief that do nothing to a ring of these cells, drawing or picture.

    Parameters:
        relief: the relief.
        family: of the pattern.
        motif: the pattern's own motif, if it has one.
    Returns: names of fields, such as "wall_width_mm".
    """
    unused = {"wall_width_mm" if relief.wall_width_mm is None else "top_size"}
    is_drawn = family == "motif"
    if is_drawn:
        # Their walls are the outlines as drawn.
        unused |= {"wall_width_mm", "top_size"}
    if family in FREE_FORM_FAMILIES:
        unused.add("rounding")
    if relief.form not in FLANKED:
        unused.add("flank_deg")
        # It rounds the tips of cells' peaks.
        if relief.form != "peak" or family in FREE_FORM_FAMILIES:
            unused.add("corner_mm")
    if is_drawn and motif is not None and motif.grey is not None:
        unused.add("corner_mm")
    if relief.depth_scatter == 0.0:
        unused.add("seed")
    return frozenset(unused)
