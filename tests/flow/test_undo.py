"""Taking back: one entry, once, and nothing that a later entry was built on. The books are invented."""

import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.chain_check import verify_chain
from intake.edges.store.queries.ledger_entries import latest_entries
from intake.errors import RefusedError
from intake.flow.lookup.resolve import find_box, find_copy
from intake.flow.moving import box_lifecycle
from intake.flow.undo import undo
from intake.flow.unpacking.station import book_line
from intake.model.boxes import BoxState
from intake.model.changes import ActionKind
from intake.model.editions import CopyState
from tests.flow.conftest import NOW


def states(library: Library) -> tuple[BoxState, BoxState, CopyState]:
    with library.reading() as records:
        return find_box(records, "1").state, find_box(records, "2").state, find_copy(records, "1").state


def last(library: Library) -> int:
    with library.reading() as records:
        return latest_entries(records, 1)[0].seq


def test_the_last_step_then_the_one_before_it(arrived: Library) -> None:
    """An undo is not what the next undo takes back."""
    checked_in = last(arrived)
    entry, by = undo(arrived, station="desk")
    assert (entry.seq, entry.action.kind) == (checked_in, ActionKind.CHECK_IN_BOX)
    assert (by.seq, by.action.kind, by.action.undoes, by.action.station) == (
        checked_in + 1, ActionKind.UNDO, checked_in, "desk",
    )  # fmt: skip
    assert states(arrived) == (BoxState.CLOSED, BoxState.OPEN, CopyState.PACKED)
    entry, _ = undo(arrived, station="desk")
    assert entry.action.kind is ActionKind.CLOSE_BOX
    assert states(arrived) == (BoxState.OPEN, BoxState.OPEN, CopyState.PACKED)
    with arrived.reading() as records:
        assert verify_chain(records) is None


def test_an_earlier_step_by_its_number_where_nothing_was_built_on_it(arrived: Library) -> None:
    box_lifecycle.close_box(arrived, "2", station="test")
    closed = last(arrived)
    book_line(arrived, "1", "9780306406157", request="r1", station="test", now=NOW)
    entry, _ = undo(arrived, closed, station="desk")
    assert entry.seq == closed
    assert states(arrived) == (BoxState.ARRIVED, BoxState.OPEN, CopyState.UNPACKED)


def test_what_a_later_step_was_built_on_stays(arrived: Library) -> None:
    checked_in = last(arrived)
    box_lifecycle.finish(arrived, "1", station="test")
    before = states(arrived)
    with pytest.raises(RefusedError):
        undo(arrived, checked_in, station="desk")
    assert states(arrived) == before


def test_an_entry_is_taken_back_once_and_must_be_there(arrived: Library) -> None:
    checked_in = last(arrived)
    undo(arrived, checked_in, station="desk")
    for seq in (checked_in, 9999):
        with pytest.raises(RefusedError):
            undo(arrived, seq, station="desk")
    while True:
        try:
            undo(arrived, station="desk")
        except RefusedError:
            break
    with arrived.reading() as records:
        entries = latest_entries(records, 100)
    undone = {entry.action.undoes for entry in entries} - {None}
    assert {entry.seq for entry in entries if entry.action.kind is not ActionKind.UNDO} == undone
