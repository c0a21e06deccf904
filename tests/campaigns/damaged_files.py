"""Damaged files of every kind, read one after another: each is taken or refused in a sentence, nothing else.

    PYTHONPATH=. python3 tests/campaigns/damaged_files.py [COUNT] [--seed SEED] [--keep FOLDER]

Kinds: designs, patterns, recovery files, meshes in all formats, drawings, grey pictures, fonts. Damage: bytes changed,
cut, doubled, swapped between files, numbers made absurd, brackets nested. Kinds take turns. What goes wrong is made
as short as it can be and kept in the folder, with what happened beside it. Ends with 1 where anything did.
"""

from __future__ import annotations

import argparse
import io
import json
import random
import re
import resource
import sys
import tempfile
import time
import traceback
import warnings
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import numpy as np
from PIL import Image

from ringtex.basics.errors import RingtexError, SelfCheckError
from ringtex.basics.progress import Progress
from ringtex.design.design_file import design_to_json, read_design, read_pattern
from ringtex.document.autosave import damaged_files, lost_work
from ringtex.export.mesh_files.mesh_files import MESH_FORMATS, read_mesh, write_mesh
from ringtex.make_ring import make_ring
from ringtex.pattern.picture.import_picture import read_drawing_or_picture

ROOT = Path(__file__).resolve().parents[2]
SLOW_SECONDS = 20.0
"""No file may take longer."""

SHRINK_TRIES = 200
ABSURD = (b"1e400", b"-1", b"NaN", b"99999999999999999999", b"null", b'"x"', b"[" * 50, b"1e-300", b"{}", b"\xff\xfe")

DRAWING = """<svg xmlns="http://www.w3.org/2000/svg" width="20mm" height="10mm" viewBox="0 0 200 100"><style>
.a{fill:none;stroke:#000;stroke-width:4}</style><defs><g id="b"><circle cx="20" cy="20" r="9"/></g></defs>
<use href="#b" x="30" transform="rotate(12 9 9) scale(1.5)"/><path class="a"
d="M20 50c9 -9 30 9 40 0s5 5 9 9a5 7 30 0 1 9 9z"/>
<polygon points="100,20 140,20 120,60"/><rect x="150" y="10" width="30" height="40" rx="6"/></svg>"""
"""Shapes, styles, copies and transforms of the drawings that are read."""

Reader = Callable[[Path], object]


def sound_files() -> list[tuple[str, bytes, Reader]]:
    """An ending, sound bytes and the reader, for every kind of file."""
    demos = ROOT / "demo_patterns"
    found: list[tuple[str, bytes, Reader]] = []
    found += [(".ring.json", path.read_bytes(), read_design) for path in sorted(demos.glob("*.ring.json"))]
    found += [(".pattern.json", path.read_bytes(), read_pattern) for path in sorted(demos.glob("*.pattern.json"))]
    design = read_design(demos / "plain_flat.ring.json")
    body = {"kind": "ringtex.recovery", "path": None, "name": "x", "written": 1.0, "design": design_to_json(design)}
    found.append((".recovery.json", json.dumps(body).encode(), _recovered))
    mesh = make_ring(design, 0.03).finished.mesh
    with tempfile.TemporaryDirectory() as folder:
        for ending in MESH_FORMATS:
            path = Path(folder) / f"ring{ending}"
            write_mesh(mesh, str(path), Progress(), 1.0)
            found.append((ending, path.read_bytes(), read_mesh))
    drawings = sorted((demos / "drawings").glob("*.svg"))
    found += [(".svg", path.read_bytes(), read_drawing_or_picture) for path in drawings]
    found += [(".svg", DRAWING.encode(), read_drawing_or_picture)]
    found += [(ending, content, read_drawing_or_picture) for ending, content in _pictures()]
    fonts = sorted((ROOT / "resources" / "fonts").glob("*.ttf"))
    found += [(".ttf", path.read_bytes(), _written_with) for path in fonts[:1]]
    return found


def _pictures() -> list[tuple[str, bytes]]:
    """A slope as PNG and TIFF, of 8 and 16 bits, plain and packed."""
    found = []
    for kind in (np.uint8, np.uint16):
        slope = np.linspace(0, np.iinfo(kind).max, 40 * 30).astype(kind).reshape(30, 40)
        for ending, given in ((".png", {}), (".tif", {}), (".tif", {"compression": "tiff_lzw"})):
            stream = io.BytesIO()
            Image.fromarray(slope).save(stream, "PNG" if ending == ".png" else "TIFF", **given)
            found.append((ending, stream.getvalue()))
    return found


def _recovered(path: Path) -> object:
    return lost_work(path.parent), damaged_files(path.parent)


