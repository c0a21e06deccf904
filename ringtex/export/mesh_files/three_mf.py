"""3MF: a zip package with one XML model (3MF Core Specification 1.x; its names and namespaces from memory).

Written: unit millimetre, one object, one build item, zip entries dated 1980-01-01 so that the same mesh gives the same
bytes.
"""

from __future__ import annotations

from typing import BinaryIO, Final

from ringtex.export.mesh_files.number_text import decimal_rows, whole_rows
from ringtex.solid.mesh.ring_mesh import RingMesh

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
