"""Every way in which a file can fail to be a small JSON object."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringtex.basics.errors import InputError
from ringtex.design.json_text import MAX_BYTES, json_kind, parse_json, read_json_file

BAD_CONTENT = {
    "empty": (b"", "empty"),
    "only blanks": (b" \n\t ", "empty"),
    "cut off": (b'{"kind": "ringtex.design", "ver', "not valid JSON at line 1, column 28"),
    "cut off in a list": (b'{"a": [1, 2', "not valid JSON"),
    "binary": (bytes(range(256)), "not text"),
    "zeros": (b"\0" * 100, "not text"),
    "utf-16": ('{"a": 1}'.encode("utf-16"), "not text"),
    "two objects": (b"{} {}", "not valid JSON"),
    "comment": (b'{"a": 1 // one\n}', "not valid JSON"),
    "NaN": (b'{"a": NaN}', "NaN is not a number"),
    "infinity": (b'{"a": -Infinity}', "-Infinity is not a number"),
    "overflow": (b'{"a": 1e999}', "too large"),
    "very long number": (b'{"a": ' + b"9" * 5000 + b"}", "too large"),
    "a key twice": (b'{"a": 1, "a": 2}', "given twice"),
    "a list": (b"[1, 2]", "a list where an object"),
    "a number": (b"54", "a number (54) where an object"),
    "null": (b"null", "null where an object"),
    "deep lists": (b'{"a": ' + b"[" * 100_000 + b"]" * 100_000 + b"}", "nested 100001 deep"),
    "deep objects": (b'{"a": ' * 50_000, "nested 50000 deep"),
}


@pytest.mark.parametrize("name", BAD_CONTENT)
def test_bad_content_gets_one_sentence(name: str, tmp_path: Path) -> None:
    content, words = BAD_CONTENT[name]
    path = tmp_path / "some.ring.json"
    path.write_bytes(content)
    with pytest.raises(InputError) as caught:
        read_json_file(path)
    assert words in caught.value.message
    assert caught.value.where == str(path)
    assert caught.value.advice
    assert "\n" not in str(caught.value)
    assert len(str(caught.value)) < 400


def test_50_megabytes_are_refused_without_being_read(tmp_path: Path) -> None:
    path = tmp_path / "huge.ring.json"
    with path.open("wb") as stream:
        stream.truncate(50_000_000)
    with pytest.raises(InputError, match="far too big"):
        read_json_file(path)


def test_the_largest_accepted_file_is_read(tmp_path: Path) -> None:
    path = tmp_path / "padded.ring.json"
    path.write_bytes(b'{"a": 1}'.ljust(MAX_BYTES))
    assert read_json_file(path) == {"a": 1}


def test_missing_file_and_folder(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no such file"):
        read_json_file(tmp_path / "none.json")
    with pytest.raises(InputError, match="folder"):
        read_json_file(tmp_path)
    with pytest.raises(InputError, match="name is too long"):
        read_json_file(tmp_path / ("x" * 5000))


def test_a_byte_order_mark_is_no_fault() -> None:
    assert parse_json(b'\xef\xbb\xbf{"a": 1}', "x") == {"a": 1}


def test_brackets_inside_texts_do_not_count() -> None:
    text = '{"a": "' + "[" * 500 + '\\"{{{", "b\\\\": "' + "{" * 500 + '"}'
    assert parse_json(text.encode(), "x")["b\\"] == "{" * 500


@given(st.binary(max_size=200))
def test_any_bytes_are_an_object_or_an_error(content: bytes) -> None:
    try:
        found: object = parse_json(content, "x")
    except InputError as error:
        found = str(error)
    assert isinstance(found, dict) or (isinstance(found, str) and "\n" not in found)


def test_kinds_in_words() -> None:
    kinds = [None, True, False, "x", 1.5, [], {}]
    assert [json_kind(kind) for kind in kinds] == [
        "null", "true", "false", "a text ('x')", "a number (1.5)", "a list", "an object",
    ]  # fmt: skip
