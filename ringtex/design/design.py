"""The design: every stage's options gathered as one frozen value."""

from __future__ import annotations

from dataclasses import dataclass, field

from ringtex.band.band import Band
from ringtex.band.band_options import BandOptions
from ringtex.band.bore import BoreOptions
from ringtex.band.finger_size import FingerSize
from ringtex.basics.errors import InputError
from ringtex.basics.limits import LEFT_OUT_WHEN_EMPTY
from ringtex.checks.making.make_options import MakeOptions
from ringtex.design.edit_options import EditOptions
from ringtex.pattern.panels.panel_options import Panel, check_panels
from ringtex.pattern.pattern_options import PatternOptions, RailOptions
from ringtex.pattern.zone_options import ZoneOptions, check_zones
from ringtex.relief.plain_options import MAX_PLACES, PlainPlace
from ringtex.relief.relief_options import ReliefOptions, forms_of
from ringtex.solid.finishing.finish import FinishOptions
from ringtex.solid.finishing.hollow_options import HollowOptions
from ringtex.solid.finishing.inscription_options import InscriptionOptions
from ringtex.solid.finishing.stone_options import Stone, StoneRow
from ringtex.strip.strip_options import StripOptions

MAX_NAME = 120


@dataclass(frozen=True)
class Design:
    """One ring, wholly described. Equal designs give equal rings, byte for byte.

    size         the finger size.
    band         its section and measures.
    name         for lists and sheets.
    bore         the finger hole.
    strip        how the band is flattened.
    pattern      which cells cover the strip.
    rails        plain borders along the strip's two edges.
    relief       the profile of a cell from its wall to its centre.
    make         alloy, process, what the making takes away, and the maker's own limits.
    edits        single cells and sites changed by hand.
    hollow       a hollow under the head; None: solid.
    stones       single stones, and rows of them.
    plain        windows without relief.
    inscription  one line of text in the bore; None: none.
    zones        bands of the ring with patterns of their own; none, or two and more, from the lower edge up.
    panels       framed rectangles with patterns of their own.
    """

    size: FingerSize
    band: BandOptions
    name: str = ""
    bore: BoreOptions = field(default_factory=BoreOptions)
    strip: StripOptions = field(default_factory=StripOptions)
    pattern: PatternOptions = field(default_factory=PatternOptions)
    rails: RailOptions = field(default_factory=RailOptions)
    relief: ReliefOptions = field(default_factory=ReliefOptions)
    make: MakeOptions = field(default_factory=MakeOptions)
    edits: EditOptions = field(default_factory=EditOptions)
    hollow: HollowOptions | None = None
    stones: tuple[Stone | StoneRow, ...] = ()
    plain: tuple[PlainPlace, ...] = ()
    inscription: InscriptionOptions | None = None
    zones: tuple[ZoneOptions, ...] = field(default=(), metadata=LEFT_OUT_WHEN_EMPTY)
    panels: tuple[Panel, ...] = field(default=(), metadata=LEFT_OUT_WHEN_EMPTY)

    def __post_init__(self) -> None:
        check_name(self.name)
        if len(self.plain) > MAX_PLACES:
            raise InputError(f"{len(self.plain)} plain places are too many", f"Use at most {MAX_PLACES}", "plain")

        check_zones(self.zones, self.pattern)
        check_panels(self.panels, self.pattern, bool(self.zones))
        forms = forms_of(self.pattern.family, self.pattern.motif)
        if self.relief.form not in forms:
            message = f"a grey picture cannot be {self.relief.form}"
            raise InputError(message, f"Choose one of {', '.join(forms)}", "relief.form")

        if self.relief.form == "pierced" and self.hollow is not None and self.hollow.floor_mm is not None:
            message = "a closed hollow under pierced cells would be open on every side"
            raise InputError(message, "Leave the hollow open (floor null), or choose another form", "hollow.floor")

    def make_band(self) -> Band:
        """The band that this design describes."""
        return Band(self.size.diameter_mm / 2.0, self.bore, self.band)

    @property
    def finish(self) -> FinishOptions:
        """What is done to the ring after its relief."""
        return FinishOptions(self.hollow, self.stones, self.plain, self.relief.form == "pierced", self.inscription)


def check_name(name: str) -> None:
    """Raises: InputError for a name that is too long or has characters that cannot be shown."""
    if len(name) > MAX_NAME:
        raise InputError(f"the name has {len(name)} characters", f"Use at most {MAX_NAME}", "name")
    if not name.isprintable():
        raise InputError("the name has characters that cannot be shown", "Use ordinary characters on one line", "name")
