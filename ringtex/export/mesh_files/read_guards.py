"""What is checked in a mesh file's bytes before trimesh reads them: a small file can ask for any amount of work.

Every guard returns the bytes to hand to trimesh, without what the program has no use for (materials, pictures, names),
and the number of triangles that must come back, since trimesh drops what it does not understand without a word.
"""

from __future__ import annotations

import io
import json
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final, NoReturn

from ringtex.basics.errors import InputError
from ringtex.export.mesh_files.glb import BINARY_CHUNK, FLOAT32, JSON_CHUNK, MAGIC, TRIANGLES
from ringtex.export.mesh_files.three_mf import MODEL_PART, MODEL_RELATION

if TYPE_CHECKING:
    from zipfile import ZipFile

MAX_TRIANGLES: Final = 4_000_000
"""Reading and checking take up to 350 bytes a triangle, so that this many stay under 1.5 GB."""

MAX_CORNERS: Final = 64
"""Corners of one polygon. Rings are exported as triangles, and sometimes as quadrilaterals."""

MAX_INSTANCES: Final = 10_000
"""Placed copies of objects in one file."""

MAX_DEPTH: Final = 64
"""Objects within objects."""

MAX_TEXT: Final = 60_000_000
"""Bytes of text: 1.5 million triangles as OBJ, some 10 seconds and 1 GB."""

MAX_TAGS: Final = 1_100_000
"""XML tags of a 3MF model, at some 1,200 bytes of memory each: 700,000 triangles and their vertices."""

MAX_BYTES: Final = 100_000_000
"""Of a model unpacked from a package, and of a scene's arrays all together."""

MAX_COMPRESSION: Final = 200
"""Text of coordinates compresses by 5 to 15; a package that claims far more is a trap for the memory."""

_AGAIN: Final = "Export the mesh again"
_BINARY: Final = "Export it as binary STL or PLY"
_COARSER: Final = "Export the mesh coarser, and as one plain object"


@dataclass(frozen=True)
class Guarded:
    """Bytes that trimesh may read, and how many triangles they hold."""

    data: bytes
    triangles: int


def refuse_many(triangles: int) -> None:
    """Raise InputError where more triangles are declared, or come out of copies, than are read."""
    if triangles > MAX_TRIANGLES:
        raise InputError(f"The file holds {triangles} triangles, more than {MAX_TRIANGLES // 10**6} million", _COARSER)


def _refuse_text(data: bytes) -> None:
    if len(data) > MAX_TEXT:
        raise InputError(f"The file is text of more than {MAX_TEXT // 10**6} MB", _BINARY)


