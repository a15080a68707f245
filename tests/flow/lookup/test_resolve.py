"""What a person means by what they type, and what is refused because it means nothing or two things."""

from collections.abc import Callable, Iterator

import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.shelves import places_in, shelves_in_order
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError
from intake.flow.lookup.resolve import (
    find_box,
    find_copy,
    find_edition,
    find_shelf,
    is_own,
    own_number,
    parse_known,
    with_known_numbers,
)
from intake.model.identifiers import Identifier, NumberKind, OwnKind


@pytest.fixture
def records(library: Library) -> Iterator[LibraryReader]:
    with library.reading() as reader:
        yield reader


@pytest.mark.parametrize("text", ["1", "A1-59", "a1 59", "copy 1"])
def test_a_copy_by_its_serial_or_its_whole_number(records: LibraryReader, text: str) -> None:
    assert find_copy(records, text).accession == "A1-59"


def test_a_box_and_a_shelf(records: LibraryReader) -> None:
    assert (find_box(records, "2").number, find_box(records, "B2-47").room) == ("B2-47", "Study")
    shelf = shelves_in_order(records)[1]
    assert find_shelf(records, shelf.number) == shelf


def test_a_room_or_a_bookcase_is_no_shelf(records: LibraryReader) -> None:
    (room,) = places_in(records, None)
    bookcase = places_in(records, room.number)[0]
    for place in (room, bookcase):
        with pytest.raises(RefusedError) as caught:
            find_shelf(records, place.number)
        assert place.kind.value in str(caught.value)


@pytest.mark.parametrize(
    ("find", "text"),
    [
        (find_copy, "99"), (find_copy, "B1-56"), (find_copy, "A1-58"), (find_copy, "no number"),
        (find_box, "99"), (find_box, "A1-59"), (find_shelf, "S99-93"), (find_shelf, "B1-56"),
        (find_edition, "NOPE"), (find_edition, "9780110002224"), (find_edition, "9780306406158"),
    ],
)  # fmt: skip
def test_what_means_nothing_here_is_refused(
    records: LibraryReader, find: Callable[[LibraryReader, str], object], text: str
) -> None:
    with pytest.raises(RefusedError):
        find(records, text)


@pytest.mark.parametrize(
    ("text", "key"),
    [("F1", "F1"), ("0-306-40615-7", ""), ("978-0-306-40615-7", "F1"), ("977026435900-8 06", "P6"), ("O1", "O1")],
)
def test_an_edition_by_its_key_or_its_number_and_supplement(records: LibraryReader, text: str, key: str) -> None:
    if key:
        assert find_edition(records, text).key == key
    else:
        with pytest.raises(RefusedError):  # its check digit as an ISBN-10 is 2
            find_edition(records, text)


def test_a_number_of_two_editions_means_neither_and_names_both(records: LibraryReader) -> None:
    with pytest.raises(RefusedError) as caught:
        find_edition(records, "977026435900-8")
    assert "P5, P6" in str(caught.value)


def test_a_number_that_a_spreadsheet_rounded_is_not_called_an_edition_to_be_imported(records: LibraryReader) -> None:
    with pytest.raises(RefusedError, match="spreadsheet"):
        find_edition(records, "9.78E+12")


def test_a_number_that_nothing_carries_yet() -> None:
    assert own_number("99", OwnKind.PLACE) == "S99-93"
    assert own_number("b1-56", OwnKind.BOX) == "B1-56"
    with pytest.raises(RefusedError):
        own_number("A1-59", OwnKind.BOX)


@pytest.mark.parametrize("text", ["159", "1-59", "copy 159"])
def test_check_digits_without_their_letter_are_not_those_of_another_copy(records: LibraryReader, text: str) -> None:
    """159 is a hundred and fifty-ninth copy, of which there is none, and never the first one with its check digits."""
    with pytest.raises(RefusedError):
        find_copy(records, text)


def test_which_numbers_are_the_tool_s_own(records: LibraryReader) -> None:
    own, isbn = parse_known(records, "A1-59"), parse_known(records, "9780306406157")
    assert isinstance(own, Identifier)
    assert isinstance(isbn, Identifier)
    assert (is_own(own), is_own(isbn), isbn.kind) == (True, False, NumberKind.ISBN)


def test_a_question_is_asked_again_until_it_asks_for_nothing_new(records: LibraryReader) -> None:
    asked: list[tuple[bool, ...]] = []

    def ask(is_known: Callable[[str], bool]) -> str:
        first = is_known("9780306406157")
        second = is_known("9783161484100") if first else False
        asked.append((first, second, is_known("9780000000002")))
        return f"{first} {second}"

    assert with_known_numbers(records, ask) == "True True"
    assert asked == [(False, False, False), (True, False, False), (True, True, False)]


def test_a_question_of_unknown_numbers_is_asked_once(records: LibraryReader) -> None:
    asked: list[bool] = []

    def ask(is_known: Callable[[str], bool]) -> int:
        asked.append(is_known("9780000000002"))
        return len(asked)

    assert with_known_numbers(records, ask) == 1
    assert asked == [False]


def test_the_number_of_an_edition_is_told_from_that_of_a_copy(arrived: Library) -> None:
    """Somebody scans the book where its flag is asked for: its only copy is meant, and without one that is said."""
    with arrived.reading() as records:
        for text in ("9783161484100", "978-3-16-148410-0"):
            assert find_copy(records, text).accession == "A5-23"
        with pytest.raises(RefusedError, match="an edition without a copy"):
            find_copy(records, "1-85798-218-5")
