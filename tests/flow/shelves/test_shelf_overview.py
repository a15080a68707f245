"""Many shelves with many copies: what is listed, and that a few statements are enough for it.

Counts of statements do not depend on the machine. The library is invented: 300 shelves in 30 bookcases, 10,000
copies of 1,000 sets of two volumes, every fifth copy still in a box.
"""

from collections.abc import Iterator
from dataclasses import replace

import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.shelves import copies_on_shelves
from intake.flow.lookup.search import search
from intake.flow.shelves.arrange_shelves import propose
from intake.flow.shelves.check_shelf import report_row
from intake.flow.shelves.find_room import find_rooms
from intake.flow.shelves.shelf_list import shelf_list
from intake.flow.shelves.shelf_loads import weigh_shelves
from intake.flow.shelves.shelf_overview import shelf_rows
from intake.flow.shelves.shelve_copy import shelve
from intake.flow.unpacking.advice import SHOWN, waiting_copies
from intake.flow.unpacking.attention import attention
from intake.model.boxes import Box
from intake.model.changes import Action, ActionKind, Change, made
from intake.model.editions import BookSet, Copy, CopyState, Edition
from intake.model.identifiers import OwnKind
from intake.model.identifiers import own_number as numbered
from intake.model.places import Place, PlaceKind
from intake.shelving.check import ReadRow
from tests.counting import count_statements
from tests.flow.conftest import NOW
from tests.made_library import new_library

BOOKCASES, SHELVES, EDITIONS, COPIES, UNPACKED = 30, 300, 2000, 10_000, 40
ROOM, BOX = numbered(OwnKind.PLACE, 1), numbered(OwnKind.BOX, 1)
FIRST_SHELF = 2 + BOOKCASES
WIDTH_MM = 1000.0


def shelf(nth: int) -> str:
    return numbered(OwnKind.PLACE, FIRST_SHELF + nth)


def bookcase(nth: int) -> str:
    return numbered(OwnKind.PLACE, 2 + nth)