def guard_text_stl(data: bytes) -> Guarded:
    """Text STL: it must end with endsolid and have three corners a facet."""
    _refuse_text(data)
    if b"endsolid" not in data[-1000:].lower():
        raise InputError("The file is cut off: it does not end with endsolid", "Export or copy the file again")
    corners = len(re.findall(rb"(?im)^\s*vertex\b", data))
    if corners % 3 != 0 or corners != len(re.findall(rb"(?i)vertex", data)):
        raise InputError("The file has a facet without three corners", _AGAIN)
    refuse_many(corners // 3)
    return Guarded(data, corners // 3)


_PLAIN_FACE: Final = re.compile(rb"f [1-9]\d* [1-9]\d* [1-9]\d*\s*").fullmatch


def guard_obj(data: bytes) -> Guarded:
    """OBJ: only vertices and faces are passed on, without textures and normals; relative indices are refused."""
    _refuse_text(data)
    if b"\0" in data:
        raise InputError("This is not an OBJ file (it is not text)", _AGAIN)
    data = data.replace(b"\\\n", b" ") if b"\\" in data else data
    rows: list[bytes] = []
    triangles = 0
    for number, line in enumerate(io.BytesIO(data), start=1):  # a list of all lines would be many times the file
        kind = line[:2]
        if kind in (b"v ", b"v\t"):
            words = line.split(None, 4)[:4]
            if len(words) < 4:
                raise InputError(f"Line {number} does not hold three numbers", _AGAIN)
            rows.append(b" ".join(words))
        elif _PLAIN_FACE(line):
            rows.append(line.rstrip())
            triangles += 1
        elif kind in (b"f ", b"f\t", b"f\n"):
            words = line.split(None, MAX_CORNERS + 1)
            rows.append(_obj_face(words, number))
            triangles += len(words) - 3
    refuse_many(triangles)
    return Guarded(b"\n".join(rows), triangles)


def _obj_face(words: list[bytes], number: int) -> bytes:
    """The line of one face, vertex indices only."""
    corners = [word.split(b"/", 1)[0] for word in words[1:]]
    if any(corner[:1] == b"-" for corner in corners):
        advice = "Export it again with indices that count from the first vertex"
        raise InputError(f"Line {number} counts its vertices backwards", advice)
    if len(corners) > MAX_CORNERS:
        raise InputError(f"Line {number} is a polygon of more than {MAX_CORNERS} corners", "Export triangles")
    if len(corners) < 3 or not all(corner.isdigit() and corner.strip(b"0") for corner in corners):
        raise InputError(f"Line {number} is not a face of vertex numbers from 1 on", _AGAIN)
    return b"f " + b" ".join(corners)


_PLY_SIZES: Final = {
    **dict.fromkeys(("char", "int8", "uchar", "uint8"), 1),
    **dict.fromkeys(("short", "int16", "ushort", "uint16"), 2),
    **dict.fromkeys(("int", "int32", "uint", "uint32", "float", "float32"), 4),
    **dict.fromkeys(("double", "float64"), 8),
}
_PLY_HEADER: Final = 1 << 16
_PLY_TEXT: Final = b"0123456789+-.eE \t\r\nnaifNAIF"


def guard_ply(data: bytes) -> Guarded:
    """PLY: the rows that the header declares must have room in the file; rows of text must be numbers."""
    end = data.find(b"end_header", 0, _PLY_HEADER)
    start = data.find(b"\n", end) + 1
    if not data.startswith(b"ply") or end < 0 or start == 0:
        raise InputError("This is not a PLY file", _AGAIN)
    elements, text = _ply_header(data[:end])
    if not {"vertex", "face"} <= elements.keys():
        raise InputError("The file has no vertices or no faces", _AGAIN)
    refuse_many(elements["face"][0])
    refuse_many(elements["vertex"][0] // 3)
    room = len(data) - start
    for name, (count, size, fewest_words) in elements.items():
        room -= count * (2 * fewest_words if text else size)
        if room < (-1 if text else 0):  # the last row of text may lack its end
            raise InputError(f"The {count} {name} rows are cut off or damaged", _AGAIN)
    if room > elements["face"][0] * 8 * MAX_CORNERS and len(elements) == 2:
        raise InputError(f"A polygon of the file has more than {MAX_CORNERS} corners", "Export triangles")
    if text:
        _refuse_ply_text(data[start:], elements)
    lines = [line for line in data[:end].splitlines() if not line.startswith((b"comment", b"obj_info"))]
    return Guarded(b"\n".join(lines) + b"\nend_header\n" + data[start:], elements["face"][0])


def _ply_header(header: bytes) -> tuple[dict[str, tuple[int, int, int]], bool]:
    """By element its count, the bytes and the words of its shortest row; whether the data are text."""
    elements: dict[str, tuple[int, int, int]] = {}
    text, name = False, ""
    for line in header.decode("latin-1").splitlines()[1:]:
        words = line.split()
        try:
            if words[:1] == ["format"]:
                text = {"ascii": True, "binary_little_endian": False, "binary_big_endian": False}[words[1]]
            elif words[:1] == ["element"]:
                name, count = words[1], int(words[2])
                if count < 0 or name in elements:
                    raise ValueError
                elements[name] = (count, 0, 0)
            elif words[:1] == ["property"]:
                count, size, fewest = elements[name]
                size += _PLY_SIZES[words[2 if words[1] == "list" else 1]]
                if words[1] == "list" and name == "face" and words[-1].startswith("vertex"):
                    size, fewest = size + 3 * _PLY_SIZES[words[3]], fewest + 3
                elements[name] = (count, size, fewest + 1)
        except (IndexError, KeyError, ValueError) as error:
            raise InputError(f"The PLY header has a line that is not understood: {line[:60]}", _AGAIN) from error
    return elements, text


def _refuse_ply_text(body: bytes, elements: dict[str, tuple[int, int, int]]) -> None:
    """Rows of text: numbers only, as many as declared, no face index with a fraction."""
    _refuse_text(body)
    if body.translate(None, _PLY_TEXT):
        raise InputError("A row of the file does not hold numbers", _AGAIN)
    declared = sum(count for count, _, _ in elements.values())
    rows = body.splitlines()
    if not declared <= len(rows) <= declared + 64:
        raise InputError(f"The file has {len(rows)} rows and declares {declared}: it is cut off or damaged", _AGAIN)
    if max(map(len, rows), default=0) > 32 * MAX_CORNERS:
        raise InputError(f"A row of the file has more than {MAX_CORNERS} numbers", "Export triangles")
    before = 0
    for name, (count, _, _) in elements.items():
        if name == "face" and b"." in b"".join(rows[before : before + count]):
            raise InputError("A face of the file names a vertex by a number with a fraction", _AGAIN)
        before += count


_TAG: Final = re.compile(rb"<(?:[^\s<>/]*:)?(object|component|item|Relationship)\b([^>]*)")
_ATTRIBUTE: Final = re.compile(rb"""(?:^|[\s:])(\w+)\s*=\s*["']([^"']*)["']""")


def guard_three_mf(data: bytes) -> Guarded:
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
        raise InputError("The package's model is not plain UTF-8, or has a document type", _BINARY)
    if model.count(b"<") > MAX_TAGS:
        raise InputError(f"The package's model has more than {MAX_TAGS:,} vertices and triangles", _BINARY)
    triangles = _built_triangles(model)
    plain = io.BytesIO()
    with ZipFile(plain, "w", ZIP_STORED) as package:
        package.writestr(MODEL_PART, model)
    return Guarded(plain.getvalue(), triangles)


def _unpacked(package: ZipFile, name: str) -> bytes:
    """One file of the package, if its size is believable."""
    info = package.getinfo(name)
    if info.compress_type not in (0, 8):
        raise InputError("The package is packed in a way that the format forbids", _BINARY)
    if info.file_size > min(MAX_BYTES, MAX_COMPRESSION * info.compress_size + 10_000):
        raise InputError("The model inside is unbelievably large for its package", _BINARY)
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
            raise InputError("The package assembles its object from several model files", _COARSER)
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
        raise InputError("The package builds nothing", _AGAIN)
    return _counted_copies(items, own, within)


def _counted_copies(roots: list[Any], own: dict[Any, int], within: dict[Any, list[Any]]) -> int:
    """Triangles of all roots and of what they hold, copies counted."""
    counted: dict[Any, tuple[int, int]] = {}

    def count(name: Any, depth: int) -> tuple[int, int]:
        """Triangles and instances of one object."""
        if depth > MAX_DEPTH:
            raise InputError("The objects of the file hold each other without an end", _COARSER)
        if name not in own:
            raise InputError("The file builds an object that it does not hold", _AGAIN)
        if name not in counted:
            parts = [count(part, depth + 1) for part in within[name]]
            counted[name] = own[name] + sum(part[0] for part in parts), 1 + sum(part[1] for part in parts)
        return counted[name]

    totals = [count(root, 0) for root in roots]
    refuse_many(sum(total[0] for total in totals))
    if sum(total[1] for total in totals) > MAX_INSTANCES:
        raise InputError(f"The file places more than {MAX_INSTANCES:,} copies of objects", _COARSER)
    return sum(total[0] for total in totals)


_GLTF_BYTES: Final = {5120: 1, 5121: 1, 5122: 2, 5123: 2, 5125: 4, 5126: 4}
_GLTF_NUMBERS: Final = {"SCALAR": 1, "VEC2": 2, "VEC3": 3, "VEC4": 4, "MAT2": 4, "MAT3": 9, "MAT4": 16}
_GLB_KEPT: Final = ("asset", "scene", "scenes", "nodes", "meshes", "accessors", "bufferViews", "buffers")


def guard_glb(data: bytes) -> Guarded:
    """GLB: the scene alone, its arrays within the file, its nodes a tree; triangles counted over all nodes."""
    text, binary = _glb_chunks(data)
    try:
        document = json.loads(text.decode("utf-8"))
        if document.get("extensionsRequired"):
            raise InputError(
                "The file needs an extension of the format that is not read", "Export it without compression"
            )
        scene = {key: document[key] for key in _GLB_KEPT if key in document}
        triangles = _shown_triangles(scene, len(binary))
    except (KeyError, IndexError, TypeError, ValueError, AttributeError, RecursionError, OverflowError) as error:
        raise InputError("The scene inside the file is not understood", f"{_AGAIN}, without compression") from error
    text = json.dumps(scene).encode()
    text += b" " * (-len(text) % 4)
    sizes = [28 + len(text) + len(binary), len(text), len(binary)]
    total, first, second = (size.to_bytes(4, "little") for size in sizes)
    head = MAGIC + (2).to_bytes(4, "little") + total
    return Guarded(head + first + JSON_CHUNK + text + second + BINARY_CHUNK + binary, triangles)


def _glb_chunks(data: bytes) -> tuple[bytes, bytes]:
    """The JSON and the binary chunk."""
    if data[:4] != MAGIC or len(data) < 20:
        raise InputError("This is not a GLB file", _AGAIN)
    version, length = (int.from_bytes(data[at : at + 4], "little") for at in (4, 8))
    if version != 2:
        raise InputError(f"The file is of glTF version {version}, and only 2 is read", _AGAIN)
    if length != len(data):
        raise InputError(f"The file is cut off or damaged: it announces {length} bytes and has {len(data)}", _AGAIN)
    chunks: dict[bytes, bytes] = {}
    at = 12
    while at + 8 <= len(data):
        size = int.from_bytes(data[at : at + 4], "little")
        if at + 8 + size > len(data):
            raise InputError("A part of the file is longer than the file", _AGAIN)
        chunks.setdefault(data[at + 4 : at + 8], data[at + 8 : at + 8 + size])
        at += 8 + size
    if JSON_CHUNK not in chunks:
        raise InputError("The file has no scene", _AGAIN)
    return chunks[JSON_CHUNK], chunks.get(BINARY_CHUNK, b"")


def _shown_triangles(scene: dict[str, Any], binary_bytes: int) -> int:
    """Triangles of the scene, copies counted; drops what is no triangle. Raises as Python does on a damaged scene."""
    _check_arrays(scene, binary_bytes)
    meshes = [_mesh_triangles(scene, mesh) for mesh in scene["meshes"]]
    nodes = scene["nodes"]
    children = [child for node in nodes for child in node.get("children", [])]
    if len(set(children)) < len(children):
        _damaged("a node has two parents")
    for node in nodes:
        for key in ("camera", "skin", "extensions", "extras", "name", "weights"):
            node.pop(key, None)
    own = {i: meshes[_whole(node["mesh"])] if "mesh" in node else 0 for i, node in enumerate(nodes)}
    within = {i: node.get("children", []) for i, node in enumerate(nodes)}
    return _counted_copies(scene["scenes"][scene.get("scene", 0)]["nodes"], own, within)


def _mesh_triangles(scene: dict[str, Any], mesh: dict[str, Any]) -> int:
    """Triangles of one mesh, which keeps only its primitives of triangles."""
    mesh["primitives"] = [each for each in mesh["primitives"] if each.get("mode", TRIANGLES) == TRIANGLES]
    corners = 0
    for primitive in mesh["primitives"]:
        place = primitive["attributes"]["POSITION"]
        primitive.pop("material", None)
        primitive.pop("extensions", None)
        primitive["attributes"] = {"POSITION": place}
        accessor = scene["accessors"][_whole(place)]
        if accessor["componentType"] != FLOAT32 or accessor["type"] != "VEC3":
            _damaged("positions are not float32")
        count = accessor["count"]
        if "indices" in primitive:
            index = scene["accessors"][_whole(primitive["indices"])]
            if index["componentType"] not in (5121, 5123, 5125) or index["type"] != "SCALAR":
                _damaged("indices are not whole numbers")
            refuse_many(count // 3)
            count = index["count"]
        if count % 3:
            _damaged("a triangle without three corners")
        corners += count
    return corners // 3


def _check_arrays(scene: dict[str, Any], binary_bytes: int) -> None:
    """Every array lies within the file, and all together are not many times as large."""
    views, accessors = scene["bufferViews"], scene["accessors"]
    if any("uri" in buffer for buffer in scene["buffers"]):
        _damaged("data outside the file")
    for view in views:
        if view["buffer"] != 0 or _whole(view.get("byteOffset", 0)) + _whole(view["byteLength"]) > binary_bytes:
            _damaged("a view beyond the data")
    total = sum(view["byteLength"] for view in views)
    for accessor in accessors:
        if "sparse" in accessor or _whole(accessor["count"]) < 1:
            _damaged("a sparse or empty array")
        row = _GLTF_BYTES[accessor["componentType"]] * _GLTF_NUMBERS[accessor["type"]]
        view = views[_whole(accessor["bufferView"])]
        step = _whole(view.get("byteStride", row))
        size = step * (accessor["count"] - 1) + row
        if step < row or _whole(accessor.get("byteOffset", 0)) + size > view["byteLength"]:
            _damaged("the data are cut off")
        total += size
    if total > 3 * MAX_BYTES:
        raise InputError("The file lists the same data many times over", _COARSER)


def _whole(number: Any) -> int:
    if not isinstance(number, int) or not 0 <= number < 1 << 40:
        _damaged("not a whole number")
    return number


def _damaged(reason: str) -> NoReturn:
    raise ValueError(reason)
