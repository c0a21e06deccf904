"""The design being worked on: steps, drags, comparing, files, and who is told."""

from __future__ import annotations

from pathlib import Path

import pytest
from design_series import BASE, ring

from ringtex.basics.errors import InputError, OutputError
from ringtex.design.design_file import read_design, write_design
from ringtex.document.document import FLIP_LABEL, REVERT_LABEL, UNNAMED, Document, with_ending


class Told:
    """Counts how often a document told of a change."""

    def __init__(self, document: Document) -> None:
        self.times = 0
        self.stop = document.listen(self._told)

    def _told(self) -> None:
        self.times += 1


def around(document: Document) -> int:
    return document.design.pattern.around


def test_listeners_are_told_once_and_only_of_real_changes() -> None:
    document = Document(BASE)
    told = Told(document)
    document.change(BASE, "nothing")
    document.undo()
    document.redo()
    document.flip()
    document.end_drag()
    document.cancel_drag()
    assert told.times == 0
    document.change(ring(30), "change the number around")
    assert told.times == 1
    told.stop()
    document.undo()
    assert told.times == 1


def test_one_drag_is_one_step() -> None:
    document = Document(ring(20))
    document.begin_drag("drag the number around")
    for number in (21, 22, 23):
        document.change(ring(number), "ignored")
    assert (document.undo_label, document.redo_label) == ("drag the number around", None)
    document.end_drag()
    assert (len(document.history.past), document.undo_label) == (1, "drag the number around")
    document.undo()
    assert around(document) == 20


def test_a_drag_back_to_where_it_began_leaves_no_step() -> None:
    document = Document(ring(20))
    document.begin_drag("drag")
    document.change(ring(21), "")
    document.change(ring(20), "")
    document.end_drag()
    assert document.undo_label is None
    assert not document.changed


def test_a_cancelled_drag_gives_the_undone_steps_back() -> None:
    document = Document(ring(20))
    document.change(ring(21), "one")
    document.undo()
    document.begin_drag("drag")
    document.change(ring(25), "")
    document.cancel_drag()
    assert (around(document), document.redo_label) == (20, "one")


@pytest.mark.parametrize("act", ["undo", "keep", "begin_drag", "redo"])
def test_whatever_comes_during_a_drag_ends_it_as_one_step(act: str) -> None:
    document = Document(ring(20))
    document.begin_drag("drag")
    document.change(ring(25), "")
    getattr(document, act)(*(["next"] if act == "begin_drag" else []))
    if act == "undo":
        assert (around(document), document.redo_label) == (20, "drag")
    else:
        assert (around(document), document.undo_label) == (25, "drag")


def test_flip_goes_between_the_kept_state_and_now_without_a_trace() -> None:
    document = Document(ring(20))
    document.keep()
    document.change(ring(21), "one")
    document.change(ring(22), "two")
    document.undo()
    before = document.history
    document.flip()
    assert (around(document), document.undo_label) == (20, FLIP_LABEL)
    document.flip()
    assert document.history == before
    document.flip()
    document.undo()
    assert around(document) == 21


def test_going_on_from_the_kept_state_keeps_it() -> None:
    document = Document(ring(20))
    document.keep()
    document.change(ring(21), "one")
    document.flip()
    document.change(ring(25), "from the kept one")
    document.flip()
    assert around(document) == 20
    document.flip()
    assert around(document) == 25
    assert document.kept == ring(20)


def test_without_anything_kept_nothing_flips() -> None:
    document = Document(ring(20))
    assert not document.can_flip
    document.keep()
    assert not document.can_flip


def test_save_open_and_what_counts_as_changed(tmp_path: Path) -> None:
    document = Document(ring(20))
    assert (document.name, document.path, document.changed) == (UNNAMED, None, False)
    document.change(ring(21), "one")
    assert document.changed
    document.save(tmp_path / "wide.ring.json")
    assert (document.name, document.changed) == ("wide", False)
    document.undo()
    assert document.changed
    document.redo()
    assert not document.changed
    other = Document(BASE)
    other.open(tmp_path / "wide.ring.json")
    assert (other.design, other.changed, other.undo_label) == (ring(21), False, None)


def test_what_cannot_be_opened_or_saved_changes_nothing(tmp_path: Path) -> None:
    document = Document(ring(20))
    document.change(ring(21), "one")
    told, before = Told(document), document.history
    with pytest.raises(InputError):
        document.open(tmp_path / "missing.ring.json")
    (tmp_path / "bad.ring.json").write_text('{"kind": "ringtex.design"')
    with pytest.raises(InputError):
        document.open(tmp_path / "bad.ring.json")
    with pytest.raises(OutputError):
        document.save(tmp_path / "no such folder" / "x.ring.json")
    with pytest.raises(InputError, match="no file yet"):
        document.save()
    with pytest.raises(InputError):
        document.revert()
    assert (document.history, document.path, told.times) == (before, None, 0)


def test_saving_ends_a_drag(tmp_path: Path) -> None:
    document = Document(ring(20))
    document.begin_drag("drag")
    document.change(ring(24), "")
    document.save(tmp_path / "a.ring.json")
    assert (document.undo_label, document.changed) == ("drag", False)
    assert read_design(tmp_path / "a.ring.json") == ring(24)


def test_revert_is_a_step(tmp_path: Path) -> None:
    document = Document(ring(20))
    document.save(tmp_path / "a.ring.json")
    document.change(ring(25), "one")
    document.revert()
    assert (around(document), document.undo_label, document.changed) == (20, REVERT_LABEL, False)
    document.undo()
    assert (around(document), document.changed) == (25, True)


def test_a_file_changed_by_somebody_else_is_noticed_and_can_be_taken_or_left(tmp_path: Path) -> None:
    path = tmp_path / "a.ring.json"
    document = Document(ring(20))
    assert document.changed_on_disk() == "same"
    document.save(path)
    assert document.changed_on_disk() == "same"
    write_design(ring(33), path)
    assert document.changed_on_disk() == "changed"
    document.accept_disk()
    assert (document.changed_on_disk(), document.changed, around(document)) == ("same", True, 20)
    document.revert()
    assert (around(document), document.changed) == (33, False)
    path.unlink()
    assert document.changed_on_disk() == "gone"


def test_new_begins_with_nothing(tmp_path: Path) -> None:
    document = Document(ring(20))
    document.change(ring(21), "one")
    document.keep()
    document.save(tmp_path / "a.ring.json")
    document.begin_drag("drag")
    document.new(ring(30), "Dome")
    assert (document.name, document.path, document.kept, document.undo_label) == ("Dome", None, None, None)
    assert not document.changed
    assert not document.dragging


def test_recovered_work_counts_as_changed_until_it_is_saved(tmp_path: Path) -> None:
    path = tmp_path / "a.ring.json"
    write_design(ring(20), path)
    document = Document(BASE)
    document.recover(ring(21), path, "a")
    assert (document.changed, document.path, document.changed_on_disk()) == (True, path, "same")
    document.save()
    assert not document.changed
    assert read_design(path) == ring(21)


def test_names_of_files() -> None:
    assert with_ending(Path("wide")) == Path("wide.ring.json")
    assert with_ending(Path("v1.5")) == Path("v1.5.ring.json")
    assert with_ending(Path("a.ring.json")) == Path("a.ring.json")
    assert with_ending(Path("a.json")) == Path("a.json")