def places() -> list[Place]:
    cases = [
        Place(number=bookcase(nth), kind=PlaceKind.BOOKCASE, name=f"Case {nth + 1}", parent=ROOM, position=nth + 1)
        for nth in range(BOOKCASES)
    ]
    boards = [
        Place(number=shelf(nth), kind=PlaceKind.SHELF, name=str(nth % 10 + 1), parent=bookcase(nth // 10),
              position=nth % 10 + 1, width_mm=WIDTH_MM)
        for nth in range(SHELVES)
    ]  # fmt: skip
    return [Place(number=ROOM, kind=PlaceKind.ROOM, name="Long room"), *cases, *boards]


def copies() -> Iterator[Copy]:
    """Number the copies so that they stand in the order of their titles, with room for one more on each shelf."""
    a_shelf = COPIES * 4 // 5 // SHELVES
    for nth in range(COPIES):
        copy = Copy(accession=numbered(OwnKind.COPY, nth + 1), edition_id=nth * EDITIONS // COPIES + 1)
        at = nth // 5 * 4 + nth % 5 - 1
        if nth % 5 == 0:
            yield replace(copy, state=CopyState.PACKED, box=BOX)
        elif at // a_shelf < SHELVES:
            yield replace(copy, state=CopyState.SHELVED, place=shelf(at // a_shelf), position=at % a_shelf + 1)
        else:
            yield replace(copy, state=CopyState.UNPACKED)


@pytest.fixture(scope="module")
def library(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Library]:
    opened = new_library(tmp_path_factory.mktemp("many") / "library")
    sets = [BookSet(id=nth, title=f"Herbal {nth:04}") for nth in range(1, EDITIONS // 2 + 1)]
    editions = [
        Edition(id=nth, title=f"Herbal {(nth + 1) // 2:04}", volume=str(2 - nth % 2), set_id=(nth + 1) // 2,
                thickness_mm=30.0)
        for nth in range(1, EDITIONS + 1)
    ]  # fmt: skip
    opened.apply(
        Action(ActionKind.IMPORT_COPIES, "places"), made(*places(), Box(number=BOX, room="Long room"), *sets, *editions)
    )
    opened.apply(Action(ActionKind.IMPORT_COPIES, "copies"), made(*copies()))
    yield opened
    opened.close()


def test_the_list_of_all_shelves_takes_two_statements(library: Library) -> None:
    with library.reading() as reader, count_statements(library) as count:
        rows = shelf_rows(reader)
    assert count.statements == 2
    assert [row.shelf.number for row in rows] == [shelf(nth) for nth in range(SHELVES)]
    assert {row.copies for row in rows} == {26}
    assert rows[10].name == "Long room · Case 2 · 1"
    assert rows[10].free_mm == WIDTH_MM - 26 * 30
    assert rows[10].full_of_100 == 78


def test_a_page_of_shelves_says_how_many_there_are(library: Library) -> None:
    with library.reading() as reader, count_statements(library) as count:
        page = shelf_list(reader, "", 60, 60)
    assert count.statements == 2
    assert (page.begin, page.matching, page.total, page.shown) == (60, SHELVES, SHELVES, 60)
    assert [row.shelf.number for case in page.cases for row in case.rows] == [shelf(nth) for nth in range(60, 120)]
    with library.reading() as reader:
        assert shelf_list(reader, "", 10**6, 60).begin == 240
        first = shelf_list(reader, "", 0, 60)
        assert shelf_rows(reader, [shelf(7)]) == ([row for case in first.cases for row in case.rows][7],)


def test_shelves_are_filtered_by_case_number_and_what_stands_there(library: Library) -> None:
    with library.reading() as reader:
        standing = copies_on_shelves(reader, [shelf(7)])[shelf(7)]

        def listed(text: str) -> list[str]:
            return [row.shelf.number for case in shelf_list(reader, text, 0, 300).cases for row in case.rows]

        of_case = [row.shelf.number for row in shelf_rows(reader) if row.name.startswith("Long room · Case 2 ·")]
        assert set(of_case) <= set(listed("case 2"))
        assert listed(shelf(7)) == [shelf(7)]
        assert listed(standing[0][0].accession) == [shelf(7)]
        assert listed("no such thing anywhere") == []


def test_places_for_the_copies_that_wait_are_found_together(library: Library) -> None:
    with library.reading() as reader, count_statements(library) as count:
        waiting = waiting_copies(reader)
    assert count.statements <= 12
    assert waiting.total == COPIES - COPIES // 5 - 26 * SHELVES
    assert len(waiting.places) == SHOWN
    for copy, edition, room in waiting.places:
        with library.reading() as reader, count_statements(library) as count:
            (alone,) = find_rooms(reader, [(copy, edition)])
        assert count.statements <= 10
        assert (alone.shelf, alone.sentences) == (room.shelf, room.sentences)
        assert room.shelf is not None
        assert room.shelf.place.number == shelf(SHELVES - 1)


def test_the_place_in_the_order_is_found_among_many_shelves(library: Library) -> None:
    with library.reading() as reader:
        for nth in (0, 777, 1234, 1900):
            edition = reader.get(Edition, nth + 1)
            assert edition is not None
            packed = numbered(OwnKind.COPY, nth * COPIES // EDITIONS + 1)
            copy = reader.get(Copy, packed)
            assert copy is not None
            (room,) = find_rooms(reader, [(replace(copy, state=CopyState.UNPACKED, box=None), edition)])
            assert room.shelf is not None
            assert nth + 1 in {other.id for _, other in room.shelf.standing}


def test_one_copy_and_one_shelf_take_few_statements(library: Library) -> None:
    with library.reading() as reader:
        copy = reader.get(Copy, numbered(OwnKind.COPY, 2))
        place = reader.get(Place, shelf(0))
        edition = reader.get(Edition, 1)
        assert copy is not None
        assert place is not None
        assert edition is not None
        with count_statements(library) as count:
            sentences = attention(reader, copy, edition)
        assert count.statements <= 4
        assert len(sentences) == 4
        row = ReadRow(tuple(numbered(OwnKind.COPY, nth) for nth in range(2, 40)), (place.number,))
        with count_statements(library) as count:
            report = report_row(reader, place, row)
        assert count.statements <= 10
        assert report.where == "Long room · Case 1 · 1"
        with count_statements(library) as count:
            (case,) = weigh_shelves(reader, [place])
        assert count.statements == 2
        assert [load.estimated for _, load in case.shelves] == [26]


def test_the_whole_library_is_arranged_in_few_statements(library: Library) -> None:
    with library.reading() as reader, count_statements(library) as count:
        propose(reader)
    assert count.statements <= 7


@pytest.mark.parametrize("text", ["herbal", "herbal 0001", "long room", "9780306406158", "97803064061", shelf(3), BOX])
def test_a_search_takes_at_most_six_statements(library: Library, text: str) -> None:
    with library.reading() as reader, count_statements(library) as count:
        result = search(reader, text)
    assert count.statements <= 6
    assert bool(result.nothing) == text.startswith("978")
    # "herbal 0001" is also the first volume of any set of that name.
    assert result.more == (text in ("herbal", "herbal 0001", "long room"))


def test_a_copy_is_shelved_in_one_short_writing_transaction(library: Library) -> None:
    copy, target = numbered(OwnKind.COPY, COPIES), shelf(SHELVES - 1)
    with count_statements(library) as count:
        shelved = shelve(library, copy, target, station="test", now=NOW).copies[0]
    assert (count.transactions, count.writing) == (2, 1)
    assert count.statements <= 24
    assert (shelved.place, shelved.shelfmark) == (target, "Case 30 10")
    with library.reading() as reader:
        assert reader.get(Copy, copy) == shelved
    back = replace(shelved, state=CopyState.UNPACKED, place=None, position=None, shelfmark="")
    library.apply(Action(ActionKind.IMPORT_COPIES, copy), [Change(shelved, back)])
