"""Reading 3MF packages, this program's and others'."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

import numpy as np

from ringtex.basics.arrays import Floats, Longs
from ringtex.basics.errors import InputError
from ringtex.export.mesh_files.number_text import read_decimals, read_whole
from ringtex.export.mesh_files.read_checks import checked_mesh
from ringtex.export.mesh_files.three_mf import CORE, MODEL_PART, MODEL_RELATION, TRIANGLE, VERTEX
from ringtex.solid.mesh.ring_mesh import RingMesh

if TYPE_CHECKING:
    from zipfile import ZipFile


_UNITS_MM: Final = {
    "micron": 0.001,
    "millimeter": 1.0,
    "centimeter": 10.0,
    "inch": 25.4,
    "foot": 304.8,
    "meter": 1000.0,
}
_LARGEST_MODEL = 1 << 30
# Text of coordinates shrinks by 5 to 15; a package that claims far more is a trap for the memory.
_LARGEST_SHRINKAGE = 200
_AGAIN = "Export the mesh again"


@dataclass
class _Object:
    """One object's mesh as it is read."""

    vertices: list[tuple[float, float, float]] = field(default_factory=list)
    triangles: list[tuple[int, int, int]] = field(default_factory=list)

    def arrays(self) -> tuple[Floats, Longs]:
        """Vertices (n, 3), triangles (m, 3)."""
        return (
            np.array(self.vertices, dtype=np.float64).reshape(-1, 3),
            np.array(self.triangles, dtype=np.int64).reshape(-1, 3),
        )


@dataclass
class _Model:
    """What the XML says: unit, objects by id, build items (object id, transform or "")."""

    unit: str = "millimeter"
    objects: dict[str, _Object] = field(default_factory=dict)
    items: list[tuple[str, str]] = field(default_factory=list)

    def begin(self, name: str, given: dict[str, str]) -> None:
        """Take in one opening tag (expat's start element)."""
        space, _, tag = name.rpartition(" ")
        if space != CORE:
            return
        if tag == "vertex":
            place = (float(given["x"]), float(given["y"]), float(given["z"]))
            next(reversed(self.objects.values())).vertices.append(place)
        elif tag == "triangle":
            corners = (int(given["v1"]), int(given["v2"]), int(given["v3"]))
            if max(corners) >= 1 << 31:
                raise ValueError
            next(reversed(self.objects.values())).triangles.append(corners)
        elif tag == "object":
            self.objects[given["id"]] = _Object()
        elif tag == "item":
            self.items.append((given["objectid"], given.get("transform", "")))
        elif tag == "model":
            self.unit = given.get("unit", "millimeter")
        elif tag == "component":
            raise InputError("The package assembles its object from components", "Export it as one plain object")


def read_three_mf(data: bytes) -> RingMesh:
    """Read all objects that the package builds, in mm, as one mesh.

    Raises InputError: not a package, damaged, larger inside than it can honestly be, no model, components.
    """
    outline, vertices, triangles = _plain_rows(_model_text(data))
    model = _Model()
    _parse(outline, model.begin)
    if model.unit not in _UNITS_MM:
        raise InputError(f"The unit {model.unit[:20]!r} is not one of the format's", _AGAIN)
    places: list[Floats] = []
    corners: list[Longs] = []
    count = 0
    for identity, transform in model.items:
        if identity not in model.objects:
            raise InputError("The package builds an object that it does not hold", _AGAIN)
        points, faces = model.objects[identity].arrays() if vertices is None else (vertices, triangles)
        places.append(_placed(points, transform) * _UNITS_MM[model.unit])
        corners.append(faces + count)
        count += len(points)
        if count > _LARGEST_MODEL // 100:
            raise InputError("The package builds the same object too many times", _AGAIN)
    if not places:
        raise InputError("The package builds nothing", _AGAIN)
    return checked_mesh(np.concatenate(places), np.concatenate(corners))


def _model_text(data: bytes) -> bytes:
    """The model's XML, taken out of the package."""
    import struct
    import zlib
    from zipfile import BadZipFile, ZipFile

    # What a damaged package makes zipfile raise: a password flag (RuntimeError) and unknown methods included.
    damage = (
        BadZipFile,
        zlib.error,
        struct.error,
        RuntimeError,
        EOFError,
        ValueError,
        OSError,
        KeyError,
        OverflowError,
    )
    try:
        with ZipFile(io.BytesIO(data)) as package:
            relations = _entry(package, "_rels/.rels") if "_rels/.rels" in package.namelist() else b""
            return _entry(package, _model_name(relations))
    except damage as error:
        raise InputError("This is not a 3MF package, or it is damaged", "Export or copy the file again") from error


