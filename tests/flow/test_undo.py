"""Taking back: one entry, once, and nothing that a later entry was built on. The books are invented."""

from datetime import date
from decimal import Decimal

import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.boxes import list_boxes
from intake.edges.store.queries.chain_check import verify_chain
from intake.edges.store.queries.copies import all_copies
from intake.edges.store.queries.ledger_entries import latest_entries
from intake.errors import RefusedError
from intake.flow.lookup.resolve import find_box, find_copy
from intake.flow.moving import box_lifecycle
from intake.flow.moving.pack_copies import pack_all
from intake.flow.moving.reconcile import reconcile
from intake.flow.undo import undo, undone_step
from intake.flow.unpacking import query_pile
from intake.flow.unpacking.station import book_line
from intake.flow.values.figures import Figure
from intake.flow.values.value_copies import value_copy
from intake.model.boxes import BoxState
from intake.model.changes import ActionKind
from intake.model.editions import Copy, CopyState
from intake.model.valuations import Basis
from tests.flow.conftest import NOW, booked, queued

TODAY = date(2026, 3, 31)


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


def test_to_undo_an_undo_is_to_do_the_step_again(arrived: Library) -> None:
    checked_in = last(arrived)
    found = []
    for _ in range(3):
        entry, _ = undo(arrived, last(arrived), station="desk")
        with arrived.reading() as records:
            step, again = undone_step(records, entry)
        found.append((step.seq, again, states(arrived)[0]))
    assert found == [
        (checked_in, False, BoxState.CLOSED),
        (checked_in, True, BoxState.ARRIVED),
        (checked_in, False, BoxState.CLOSED),
    ]


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


def test_what_later_records_need_stays_and_the_latest_of_them_is_named(library: Library) -> None:
    with library.reading() as records:
        listed = next(
            entry for entry in reversed(latest_entries(records, 50)) if entry.action.kind is ActionKind.IMPORT_COPIES
        )
    figure = Figure(amount=Decimal(80), currency="EUR", on=TODAY, basis=Basis.MARKET)
    for _ in range(2):
        value_copy(library, "1", figure, station="test", today=TODAY)
    with library.reading() as records:
        last = latest_entries(records, 1)[0].seq
    with pytest.raises(RefusedError) as refused:
        undo(library, listed.seq, station="test")
    assert f"valuation 6 of entry {last} needs what it made; take back entry {last} first" in str(refused.value)
    for _ in range(2):
        undo(library, station="test")
    undo(library, listed.seq, station="test")
    with library.reading() as records:
        assert not records.all(Copy)


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


def unfinished(library: Library) -> tuple[int, int]:
    """Count the copies that are packed in a box which is finished, and those that the report counts as remaining."""
    with library.reading() as records:
        boxes = {box.number for box in list_boxes(records) if box.state is BoxState.UNPACKED}
        limbo = [copy for copy, _ in all_copies(records) if copy.state is CopyState.PACKED and copy.box in boxes]
        return len(limbo), reconcile(records).remaining


def test_what_was_taken_out_of_a_box_finished_since_stays_out_until_the_finish_is_taken_back(arrived: Library) -> None:
    """Else a copy would be neither seen nor missing, in a box that nothing can be taken out of."""
    unpacked = booked(book_line(arrived, "1", "9780306406157", request="r1", station="hall", now=NOW)).entry.seq
    waiting = queued(book_line(arrived, "1", "gulls", request="r2", station="hall", now=NOW)).query.id
    with arrived.reading() as records:
        option = query_pile.find_query(records, waiting).options[0]
    decided = query_pile.decide(arrived, waiting, option, station="hall", now=NOW).entry.seq
    box_lifecycle.finish(arrived, "1", now=NOW, station="hall")
    finished = last(arrived)
    for seq in (unpacked, decided):
        with pytest.raises(RefusedError, match=rf"box B1-56 is finished.* take back entry {finished} first"):
            undo(arrived, seq, station="hall")
    assert unfinished(arrived) == (0, 1)
    _, taken_back = undo(arrived, finished, station="hall")
    undo(arrived, unpacked, station="hall")
    # The finish as it was would not name what was put back meanwhile.
    with pytest.raises(RefusedError, match="would be neither seen nor missing"):
        undo(arrived, taken_back.seq, station="hall")
    assert unfinished(arrived) == (0, 4)
    _, missing = box_lifecycle.finish(arrived, "1", now=NOW, station="hall")
    assert len(missing) == 3
    assert unfinished(arrived) == (0, 1)


def test_the_entry_to_take_back_is_the_one_that_finished_the_box_in_the_end(arrived: Library) -> None:
    unpacked = booked(book_line(arrived, "1", "9780306406157", request="r1", station="hall", now=NOW)).entry.seq
    box_lifecycle.finish(arrived, "1", now=NOW, station="hall")
    _, back = undo(arrived, station="hall")
    _, again = undo(arrived, back.seq, station="hall")
    with pytest.raises(RefusedError, match=f"take back entry {again.seq} first"):
        undo(arrived, unpacked, station="hall")
    undo(arrived, again.seq, station="hall")
    undo(arrived, unpacked, station="hall")


def test_the_list_of_a_closed_box_is_not_altered_by_an_undo(library: Library) -> None:
    """Its label and its packing list were printed when it was closed, and its seal is on it."""
    pack_all(library, "1", ["G2"], station="test")
    packed = last(library)
    box_lifecycle.close_box(library, "1", station="test")
    closed = last(library)
    with pytest.raises(RefusedError, match=f"list of box B1-56, which is closed; take back its closing.* {closed}"):
        undo(library, packed, station="test")
    undo(library, closed, station="test")
    _, by = undo(library, packed, station="test")
    box_lifecycle.close_box(library, "1", station="test")
    with pytest.raises(RefusedError, match="list of box B1-56"):
        undo(library, by.seq, station="test")  # packing it again would alter it as well
