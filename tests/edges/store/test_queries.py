"""What is asked of the library is answered with the right records."""

from dataclasses import fields, is_dataclass, replace
from datetime import date
from decimal import Decimal

import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.boxes import list_boxes
from intake.edges.store.queries.copies import (
    BoxCount,
    all_copies,
    copies_at_place,
    copies_in_box,
    copies_of_editions,
    copies_of_families,
    counts_per_box,
)
from intake.edges.store.queries.editions import (
    edition_by_key,
    edition_numbers,
    editions_by_number,
    editions_like,
    editions_of_set,
    holds_number,
    printings_of,
)
from intake.edges.store.queries.ledger_entries import Counts, count_records
from intake.edges.store.queries.shelves import places_in, shelves_in_order
from intake.edges.store.queries.sightings import count_waiting, list_queries, sightings_of, unpacking_times
from intake.edges.store.queries.values import latest_valuations, valuations_of
from intake.edges.store.queries.words import find_editions
from intake.model.boxes import Box, BoxState, Consignment
from intake.model.changes import Action, ActionKind, Change, made
from intake.model.editions import BookSet, Copy, CopyState, Edition, Printing
from intake.model.places import Place, PlaceKind
from intake.model.sightings import Picture, Query, QueryState
from intake.model.valuations import Basis
from tests.edges.store.made import (
    BOX,
    CASE,
    CONSIGNMENT,
    COPY,
    FIRST,
    LIBRARY,
    PICTURE,
    PRINTING,
    QUERY,
    ROOM,
    SECOND,
    SET,
    SHELF,
    SIGHTING,
    STANDING,
    VALUATION,
)  # fmt: skip

IMPORT = ActionKind.IMPORT_EDITIONS


@pytest.fixture
def full(library: Library) -> Library:
    with library.writing() as work:
        work.apply(Action(IMPORT, "all"), made(*LIBRARY))
    return library


def test_records_by_their_keys(full: Library) -> None:
    with full.reading() as records:
        assert records.get(Edition, 1) == FIRST
        assert records.get(Edition, 9) is None
        assert edition_by_key(records, "G1") == FIRST
        assert edition_by_key(records, "") is None, "an edition without a key is not called by it"
        assert (records.get(BookSet, 1), records.all(BookSet)) == (SET, (SET,))
        assert (records.get(Printing, 1), printings_of(records, 1), printings_of(records, 2)) == (
            PRINTING,
            (PRINTING,),
            (),
        )
        assert (records.get(Copy, "A1"), records.get(Copy, "A9")) == (COPY, None)
        assert (records.get(Box, "B1"), list_boxes(records), list_boxes(records, "C-1"), list_boxes(records, "x")) == (
            BOX,
            (BOX,),
            (BOX,),
            (),
        )
        assert (records.get(Consignment, "C-1"), records.all(Consignment)) == (CONSIGNMENT, (CONSIGNMENT,))
        assert (records.get(Place, "S3"), records.all(Place)) == (SHELF, (ROOM, CASE, SHELF))
        assert (records.get(Picture, "ab" * 32), sightings_of(records, "A1")) == (PICTURE, (SIGHTING,))
        assert (records.get(Query, 1), list_queries(records), list_queries(records, QueryState.DECIDED)) == (
            QUERY,
            (QUERY,),
            (),
        )


def test_editions_of_a_title_are_found_across_spellings(full: Library) -> None:
    with full.reading() as records:
        assert copies_of_families(records, [FIRST.number or ""])[0] == (FIRST, SECOND), "two editions of one title"
        assert copies_of_families(records, []) == ((), ())
        assert editions_of_set(records, 1) == (FIRST, SECOND)
        like = editions_like(records, keys=["G1", ""], numbers=[SECOND.number or ""], titles=["die gräser der küste"])
        assert like == (FIRST, SECOND)
        assert editions_like(records) == ()


def test_copies_with_their_editions(full: Library) -> None:
    with full.reading() as records:
        assert copies_of_editions(records, [1, 2, 2]) == (COPY, STANDING)
        assert copies_of_editions(records, []) == ()
        assert copies_in_box(records, "B1") == (COPY,)
        assert copies_at_place(records, "S3") == ((STANDING, SECOND),)
        assert list(all_copies(records)) == [(COPY, FIRST), (STANDING, SECOND)]
        assert edition_numbers(records) == (SECOND.number, FIRST.number)
        assert edition_numbers(records, "B1") == (FIRST.number,)


def test_numbers_the_library_knows(full: Library) -> None:
    with full.reading() as records:
        assert all(holds_number(records, number) for number in (FIRST.number or "", "A1", "B1", "S3"))
        assert not holds_number(records, "9780000000002")


def test_one_number_with_several_add_ons(library: Library) -> None:
    issues = [
        Edition(id=nth, title=f"Invented monthly {nth}", number="9771234567003", add_on=f"0{nth}") for nth in (1, 2)
    ]
    with library.writing() as work:
        work.apply(
            Action(IMPORT, "issues"),
            made(*issues, Edition(id=3, title="Other", number="9771234568000")),
        )
        assert editions_by_number(work, "9771234567003") == tuple(issues)
        assert editions_by_number(work, "9771234567003", "02") == (issues[1],)
        assert editions_by_number(work, "9771234567003", "07") == tuple(issues)
        assert editions_by_number(work, "9771234567010", "02") == (issues[1],), (
            "the variant digits name no other serial"
        )
        assert holds_number(work, "9771234567010")
        assert not holds_number(work, "9771234569007")