def _entry(package: ZipFile, name: str) -> bytes:
    """One file of the package, if its size is believable."""
    info = package.getinfo(name)
    if info.compress_type not in (0, 8):
        raise InputError("The package is packed in a way that the format forbids", _AGAIN)
    if info.file_size > min(_LARGEST_MODEL, _LARGEST_SHRINKAGE * info.compress_size + 10_000):
        raise InputError("The model inside is unbelievably large for its package", _AGAIN)
    return package.read(name)


def _model_name(relations: bytes) -> str:
    """The entry that the package's relationships name as the model, else the usual one."""
    targets: list[str] = []

    def begin(name: str, given: dict[str, str]) -> None:
        if name.endswith(" Relationship") and given.get("Type") == MODEL_RELATION:
            targets.append(given.get("Target", "").lstrip("/"))

    if relations:
        _parse(relations, begin)
    return targets[0] if targets else MODEL_PART


def _parse(text: bytes, begin: Callable[[str, dict[str, str]], None]) -> None:
    """Run the XML parser; `begin` gets each opening tag as "namespace name" and its attributes."""
    from xml.parsers.expat import ExpatError, ParserCreate

    if b"<!DOCTYPE" in text:
        raise InputError("The package's XML has a document type, which the format forbids", _AGAIN)
    parser = ParserCreate(namespace_separator=" ")
    parser.StartElementHandler = begin
    try:
        parser.Parse(text, True)
    except ExpatError as error:
        raise InputError(f"The package's XML is damaged ({error})", _AGAIN) from error
    except (KeyError, ValueError, StopIteration, LookupError) as error:
        raise InputError(
            f"The model has a row that is not understood, at line {parser.CurrentLineNumber}", _AGAIN
        ) from error


def _plain_rows(text: bytes) -> tuple[bytes, Floats | None, Longs]:
    """Take the rows out of a model that is written as this program writes them.

    Returns: the text without the rows, vertices and triangles; where anything is different, the whole text and None, so
    that the XML parser reads it all.
    """
    whole_text = (text, None, np.zeros((0, 3), dtype=np.int64))
    tags = (b"<vertices>\n", b"</vertices>", b"<triangles>\n", b"</triangles>")
    if any(text.count(tag) != 1 for tag in (*tags, b"<object ")):
        return whole_text
    v_begin, v_end, t_begin, t_end = (text.index(tag) for tag in tags)
    v_begin, t_begin = v_begin + len(tags[0]), t_begin + len(tags[2])
    if not v_begin <= v_end < t_begin <= t_end:
        return whole_text
    vertex_rows = _plain_numbers(text[v_begin:v_end], *VERTEX)
    triangle_rows = _plain_numbers(text[t_begin:t_end], *TRIANGLE)
    if vertex_rows is None or triangle_rows is None:
        return whole_text
    try:
        vertices, triangles = read_decimals(vertex_rows, 3), read_whole(triangle_rows, 3)
    except InputError:
        return whole_text
    outline = text[:v_begin] + text[v_end:t_begin] + text[t_end:]
    return outline, vertices, triangles


def _plain_numbers(section: bytes, before: tuple[bytes, ...], after: bytes) -> bytes | None:
    """Lines of three numbers, from rows that are exactly before[0] number before[1] ... after; None where one is not.

    Each piece of text becomes a mark of its own; if nothing but marks in their order and digits is left, it is so.
    """
    marks = b"< \t"
    if any(mark in section for mark in (b"\t", b"\r")):
        return None
    for i, piece in enumerate(before):
        section = section.replace(piece, marks[i : i + 1])
    section = section.replace(after, b"\n")
    if section.translate(None, b"0123456789.-") != b"< \t\n" * section.count(b"\n"):
        return None
    return section.translate(None, b"<")


def _placed(points: Floats, transform: str) -> Floats:
    """Points under an item's transform: twelve numbers, the rows of the 4 x 3 matrix that multiplies row vectors."""
    if not transform:
        return points
    try:
        matrix = np.array([float(word) for word in transform.split()]).reshape(4, 3)
    except ValueError as error:
        raise InputError("A build item's transform is not twelve numbers", _AGAIN) from error
    with np.errstate(all="ignore"):  # what overflows is refused with the coordinates
        placed: Floats = points @ matrix[:3] + matrix[3]
    return placed
