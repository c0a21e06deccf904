"""3MF: a zip package with one XML model (3MF Core Specification 1.x; its names and namespaces from memory).

Written: unit millimetre, one object, one build item, zip entries dated 1980-01-01 so that the same mesh gives the same
bytes.
"""

from __future__ import annotations

import io
import re
from typing import TYPE_CHECKING, Any, BinaryIO, Final

from ringtex.basics.errors import InputError
from ringtex.export.mesh_files.mesh_format import TEXT_ROUNDING, MeshFormat
from ringtex.export.mesh_files.number_text import decimal_rows, whole_rows
from ringtex.export.mesh_files.read_limits import AGAIN, AS_BINARY, COARSER, MAX_BYTES, Guarded, counted_copies
from ringtex.export.mesh_files.trimesh_reading import checked_mesh, read_with_trimesh
from ringtex.solid.mesh.ring_mesh import RingMesh

if TYPE_CHECKING:
    from zipfile import ZipFile

CORE: Final = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
"""The core specification's XML namespace."""

MODEL_RELATION: Final = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"
"""The package relationship that points to the model."""

MODEL_PART: Final = "3D/3dmodel.model"

# The text between the numbers of a row.
VERTEX: Final = ((b'<vertex x="', b'" y="', b'" z="'), b'"/>\n')
TRIANGLE: Final = ((b'<triangle v1="', b'" v2="', b'" v3="'), b'"/>\n')

_DECLARATION = '<?xml version="1.0" encoding="UTF-8"?>\n'

_CONTENT_TYPES = (
    _DECLARATION + '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>\n'
)
_RELATIONS = (
    _DECLARATION + '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
    f'<Relationship Id="model" Type="{MODEL_RELATION}" Target="/{MODEL_PART}"/></Relationships>\n'
)
_MODEL_BEGIN = (
    _DECLARATION + f'<model unit="millimeter" xml:lang="en-US" xmlns="{CORE}">\n'
    '<metadata name="Application">ringtex</metadata>\n<resources>\n<object id="1" type="model" name="ring">\n<mesh>\n'
)
_MODEL_END = '</mesh>\n</object>\n</resources>\n<build>\n<item objectid="1"/>\n</build>\n</model>\n'

# Level 1 makes files 8 % larger than level 6 in a seventh of the time.
_LEVEL = 1


def write_three_mf(mesh: RingMesh, file: BinaryIO) -> None:
    """Write the package; coordinates with seven decimals."""
    from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

    def entry(name: str) -> ZipInfo:
        info = ZipInfo(name, date_time=(1980, 1, 1, 0, 0, 0))
        info.compress_type = ZIP_DEFLATED
        info.create_system = 0  # the same on every system
        return info

    with ZipFile(file, "w", ZIP_DEFLATED, compresslevel=_LEVEL) as package:
        package.writestr(entry("[Content_Types].xml"), _CONTENT_TYPES, compresslevel=_LEVEL)
        package.writestr(entry("_rels/.rels"), _RELATIONS, compresslevel=_LEVEL)
        model_entry = entry(MODEL_PART)
        model_entry._compresslevel = _LEVEL  # type: ignore[attr-defined]  # ZipFile.open takes it from nowhere else
        with package.open(model_entry, "w") as model:
            model.write(_MODEL_BEGIN.encode("utf-8"))
            model.write(b"<vertices>\n")
            model.writelines(decimal_rows(mesh.vertices, *VERTEX))
            model.write(b"</vertices>\n<triangles>\n")
            model.writelines(whole_rows(mesh.faces, *TRIANGLE))
            model.write(b"</triangles>\n")
            model.write(_MODEL_END.encode("utf-8"))


def read_three_mf(data: bytes, trusted: bool = False) -> RingMesh:
    """Read all objects that the package builds, in mm, as one mesh.

    Raises InputError: not a package, damaged, larger inside than it can honestly be, an unknown unit.
    """
    return checked_mesh(*read_with_trimesh(Guarded(data, 0) if trusted else _guarded(data), "3mf", postprocess=False))