def _written_with(path: Path) -> object:
    from ringtex.solid.finishing.letter_outlines import text_outlines

    return text_outlines("Ring 24", str(path), 1.2, 0.005)


def damaged(sound: bytes, other: bytes, chance: random.Random) -> bytes:
    """One to four hurts, of kinds that transfers, editors and bad will do."""
    data = bytearray(sound)
    for _ in range(chance.randint(1, 4)):
        at, end = sorted(chance.randrange(len(data) + 1) for _ in range(2)) if data else (0, 0)
        end = min(end, at + chance.choice((1, 4, 64, 4096)))
        match chance.randrange(7):
            case 0:
                data[at:end] = chance.randbytes(end - at)
            case 1:
                del data[at:end]
            case 2:
                data[at:at] = data[at:end] * chance.choice((1, 2, 50))
            case 3:
                del data[at:]
            case 4:
                data[at:end] = other[at:end]
            case 5:
                numbers = list(re.finditer(rb"-?\d+(\.\d+)?", bytes(data[:200_000])))
                if numbers:
                    number = chance.choice(numbers)
                    data[number.start() : number.end()] = chance.choice(ABSURD)
            case _:
                data[at : at + 4] = chance.choice(
                    (b"\xff\xff\xff\xff", b"\0\0\0\0", b"\xff\xff\xff\x7f", b"\0\0\x80\x7f")
                )
    return bytes(data)


def outcome(data: bytes, ending: str, read: Reader, folder: Path) -> str:
    """ "read", "refused", or what went wrong."""
    path = folder / f"a{ending}"
    path.write_bytes(data)
    begun = time.monotonic()
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            read(path)
        ended = "read"
    except SelfCheckError as error:
        ended = f"called a fault of ringtex: {error}"
    except RingtexError as error:
        ended = "refused" if "\n" not in str(error) and len(str(error)) < 900 else f"no sentence: {error}"
    except Exception as error:
        ended = f"{type(error).__name__} at {_line(error)}"
    for file in folder.iterdir():
        file.unlink()
    seconds = time.monotonic() - begun
    return ended if seconds < SLOW_SECONDS else f"took {seconds:.0f} s"


def _line(error: Exception) -> str:
    frame = traceback.extract_tb(error.__traceback__)[-1]
    return f"{Path(frame.filename).name}:{frame.lineno}"


def shrunk(data: bytes, fails: Callable[[bytes], bool]) -> bytes:
    """Shorter bytes that still fail, found by leaving out ever smaller pieces."""
    piece, tries = max(len(data) // 2, 1), 0
    while piece >= 1 and tries < SHRINK_TRIES:
        at = 0
        while at < len(data) and tries < SHRINK_TRIES:
            shorter, tries = data[:at] + data[at + piece :], tries + 1
            if fails(shorter):
                data = shorter
            else:
                at += piece
        piece //= 2
    return data


def main() -> int:
    """Run the campaign."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("count", type=int, nargs="?", default=10_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--keep", type=Path, default=Path("damaged_files"))
    parser.add_argument("--seconds", type=float, default=float("inf"), help="stop after so many")
    arguments = parser.parse_args()
    chance, sound = random.Random(arguments.seed), sound_files()
    counts: Counter[tuple[str, str]] = Counter()
    kinds = [[each for each in sound if each[0] == ending] for ending in dict.fromkeys(each[0] for each in sound)]
    begun = time.monotonic()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for number in range(arguments.count):
            if time.monotonic() - begun > arguments.seconds:
                break
            alike = kinds[number % len(kinds)]
            ending, data, read = alike[number // len(kinds) % len(alike)]
            hurt = damaged(data, chance.choice(sound)[1], chance)
            ended = outcome(hurt, ending, read, folder)
            counts[ending, ended if ended in ("read", "refused") else "WRONG"] += 1
            if ended not in ("read", "refused"):
                short = shrunk(hurt, lambda some, e=ending, r=read, w=ended: outcome(some, e, r, folder) == w)
                arguments.keep.mkdir(exist_ok=True)
                (arguments.keep / f"{arguments.seed}-{number}{ending}").write_bytes(short)
                print(f"{number} {ending}: {ended} ({len(short)} bytes kept)", flush=True)
    for (ending, ended), count in sorted(counts.items()):
        print(f"{ending:<16}{ended:<10}{count:>8}")
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
    print(f"{counts.total()} files in {time.monotonic() - begun:.0f} s, seed {arguments.seed}, peak {peak:.2f} GB")
    return int(any(ended == "WRONG" for _, ended in counts))


if __name__ == "__main__":
    sys.exit(main())
