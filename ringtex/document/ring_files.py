"""Writing a built ring: its mesh in any format and its picture, and what is refused."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from ringtex.basics.errors import Cancelled, InputError, RingtexError, SelfCheckError
from ringtex.basics.guarded_files import is_folder, refuse_unusable_folder, shown_path
from ringtex.basics.safe_files import output_error
from ringtex.checks.finding import Finding, Kind, Level
from ringtex.export.mesh_files.casting_pattern import casting_mesh
from ringtex.export.mesh_files.mesh_files import format_of, write_mesh

if TYPE_CHECKING:
    from ringtex.basics.progress import Progress
    from ringtex.design.design import Design
    from ringtex.make_ring import BuiltRing

OUR_FAULT: Final = {
    Kind.NOT_CLOSED,
    Kind.NOT_ORIENTED,
    Kind.NOT_ONE_BODY,
    Kind.WRONG_GENUS,
    Kind.INSIDE_OUT,
    Kind.SEAM_OPEN,
}
"""Errors that no design may lead to: the mesh's promise is broken."""

BREAKS_OUT: Final = {Kind.STONES_CLOSE, Kind.STONE_AT_EDGE, Kind.STONE_AT_RIM, Kind.THIN_WEB}
"""Findings of cuts that run into each other or out of the ring: what they leave may be no sound body."""


class StoppedPartway(Cancelled):
    """The user stopped the work after some files had been written, each of them whole."""

    def __init__(self, names: list[str]) -> None:
        RingtexError.__init__(self, "Stopped", f"Already written: {', '.join(names)}")


def refuse_unusable_targets(out: Sequence[str], picture: str | None) -> None:
    """Refuse before any work what would only fail after it. Raises: InputError."""
    if not out and picture is None:
        advice = "Name a mesh with --out FILE, or a picture with --picture FILE"
        raise InputError("there is nothing to write", advice)
    for name in out:
        format_of(name)
    if picture is not None and not picture.lower().endswith(".png"):
        raise InputError("a picture's name must end in .png", "Change the ending", picture)
    targets = [name for name in (*out, picture) if name is not None]
    places = [_absolute(name) for name in targets]
    for name, place in zip(targets, places, strict=True):
        if places.count(place) > 1:
            raise InputError("this file is named twice", "Name each file once", name)
        refuse_unusable_place(name)


def refuse_unusable_place(name: str) -> None:
    """Refuse a file that could not be written for its place. Raises: InputError, OutputError."""
    place = _absolute(name)
    refuse_unusable_folder(place.parent, shown_path(name))
    if is_folder(place, shown_path(name)):
        raise InputError("this is a folder", "Give the name of a file inside it", name)


def _absolute(name: str) -> Path:
    try:
        return Path(name).absolute()
    except OSError as error:
        # The folder that the program works in has been removed.
        raise output_error(error, shown_path(name)) from error


def refuse_stones_of_none(design: Design) -> None:
    """Raises: InputError where a design has no stones that could be written."""
    if not design.stones:
        raise InputError("the design has no stones to write", "Leave --stones away, or set some", "stones")


def refuse_unsound(findings: Sequence[Finding]) -> None:
    """Refuse a ring whose mesh would not bound a body.

    Raises: InputError where the design asks for the impossible (a relief that folds or comes out through the bore);
    SelfCheckError where the fault is ours.
    """
    errors = [finding for finding in findings if finding.level is Level.ERROR]
    # A relief that folds tears the mesh when stones are cut into it: the cause is named before what it leads to.
    for finding in errors:
        through = finding.kind is Kind.THIN_METAL and finding.measured is not None and finding.measured <= 0.0
        if through or finding.kind is Kind.FOLDED_RELIEF:
            raise InputError(finding.message, finding.advice, finding.where)
    broken_out = [finding for finding in errors if finding.kind in BREAKS_OUT]
    for finding in errors:
        if finding.kind in OUR_FAULT and broken_out:
            cause = broken_out[0]
            raise InputError(f"{cause.message}: no sound body is left", cause.advice, cause.where)
        if finding.kind in OUR_FAULT:
            raise SelfCheckError(finding.message, "This is a fault of ringtex: please report the design", finding.where)


def write_files(built: BuiltRing, out: Sequence[str], picture: str | None, progress: Progress) -> list[dict[str, Any]]:
    """Write every mesh and the picture, each beside its target and then in its place.

    Parameters:
        built: the ring as it was built.
        out: mesh files, the ending picks the format.
        picture: picture file, or None.
        progress: told of the work and asked whether to stop.
    Returns: for each file its name, format and size.
    Raises: OutputError, Cancelled; both name what was written before.
    """
    mesh = casting_mesh(built.finished.mesh, built.strip.band, built.design.make)
    begin = progress.fraction
    files: list[dict[str, Any]] = []
    try:
        for count, name in enumerate(out, start=1):
            until = begin + (1.0 - begin) * count / (len(out) + 1)
            written = write_mesh(mesh, name, progress, until)
            files.append({"file": name, "format": written.format, "bytes": written.bytes})
        if picture is not None:
            with progress.stage("picture", 1.0):
                _draw(built, picture)
            files.append({"file": picture, "format": "PNG", "bytes": Path(picture).stat().st_size})
    except RingtexError as error:
        raise with_written(error, [file["file"] for file in files]) from error
    return files


def write_stones(built: BuiltRing, name: str, progress: Progress) -> dict[str, Any]:
    """Write the stones apart from the ring, in their places and their own size: no shrinkage is theirs.

    Parameters:
        built: the ring as it was built.
        name: of the mesh file.
        progress: told of the work and asked whether to stop.
    Returns: the file's name, format and size.
    Raises: OutputError, Cancelled.
    """
    written = write_mesh(built.finished.stones_mesh(), name, progress, 1.0)
    return {"file": name, "format": written.format, "bytes": written.bytes}


def with_written(error: RingtexError, names: list[str]) -> RingtexError:
    """The error, telling which files had been written before it."""
    if not names:
        return error
    if isinstance(error, Cancelled):
        return StoppedPartway(names)
    return type(error)(error.message, f"{error.advice}. Already written: {', '.join(names)}", error.where)


def _draw(built: BuiltRing, picture: str) -> None:
    from ringtex.export.picture.picture import write_picture

    write_picture(built.finished.mesh, picture, built.design.make.alloy)
