"""The course of a box, each step refused where the one before is missing."""

import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.boxes import list_boxes
from intake.edges.store.queries.shelves import shelves_in_order
from intake.errors import RefusedError
from intake.flow.moving import box_lifecycle
from intake.flow.shelves.shelve_copy import shelve
from intake.flow.undo import undo
from intake.model.boxes import Box, BoxState
from intake.model.editions import Copy, CopyState
from tests.flow.conftest import NOW


def test_a_new_box_takes_the_next_free_number(library: Library) -> None:
    assert box_lifecycle.open_box(library, Box(number="", room="Study"), station="test").number.startswith("B3-")
    with pytest.raises(RefusedError, match="recorded already"):
        box_lifecycle.open_box(library, Box(number="3"), station="test")
    assert box_lifecycle.open_box(library, Box(number="9"), station="test").number.startswith("B9-")


def test_packing_takes_a_copy_at_hand_or_records_a_new_one(library: Library) -> None:
    by_isbn = box_lifecycle.pack(library, "2", "1-85798-218-5", station="test")
    assert (by_isbn.state, by_isbn.box) == (CopyState.PACKED, "B2-47")
    with pytest.raises(RefusedError, match="already"):
        box_lifecycle.pack(library, "2", by_isbn.accession, station="test")
    undo(library, station="test")
    with library.reading() as records:
        assert records.get(Copy, by_isbn.accession) is None


def test_a_closed_box_takes_nothing_more(library: Library) -> None:
    closed = box_lifecycle.close_box(library, "2", gross_g=14_500, seal="S-1", station="test")
    assert (closed.state, closed.gross_g, closed.seal) == (BoxState.CLOSED, 14_500, "S-1")
    with pytest.raises(RefusedError, match="closed"):
        box_lifecycle.pack(library, "2", "G2", station="test")
    with pytest.raises(RefusedError, match="already"):
        box_lifecycle.close_box(library, "2", station="test")
    undo(library, station="test")
    assert box_lifecycle.pack(library, "2", "G2", station="test").box == closed.number


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
