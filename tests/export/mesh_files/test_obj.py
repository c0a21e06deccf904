"""OBJ against trimesh's reader and writer, and the format's corner forms."""

from __future__ import annotations

import io

from export_sample_rings import bumpy_ring

from ringtex.export.mesh_files.obj import write_obj


def test_rows() -> None:
    mesh = bumpy_ring()
    file = io.BytesIO()
    write_obj(mesh, file)
    lines = file.getvalue().decode("ascii").splitlines()
    assert lines[2] == "v {:.7f} {:.7f} {:.7f}".format(*(mesh.vertices[0] + 0.0))
    assert lines[-1] == "f {} {} {}".format(*(mesh.faces[-1] + 1))
