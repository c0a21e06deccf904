"""Labelled snapshots: what comes back is what was."""

from __future__ import annotations

from design_series import ring
from hypothesis import given
from hypothesis import strategies as st

from ringtex.document.history import MAX_STEPS, History


def test_a_step_has_a_name_and_can_be_taken_back_and_brought_back() -> None:
    history = History(ring(20)).stepped(ring(21), "one").stepped(ring(22), "two")
    assert (history.undo_label, history.redo_label) == ("two", None)
    back = history.undone()
    assert (back.design, back.undo_label, back.redo_label) == (ring(21), "one", "two")
    assert back.redone() == history


def test_no_step_where_nothing_changed() -> None:
    history = History(ring(20))
    assert history.stepped(ring(20), "nothing") is history


def test_a_new_step_ends_what_had_been_undone() -> None:
    history = History(ring(20)).stepped(ring(21), "one").undone().stepped(ring(22), "two")
    assert history.redo_label is None
    assert history.redone() is history


def test_memory_is_bounded_and_the_newest_steps_stay() -> None:
    history = History(ring(3))
    for number in range(MAX_STEPS + 50):
        history = history.stepped(ring(4 + number % 900), f"step {number}")
    assert len(history.past) == MAX_STEPS
    assert history.undo_label == f"step {MAX_STEPS + 49}"
    assert history.past[0].label == "step 50"


@given(st.lists(st.integers(3, 9), max_size=30), st.integers(0, 40))
def test_undo_and_redo_are_inverses(numbers: list[int], steps: int) -> None:
    history = History(ring(10))
    for number in numbers:
        history = history.stepped(ring(number), f"to {number}")
    steps = min(steps, len(history.past))
    back = history
    for _ in range(steps):
        back = back.undone()
    forth = back
    for _ in range(steps):
        forth = forth.redone()
    assert forth == history
