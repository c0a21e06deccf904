"""Grey pictures read, kept as text, and refused; hostile files made by hand and by Pillow."""

from __future__ import annotations

import io
import struct
import zlib
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from ringtex.basics.errors import InputError
from ringtex.pattern.motif.motif_options import MotifOptions
from ringtex.pattern.picture.grey_options import GreyOptions
from ringtex.pattern.picture.grey_reader import picture_from_text, picture_text, read_grey, reduced
from ringtex.pattern.picture.import_picture import read_picture


def saved(picture: Image.Image, kind: str, **given: object) -> bytes:
    stream = io.BytesIO()
    picture.save(stream, kind, **given)
    return stream.getvalue()


def png(columns: int, rows: int, depth: int, colour: int, data: bytes) -> bytes:
    """A PNG chunk by chunk. Source: W3C Portable Network Graphics Specification, section 5 (chunk layout, IHDR)."""

    def chunk(name: bytes, content: bytes) -> bytes:
        return struct.pack(">I", len(content)) + name + content + struct.pack(">I", zlib.crc32(name + content))

    header = struct.pack(">IIBBBBB", columns, rows, depth, colour, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(data)) + chunk(b"IEND", b"")


SAMPLES = np.random.default_rng(3).integers(0, 65536, (7, 11)).astype(np.uint16)


def test_sixteen_bits_come_back_exactly() -> None:
    by_hand = png(11, 7, 16, 0, b"".join(b"\0" + row.astype(">u2").tobytes() for row in SAMPLES))
    tiff = saved(Image.fromarray(SAMPLES), "TIFF", compression="tiff_lzw")
    for content in (by_hand, tiff, saved(Image.fromarray(SAMPLES), "PNG")):
        assert np.array_equal(read_grey(content, "file"), SAMPLES)
    assert np.array_equal(np.rint(picture_from_text(picture_text(SAMPLES)) * 65535), SAMPLES)
    eight = (SAMPLES >> 8).astype(np.uint8)
    assert np.array_equal(picture_from_text(picture_text(eight)), eight / 255.0)


def test_reducing_keeps_the_mean() -> None:
    large = np.random.default_rng(1).integers(0, 65536, (400, 900)).astype(np.uint16)
    small = reduced(large, 10_000)
    assert small.size <= 10_000
    assert np.mean(small) == pytest.approx(np.mean(large), rel=2e-3)
    assert reduced(large, 400 * 900) is large


GREY = Image.fromarray((SAMPLES >> 8).astype(np.uint8))
NOISE = Image.fromarray(np.random.default_rng(1).integers(0, 65536, (99, 99)).astype(np.uint16))
BAD = {
    "palette": (saved(GREY.convert("P"), "PNG"), "a palette"),
    "colours": (saved(GREY.convert("RGB"), "PNG"), "colours"),
    "alpha": (saved(GREY.convert("LA"), "PNG"), "transparency"),
    "key colour": (saved(GREY, "PNG", transparency=3), "transparency"),
    "CMYK": (saved(GREY.convert("CMYK"), "TIFF"), "CMYK"),
    "fractions": (saved(GREY.convert("F"), "TIFF"), "fractional"),
    "pages": (saved(GREY, "TIFF", save_all=True, append_images=[GREY]), "several pages"),
    "truncated": (saved(NOISE, "PNG")[:9_000], "truncated"),
    "100 megapixels": (png(10_000, 10_000, 8, 0, b"\0"), "too many pixels"),
    "4 terapixels": (png(2_000_000, 2_000_000, 16, 0, b"\0"), "too many pixels"),
    "one pixel": (png(1, 1, 8, 0, b"\0\0"), "no shape"),
    "JPEG": (saved(GREY, "JPEG"), "not a whole PNG"),
    "nothing": (b"", "not a whole PNG"),
    "text": (b"<svg/>", "not a whole PNG"),
}


@pytest.mark.parametrize("name", BAD)
def test_what_says_no_height_is_refused_in_a_sentence(name: str) -> None:
    content, words = BAD[name]
    with pytest.raises(InputError, match=words):
        read_grey(content, "file")


def test_a_bomb_of_packed_zeros_is_unpacked_no_further_than_its_size_says() -> None:
    bomb = png(40, 40, 8, 0, bytes(200_000_000))
    assert len(bomb) < 300_000
    assert read_grey(bomb, "file").shape == (40, 40)


def test_damaged_bytes_are_read_or_refused() -> None:
    rng, refused = np.random.default_rng(5), 0
    for content in (saved(Image.fromarray(SAMPLES), "PNG"), saved(Image.fromarray(SAMPLES), "TIFF")):
        for _ in range(300):
            damaged = bytearray(content)
            for place in rng.integers(0, len(content), 3):
                damaged[place] = rng.integers(0, 256)
            try:
                assert read_grey(bytes(damaged), "file").ndim == 2
            except InputError:
                refused += 1
    assert refused > 100


def test_borders_that_do_not_meet_are_blended_and_it_is_said(tmp_path: Path) -> None:
    x = np.arange(300) / 300
    wave = (127 + 120 * np.sin(2 * np.pi * x) * np.cos(6 * np.pi * x)[:100, None]).astype(np.uint8)
    ramp = np.tile((x * 255).astype(np.uint8), (150, 1))
    for name, samples, blended in (("wave", np.tile(wave, (3, 1)), False), ("ramp", ramp, True)):
        Image.fromarray(samples).save(tmp_path / f"{name}.png")
        found = read_picture(tmp_path / f"{name}.png")
        assert found.motif.grey is not None
        assert (found.motif.grey.blend > 0.0) == blended == ("do not meet" in "".join(found.left_out))
    Image.fromarray(np.full((9, 9), 40, np.uint8)).save(tmp_path / "flat.png")
    with pytest.raises(InputError, match="one grey all over"):
        read_picture(tmp_path / "flat.png")


@pytest.mark.parametrize("text", ["", "%%%", "AAAA", "A" * 4_000_000], ids=["none", "signs", "zeros", "long"])
def test_damaged_pictures_of_designs_are_refused(text: str) -> None:
    with pytest.raises(InputError) as told:
        MotifOptions("", grey=GreyOptions(text))
    assert told.value.where == "pattern.motif.grey.pixels"
