"""The course of a box, each step refused where the one before is missing."""

import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.boxes import list_boxes
from intake.edges.store.queries.copies import copies_in_box
from intake.edges.store.queries.ledger_entries import latest_entries
from intake.edges.store.queries.shelves import shelves_in_order
from intake.errors import RefusedError
from intake.flow.lookup.details import last_step
from intake.flow.lookup.find_lines import box_lines
from intake.flow.moving import box_lifecycle
from intake.flow.moving.pack_copies import pack, pack_all
from intake.flow.moving.progress import box_progress, progress
from intake.flow.shelves.shelve_copy import shelve
from intake.flow.undo import undo
from intake.flow.unpacking import query_pile
from intake.flow.unpacking.station import book_line
from intake.model.boxes import Box, BoxState
from intake.model.changes import LedgerEntry
from intake.model.editions import Copy, CopyState
from tests.flow.conftest import NOW, booked, queued


def test_a_new_box_takes_the_next_free_number(library: Library) -> None:
    assert box_lifecycle.open_box(library, Box(number="", room="Study"), station="test").number.startswith("B3-")
    with pytest.raises(RefusedError, match="recorded already"):
        box_lifecycle.open_box(library, Box(number="3"), station="test")
    assert box_lifecycle.open_box(library, Box(number="9"), station="test").number.startswith("B9-")


def test_packing_takes_a_copy_at_hand_or_records_a_new_one(library: Library) -> None:
    by_isbn = pack(library, "2", "1-85798-218-5", station="test")
    assert (by_isbn.state, by_isbn.box) == (CopyState.PACKED, "B2-47")
    with pytest.raises(RefusedError, match="already"):
        pack(library, "2", by_isbn.accession, station="test")
    undo(library, station="test")
    with library.reading() as records:
        assert records.get(Copy, by_isbn.accession) is None


def test_a_closed_box_takes_nothing_more(library: Library) -> None:
    closed = box_lifecycle.close_box(library, "2", gross_g=14_500, seal="S-1", station="test")
    assert (closed.state, closed.gross_g, closed.seal) == (BoxState.CLOSED, 14_500, "S-1")
    with pytest.raises(RefusedError, match="closed"):
        pack(library, "2", "G2", station="test")
    with pytest.raises(RefusedError, match="already"):
        box_lifecycle.close_box(library, "2", station="test")
    undo(library, station="test")
    assert pack(library, "2", "G2", station="test").box == closed.number


def test_an_empty_box_is_not_closed_and_an_unarrived_one_not_finished(library: Library) -> None:
    empty = box_lifecycle.open_box(library, Box(number=""), station="test")
    with pytest.raises(RefusedError, match="is empty"):
        box_lifecycle.close_box(library, empty.number, station="test")
    with pytest.raises(RefusedError, match="is open"):
        box_lifecycle.finish(library, empty.number, station="test")


def test_a_misread_box_number_is_caught_by_its_check_digits(library: Library) -> None:
    with library.reading() as records:
        number = list_boxes(records)[0].number
    misread = number[:-1] + str((int(number[-1]) + 1) % 10)
    with pytest.raises(RefusedError, match="check"):
        box_lifecycle.close_box(library, misread, station="test")


def test_a_packed_copy_does_not_go_on_a_shelf(library: Library) -> None:
    with library.reading() as records:
        shelf = shelves_in_order(records)[0]
    with pytest.raises(RefusedError, match="unpack it"):
        shelve(library, "1", shelf.number, station="test", now=NOW)
    with pytest.raises(RefusedError, match="not a shelf"):
        shelve(library, "1", shelf.parent or "", station="test", now=NOW)


def test_what_is_packed_already_is_not_packed_again_and_it_is_said_where(library: Library) -> None:
    with pytest.raises(RefusedError, match=r"no copy left to pack \(copy A1-59 is listed in box B1-56\)"):
        pack(library, "2", "F1", station="test")
    with library.reading() as records:
        assert len(records.all(Copy)) == 5, "no second copy was recorded"
    other = pack(library, "2", "F1", another=True, station="test")
    assert (other.accession, other.box) == ("A6-14", "B2-47")


def test_several_are_packed_or_none_is(library: Library) -> None:
    before = len(entries(library))
    for texts, why in (
        (["G2", "F1"], "no copy left"),
        (["G2", "G2"], "named in this step"),
        (["G2", "nonsense"], "not in the catalog"),
    ):
        with pytest.raises(RefusedError, match=why):
            pack_all(library, "2", texts, station="test")
    assert len(entries(library)) == before
    packed = pack_all(library, "2", ["G2", "P6"], station="test")
    assert [copy.accession for copy in packed] == ["A6-14", "A7-05"]
    assert len(entries(library)) == before + 2, "each can be taken back by itself"


def entries(library: Library) -> tuple[LedgerEntry, ...]:
    with library.reading() as records:
        return latest_entries(records, 1000)


def test_the_last_step_of_a_box_is_the_newest_that_stands(arrived: Library) -> None:
    def last() -> str:
        with arrived.reading() as records:
            box = records.get(Box, "B1-56")
            step = last_step(records, box) if box else None
        return f"{step.action.kind} {step.action.subject}" if step else ""

    assert last() == "check in box B1-56"
    found = booked(book_line(arrived, "1", "9780306406157", request="r1", station="hall", now=NOW))
    assert last() == f"unpack copy {found.copy.accession}"
    with arrived.reading() as records:
        shelf = shelves_in_order(records)[0]
    shelve(arrived, found.copy.accession, shelf.number, station="hall", now=NOW)
    assert last() == f"unpack copy {found.copy.accession}", "shelving is no step of the box"
    undo(arrived, station="hall")
    queued(book_line(arrived, "1", "illegible", request="r2", station="hall", now=NOW))
    assert last() == "put on query pile 1"
    undo(arrived, station="hall")
    undo(arrived, station="hall")
    assert last() == "check in box B1-56", "what was taken back is no step any more"
    pack(arrived, "2", "G2", station="hall")
    assert last() == "check in box B1-56", "nor is a step of another box"


def test_surplus_copies_are_on_no_list_and_counted_apart(arrived: Library) -> None:
    booked(book_line(arrived, "1", "9780306406157", request="r1", station="hall", now=NOW))
    waiting = queued(book_line(arrived, "1", "1-85798-218-5", request="r2", station="hall", now=NOW)).query.id
    with arrived.reading() as records:
        option = next(one for one in query_pile.find_query(records, waiting).options if one.copy is None)
    surplus = query_pile.decide(arrived, waiting, option, station="hall", now=NOW).copy.accession
    with arrived.reading() as records:
        box = records.get(Box, "B1-56")
        assert box is not None
        row, (whole, *_) = box_progress(records, box), progress(records).boxes
        lines = box_lines(records, box.number)
        assert copies_in_box(records, box.number) == tuple(copy for copy in records.all(Copy) if copy.box == box.number
                                                           and copy.accession != surplus)  # fmt: skip
    assert (row.listed, row.found, row.waits, row.surplus) == (4, 1, 3, 1)
    assert row == whole
    assert [line.copy for line in lines if line.is_surplus] == [surplus] == [lines[-1].copy]
    _, missing = box_lifecycle.finish(arrived, "1", station="hall")
    assert len(missing) == 3
    # Packed again, for another journey, it is on the list of the box that it then lies in.
    again = pack(arrived, "2", surplus, station="hall")
    with arrived.reading() as records:
        assert again in copies_in_box(records, "B2-47")
