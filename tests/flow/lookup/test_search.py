"""Searching, help while typing, progress, shelves and papers, as a page shows them."""

from datetime import date

import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.boxes import list_boxes
from intake.edges.store.queries.copies import copies_of_editions
from intake.edges.store.queries.editions import edition_by_key
from intake.edges.store.queries.shelves import shelves_in_order
from intake.flow.lookup.search import search
from intake.flow.lookup.typing_help import typed_help
from intake.flow.moving.progress import box_progress, progress
from intake.flow.shelves.shelf_overview import shelf_rows
from intake.flow.shelves.shelve_copy import shelve
from intake.flow.unpacking.advice import WaitingCopies, room_words, waiting_copies
from intake.flow.unpacking.attention import attention
from intake.flow.unpacking.station import book_line
from intake.model.boxes import BoxState
from tests.flow.conftest import NOW, booked

DAY = date(2026, 3, 31)


@pytest.mark.parametrize(
    ("asked", "titles"),
    [
        ("gulls", ["A Guide to Gulls", "A Guide to Gulls"]),
        ("thorn", ["Ferns of the Inner Isles, vol. 2", "Ferns of the Outer Isles, vol. 1"]),
        ("978-0-306-40615-7", ["Ferns of the Outer Isles, vol. 1"]),
        ("FERNS", ["Ferns of the Inner Isles, vol. 2", "Ferns of the Outer Isles, vol. 1"]),
        ("nothing like it", []),
        ("", []),
    ],
)
def test_words_persons_sets_and_numbers(library: Library, asked: str, titles: list[str]) -> None:
    with library.reading() as records:
        assert sorted(line.title for line in search(records, asked).editions) == titles


def test_a_box_and_a_place_by_number_and_by_name(library: Library) -> None:
    with library.reading() as records:
        box = list_boxes(records)[0].number
        found = search(records, box)
        assert found.boxes == (box,)
        assert len(found.copies) == 4
        shelf = shelves_in_order(records)[0].number
        assert [number for number, _ in search(records, shelf).places] == [shelf]
        assert search(records, "study").boxes == tuple(box.number for box in list_boxes(records))
        assert search(records, "xyzzy").nothing


def test_help_while_typing(library: Library) -> None:
    with library.reading() as records:
        assert typed_help(records, "gul").titles
        whole = typed_help(records, "0-8044-2957-X")
        assert whole.good
        assert whole.titles[0][1] == "A Guide to Gulls"
        wrong = typed_help(records, "9780306406158")
        assert not wrong.good
        assert wrong.message
        assert any(number.replace("-", "") == "9780306406157" for number, _ in wrong.repairs)
        assert typed_help(records, " ") == typed_help(records, "")
        # Letters with a figure may be a title: nothing is said of them as a number.
        assert typed_help(records, "ferns 2").message == ""


def test_progress_counts_every_box(arrived: Library) -> None:
    book_line(arrived, "1", "9780306406157", request="r1", station="test", now=NOW)
    with arrived.reading() as records:
        found = progress(records)
        first, second = found.boxes
        assert (first.listed, first.found, first.missing, first.waits) == (4, 1, 0, 3)
        assert (second.listed, second.found) == (1, 0)
        assert (found.listed, found.found, found.missing) == (5, 1, 0)
        assert found.of(BoxState.ARRIVED) == (first,)
        assert box_progress(records, first.box) == first


def test_shelves_and_where_the_next_copy_goes(arrived: Library) -> None:
    outcome = booked(book_line(arrived, "1", "9780306406157", request="r1", station="test", now=NOW))
    with arrived.reading() as records:
        waiting = waiting_copies(records)
        ((copy, _, room),) = waiting.places
        assert waiting.total == 1
        assert copy == outcome.copy
        assert room.shelf is not None
        shelf = room.shelf.place.number
        assert room_words(room).startswith("Study · A · 1 (")
    shelve(arrived, copy.accession, shelf, station="test", now=NOW)
    with arrived.reading() as records:
        assert waiting_copies(records) == WaitingCopies((), 0)
        row = next(row for row in shelf_rows(records) if row.shelf.number == shelf)
        assert row.copies == 1
        assert row.full_of_100 is not None
        assert 3 <= row.full_of_100 <= 6  # 30 mm of 800 mm, and whatever a book needs beside its own thickness


def test_what_is_special(arrived: Library) -> None:
    with arrived.reading() as records:
        edition = edition_by_key(records, "O1")
        assert edition is not None
        (copy,) = copies_of_editions(records, [edition.id])
        (sentence,) = attention(records, copy, edition)
    assert "picture" in sentence
    assert "900" not in sentence, "a phone is shown it"