@pytest.mark.parametrize(
    ("words", "ids"),
    [
        ("gräser", [2, 1]),
        ("GRASER kuste", [2, 1]),
        ("Die Gräser der Küste", [1, 2]),
        ("küs", [2, 1]),
        ("führer", [1]),
        ("nonesuch eve", [1]),
        ("gräser o'brien", []),
        ("978-0", []),
        ("c++ harry-potter", []),
        ('"', []),
        ("*", []),
        ("NEAR(die der)", []),
        ("title:die", []),
        ("AND", []),
        ("", []),
        ("\0", []),
        ("küste \udcff", [1, 2]),
    ],
)
def test_words_are_searched_as_they_are_typed(full: Library, words: str, ids: list[int]) -> None:
    """Characters that mean something to the index (SQLite's documentation of FTS5, section 3) are taken as text."""
    with full.reading() as records:
        assert sorted(edition.id for edition in find_editions(records, words)) == sorted(ids)
        assert len(find_editions(records, words, limit=1)) == min(1, len(ids))


def test_the_very_title_comes_first_and_the_index_follows_changes(library: Library) -> None:
    long = Edition(id=1, title="Invented orchards of the inland plains")
    short = Edition(id=2, title="Orchards")
    with library.writing() as work:
        work.apply(Action(IMPORT, "two"), made(long, short))
        assert find_editions(work, "orchards") == (short, long)
        renamed = replace(long, title="Meadows")
        work.apply(Action(IMPORT, "1"), [Change(long, renamed)])
        assert find_editions(work, "inland") == ()
        assert find_editions(work, "meadows") == (renamed,)
        work.apply(Action(IMPORT, "1"), [Change(renamed, None)])
        assert find_editions(work, "meadows") == ()


def test_places_in_the_order_of_the_tree(library: Library) -> None:
    def place(number: str, kind: PlaceKind, position: int, parent: str | None = None) -> Place:
        return Place(number=number, kind=kind, name=number, position=position, parent=parent)

    rooms = place("S1", PlaceKind.ROOM, 2), place("S2", PlaceKind.ROOM, 1)
    cases = place("S3", PlaceKind.BOOKCASE, 1, "S1"), place("S4", PlaceKind.BOOKCASE, 1, "S2")
    shelves = (
        place("S5", PlaceKind.SHELF, 2, "S3"),
        place("S6", PlaceKind.SHELF, 1, "S3"),
        place("S7", PlaceKind.SHELF, 1, "S4"),
    )
    with library.writing() as work:
        work.apply(Action(IMPORT, "places"), made(*shelves, *cases, *rooms))
        assert [place.number for place in places_in(work, None)] == ["S2", "S1"]
        assert [place.number for place in places_in(work, "S3")] == ["S6", "S5"]
        assert [place.number for place in shelves_in_order(work)] == ["S7", "S6", "S5"]


def test_latest_valuation_of_each_copy(full: Library) -> None:
    later = replace(VALUATION, id=2, on=date(2026, 3, 1), amount=Decimal("99.90"))
    same_day = replace(later, id=3, amount=Decimal(101))
    older = replace(VALUATION, id=4, on=date(2025, 3, 1), basis=Basis.MARKET)
    other = replace(VALUATION, id=5, copy="A2", on=date(1999, 1, 1))
    with full.writing() as work:
        work.apply(Action(IMPORT, "all"), made(later, same_day, older, other))
    with full.reading() as records:
        assert latest_valuations(records) == {"A1": same_day, "A2": other}
        assert latest_valuations(records, Basis.MARKET) == {"A1": older}
        assert latest_valuations(records, Basis.AGREED) == {}
        assert [valuation.id for valuation in valuations_of(records, "A1")] == [4, 1, 2, 3]


def test_counts(full: Library) -> None:
    with full.reading() as records:
        copies = {CopyState.PACKED: 1, CopyState.SHELVED: 1, CopyState.WITHDRAWN: 1}
        assert count_records(records) == Counts(2, copies, {BoxState.ARRIVED: 1}, 1, 1)
        assert count_waiting(records) == 1


def test_counts_per_box_and_times_of_unpacking(full: Library) -> None:
    with full.reading() as records:
        assert counts_per_box(records) == {"B1": BoxCount({CopyState.PACKED: 1})}
        assert unpacking_times(records, 5) == (SIGHTING.at,)
        assert unpacking_times(records, 0) == ()


def test_reading_sees_one_moment(full: Library) -> None:
    with full.reading() as records:
        assert records.all(BookSet) == (SET,)
        with full.writing() as work:
            work.apply(Action(IMPORT, "set"), made(BookSet(id=2, title="later")))
        assert records.all(BookSet) == (SET,)
    with full.reading() as records:
        assert len(records.all(BookSet)) == 2


def test_answers_are_frozen_records(full: Library) -> None:
    with full.reading() as records:
        copy, edition = next(iter(all_copies(records)))
    assert (type(copy), type(edition)) == (Copy, Edition)
    assert is_dataclass(copy)
    assert [type(getattr(copy, field.name)) for field in fields(copy)][3] is CopyState
