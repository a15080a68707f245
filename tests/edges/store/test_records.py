"""What is asked of the library is answered with the right records."""

from dataclasses import fields, is_dataclass, replace
from datetime import date
from decimal import Decimal

import pytest

from intake.edges.store.library import Counts, Library
from intake.model.boxes import BoxState
from intake.model.changes import Action, Change, made
from intake.model.editions import BookSet, Copy, CopyState, Edition
from intake.model.places import Place, PlaceKind
from intake.model.sightings import QueryState
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


@pytest.fixture
def full(library: Library) -> Library:
    with library.writing() as work:
        work.apply(Action("import", "all"), made(*LIBRARY))
    return library


def test_records_by_their_keys(full: Library) -> None:
    with full.reading() as records:
        assert records.edition(1) == FIRST
        assert records.edition(9) is None
        assert records.edition_by_key("G1") == FIRST
        assert records.edition_by_key("") is None, "an edition without a key is not called by it"
        assert (records.set(1), records.sets()) == (SET, (SET,))
        assert (records.printing(1), records.printings_of(1), records.printings_of(2)) == (PRINTING, (PRINTING,), ())
        assert (records.copy("A1"), records.copy("A9")) == (COPY, None)
        assert (records.box("B1"), records.boxes(), records.boxes("C-1"), records.boxes("x")) == (
            BOX,
            (BOX,),
            (BOX,),
            (),
        )
        assert (records.consignment("C-1"), records.consignments()) == (CONSIGNMENT, (CONSIGNMENT,))
        assert (records.place("S3"), records.places()) == (SHELF, (ROOM, CASE, SHELF))
        assert (records.picture("ab" * 32), records.sightings_of("A1")) == (PICTURE, (SIGHTING,))
        assert (records.query(1), records.queries(), records.queries(QueryState.DECIDED)) == (QUERY, (QUERY,), ())


def test_editions_of_a_title_are_found_across_spellings(full: Library) -> None:
    with full.reading() as records:
        assert records.editions_by_title_key("die graser der kuste") == (FIRST, SECOND)
        assert records.editions_of_set(1) == (FIRST, SECOND)
        like = records.editions_like(keys=["G1", ""], numbers=[SECOND.number or ""], titles=["die gräser der küste"])
        assert like == (FIRST, SECOND)
        assert records.editions_like() == ()


def test_copies_with_their_editions(full: Library) -> None:
    with full.reading() as records:
        assert records.copies_of([1, 2, 2]) == (COPY, STANDING)
        assert records.copies_of([]) == ()
        assert records.copies_in_box("B1") == (COPY,)
        assert records.standing_at("S3") == ((STANDING, SECOND),)
        assert list(records.copies()) == [(COPY, FIRST), (STANDING, SECOND)]
        assert records.edition_numbers() == (SECOND.number, FIRST.number)
        assert records.edition_numbers("B1") == (FIRST.number,)


def test_numbers_the_library_knows(full: Library) -> None:
    with full.reading() as records:
        assert all(records.holds_number(number) for number in (FIRST.number or "", "A1", "B1", "S3"))
        assert not records.holds_number("9780000000002")


def test_one_number_with_several_add_ons(library: Library) -> None:
    issues = [
        Edition(id=nth, title=f"Invented monthly {nth}", number="9771234567003", add_on=f"0{nth}") for nth in (1, 2)
    ]
    with library.writing() as work:
        work.apply(Action("import", "issues"), made(*issues, Edition(id=3, title="Other", number="9771234568000")))
        assert work.editions_by_number("9771234567003") == tuple(issues)
        assert work.editions_by_number("9771234567003", "02") == (issues[1],)
        assert work.editions_by_number("9771234567003", "07") == tuple(issues)
        assert work.editions_by_number("9771234567010", "02") == (issues[1],), "the variant digits name no other serial"
        assert work.holds_number("9771234567010")
        assert not work.holds_number("9771234569007")


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
        assert sorted(edition.id for edition in records.find_editions(words)) == sorted(ids)
        assert len(records.find_editions(words, limit=1)) == min(1, len(ids))


def test_the_very_title_comes_first_and_the_index_follows_changes(library: Library) -> None:
    long = Edition(id=1, title="Invented orchards of the inland plains")
    short = Edition(id=2, title="Orchards")
    with library.writing() as work:
        work.apply(Action("import", "two"), made(long, short))
        assert work.find_editions("orchards") == (short, long)
        renamed = replace(long, title="Meadows")
        work.apply(Action("rename", "1"), [Change(long, renamed)])
        assert work.find_editions("inland") == ()
        assert work.find_editions("meadows") == (renamed,)
        work.apply(Action("remove", "1"), [Change(renamed, None)])
        assert work.find_editions("meadows") == ()


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
        work.apply(Action("set up", "places"), made(*shelves, *cases, *rooms))
        assert [place.number for place in work.children(None)] == ["S2", "S1"]
        assert [place.number for place in work.children("S3")] == ["S6", "S5"]
        assert [place.number for place in work.shelves()] == ["S7", "S6", "S5"]


def test_latest_valuation_of_each_copy(full: Library) -> None:
    later = replace(VALUATION, id=2, on=date(2026, 3, 1), amount=Decimal("99.90"))
    same_day = replace(later, id=3, amount=Decimal(101))
    older = replace(VALUATION, id=4, on=date(2025, 3, 1), basis=Basis.MARKET)
    other = replace(VALUATION, id=5, copy="A2", on=date(1999, 1, 1))
    with full.writing() as work:
        work.apply(Action("value", "all"), made(later, same_day, older, other))
    with full.reading() as records:
        assert records.latest_valuations() == {"A1": same_day, "A2": other}
        assert records.latest_valuations(Basis.MARKET) == {"A1": older}
        assert records.latest_valuations(Basis.AGREED) == {}
        assert [valuation.id for valuation in records.valuations_of("A1")] == [4, 1, 2, 3]


def test_counts(full: Library) -> None:
    with full.reading() as records:
        copies = {CopyState.PACKED: 1, CopyState.SHELVED: 1}
        assert records.counts() == Counts(2, copies, {BoxState.ARRIVED: 1}, 1, 1)
        assert records.waiting() == 1


def test_counts_per_box_and_place_and_times_of_unpacking(full: Library) -> None:
    with full.reading() as records:
        assert records.copies_per_box() == {"B1": {CopyState.PACKED: 1}}
        assert records.copies_per_place() == {"S3": 1}
        assert records.unpacking_times(5) == (SIGHTING.at,)
        assert records.unpacking_times(0) == ()


def test_reading_sees_one_moment(full: Library) -> None:
    with full.reading() as records:
        assert records.sets() == (SET,)
        with full.writing() as work:
            work.apply(Action("make", "set"), made(BookSet(id=2, title="later")))
        assert records.sets() == (SET,)
    with full.reading() as records:
        assert len(records.sets()) == 2


def test_answers_are_frozen_records(full: Library) -> None:
    with full.reading() as records:
        copy, edition = next(iter(records.copies()))
    assert (type(copy), type(edition)) == (Copy, Edition)
    assert is_dataclass(copy)
    assert [type(getattr(copy, field.name)) for field in fields(copy)][3] is CopyState