MAX_TAGS: Final = 1_100_000
"""XML tags of a model, at some 1,200 bytes of memory each: 700,000 triangles and their vertices."""

MAX_COMPRESSION: Final = 200
"""Text of coordinates compresses by 5 to 15; a package that claims far more is a trap for the memory."""

_TAG: Final = re.compile(rb"<(?:[^\s<>/]*:)?(object|component|item|Relationship)\b([^>]*)")
_ATTRIBUTE: Final = re.compile(rb"""(?:^|[\s:])(\w+)\s*=\s*["']([^"']*)["']""")


def _guarded(data: bytes) -> Guarded:
    """3MF: the model unpacked within bounds; triangles counted over all placed copies of objects."""
    import struct
    import zlib
    from zipfile import ZIP_STORED, BadZipFile, ZipFile

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
            relations = _unpacked(package, "_rels/.rels") if "_rels/.rels" in package.namelist() else b""
            model = _unpacked(package, _model_name(relations))
    except damage as error:
        raise InputError("This is not a 3MF package, or it is damaged", "Export or copy the file again") from error
    if b"<!DOCTYPE" in model or b"\0" in model:
        raise InputError("The package's model is not plain UTF-8, or has a document type", AS_BINARY)
    if model.count(b"<") > MAX_TAGS:
        raise InputError(f"The package's model has more than {MAX_TAGS:,} vertices and triangles", AS_BINARY)
    triangles = _built_triangles(model)
    plain = io.BytesIO()
    with ZipFile(plain, "w", ZIP_STORED) as package:
        package.writestr(MODEL_PART, model)
    return Guarded(plain.getvalue(), triangles)


def _unpacked(package: ZipFile, name: str) -> bytes:
    """One file of the package, if its size is believable."""
    info = package.getinfo(name)
    if info.compress_type not in (0, 8):
        raise InputError("The package is packed in a way that the format forbids", AS_BINARY)
    if info.file_size > min(MAX_BYTES, MAX_COMPRESSION * info.compress_size + 10_000):
        raise InputError("The model inside is unbelievably large for its package", AS_BINARY)
    return package.read(name)


def _attributes(text: bytes) -> dict[str, str]:
    return {name.decode(): value.decode("utf-8", "replace") for name, value in _ATTRIBUTE.findall(text)}


def _model_name(relations: bytes) -> str:
    """The entry that the package's relationships name as the model, else the usual one."""
    for kind, text in _TAG.findall(relations):
        given = _attributes(text)
        if kind == b"Relationship" and given.get("Type") == MODEL_RELATION:
            return given.get("Target", "").lstrip("/")
    return MODEL_PART


def _built_triangles(model: bytes) -> int:
    """Triangles of everything that the model builds, copies counted; InputError for too many, or for what is missing.

    Tags in comments count as well, so that the number is never too small.
    """
    own: dict[Any, int] = {}
    within: dict[Any, list[Any]] = {}
    items: list[Any] = []
    current = ""
    tags = list(_TAG.finditer(model))
    for tag, following in zip(tags, [*tags[1:], None], strict=False):
        given = _attributes(tag[2])
        if "path" in given:
            raise InputError("The package assembles its object from several model files", COARSER)
        name = given.get("objectid", "")
        if tag[1] == b"object":
            name = given.get("id", "")
            within.setdefault(name, [])
            own.setdefault(name, 0)
            current = name
        elif tag[1] == b"component" and own:
            within[current].append(name)
        elif tag[1] == b"item":
            items.append(name)
        if own:
            end = following.start() if following else len(model)
            own[current] += len(re.findall(rb"<(?:[^\s<>/]*:)?triangle\b", model[tag.start() : end]))
    if not items:
        raise InputError("The package builds nothing", AGAIN)
    return counted_copies(items, own, within)


THREE_MF: Final = MeshFormat(
    "3MF", ".3mf", write_three_mf, read_three_mf, TEXT_ROUNDING, "triangles with their unit, packed; for newer slicers"
)
