"""What a text may be, on the small invented library: certain or not, and of which copies. The numbers are examples."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from intake.edges.store.library import Library
from intake.edges.store.reader import LibraryReader
from intake.flow.lists.import_list import ListKind
from intake.flow.lookup.identify import (
    TITLES_SHOWN,
    Doubtful,
    Identification,
    edition_number,
    explain,
    identify,
    identify_any,
    identify_each,
)
from intake.identifiers.own import make
from intake.model.identifiers import Identifier, OwnKind, Rejection
from intake.model.matches import MatchVerdict
from intake.model.reasons import ReasonKind
from tests.flow.conftest import import_text

FERNS_1, FERNS_2, GULLS_1, GULLS_2, UNKNOWN = (
    "9780306406157", "9783161484100", "9780804429573", "9781857982183", "9780110002224",
)  # fmt: skip
BOX = "B1-56"


@pytest.fixture
def records(library: Library) -> Iterator[LibraryReader]:
    with library.reading() as reader:
        yield reader


def keys(found: Identification) -> list[str]:
    return [candidate.edition.key for candidate in found.candidates]


def kinds(found: Identification) -> list[ReasonKind]:
    return [reason.kind for reason in found.why]


def test_a_number_that_is_listed_in_the_box_is_certain(records: LibraryReader) -> None:
    found = identify(records, FERNS_1, BOX)
    assert (found.verdict, found.certain, keys(found), kinds(found)) == (
        MatchVerdict.EXPECTED, True, ["F1"], [ReasonKind.LISTED_HERE],
    )  # fmt: skip
    assert found.identifier is not None
    assert found.identifier.number == FERNS_1
    assert identify(records, FERNS_1, "B2-47").certain is False


def test_a_number_of_no_edition_is_unknown_and_says_so(records: LibraryReader) -> None:
    found = identify(records, UNKNOWN, BOX)
    assert (found.verdict, found.candidates, found.certain, kinds(found)) == (
        MatchVerdict.UNKNOWN, (), False, [ReasonKind.NOT_IN_CATALOG],
    )  # fmt: skip


@pytest.mark.parametrize("text", ["", "  "])
def test_of_nothing_nothing_is_said(records: LibraryReader, text: str) -> None:
    found = identify(records, text, BOX)
    assert (found.identifier, found.candidates, kinds(found)) == (None, (), [ReasonKind.NOTHING_READ])


def test_the_same_title_in_another_edition_is_offered_and_another_volume_of_its_set_is_not(
    records: LibraryReader,
) -> None:
    """The gulls have two editions under one title; the ferns are two volumes of one set."""
    assert keys(identify(records, GULLS_2, BOX)) == ["G2", "G1"]
    assert keys(identify(records, FERNS_2, BOX)) == ["F2"]


def test_another_edition_is_one_of_the_same_volume_and_of_another_set_or_of_none(
    library: Library, tmp_path: Path
) -> None:
    rows = (
        f"V1,{UNKNOWN},Tides,1,Tides\nV2,,Tides,2,Tides\nO1x,,Tides,1,Other Tides\nO2x,,Tides,2,Other Tides\n"
        "N1,,Tides,1,\nV1b,,Tides,1,Tides\n"
    )
    import_text(library, tmp_path, ListKind.EDITIONS, f"key,number,title,volume,set\n{rows}")
    import_text(library, tmp_path, ListKind.COPIES, "box,key\n3,V2\n3,O1x\n3,O2x\n3,N1\n3,V1b\n")
    with library.reading() as reader:
        assert set(keys(identify(reader, UNKNOWN, BOX))) == {"V1", "O1x", "N1"}


def test_a_wrong_digit_is_the_catalogs_number_but_never_certain(records: LibraryReader) -> None:
    found = identify(records, "9780306406158", BOX)
    assert (found.identifier, found.verdict, found.certain, keys(found)) == (
        None, MatchVerdict.EXPECTED, False, ["F1"],
    )  # fmt: skip
    assert kinds(found) == [ReasonKind.REJECTED, ReasonKind.REPAIRED]
    assert found.why[1].number == "978-0-306-40615-7"


def test_two_neighbours_swapped_that_the_check_digit_misses(records: LibraryReader) -> None:
    """Neighbours that differ by 5 pass modulo 10 (General Specifications of GS1)."""
    found = identify(records, "9783611484100", "B2-47")
    assert (found.verdict, found.certain, keys(found)) == (MatchVerdict.EXPECTED, False, ["F2"])
    assert kinds(found) == [ReasonKind.NOT_IN_CATALOG, ReasonKind.NEIGHBOURS_SWAPPED]


def test_a_flag_names_its_copy_and_no_other(records: LibraryReader) -> None:
    found = identify(records, "A4-32", "B2-47")
    assert (found.certain, found.verdict, keys(found), kinds(found)) == (
        True, MatchVerdict.EXPECTED, ["O1"], [ReasonKind.OWN_FLAG],
    )  # fmt: skip
    for text in (make(OwnKind.COPY, 99), BOX):
        other = identify(records, text, None)
        assert (other.certain, other.candidates, kinds(other)) == (False, (), [ReasonKind.NO_SUCH_COPY])


def test_words_are_titles_the_open_box_first_and_never_certain(records: LibraryReader) -> None:
    found = identify(records, "guide to gulls", BOX)
    assert (found.certain, keys(found)[0], kinds(found)) == (False, "G1", [ReasonKind.TITLES_ALIKE])
    assert found.verdict is found.candidates[0].verdict is MatchVerdict.EXPECTED
    # A slip in each of two words is found among the titles of the open box, and in the whole catalog.
    assert keys(identify(records, "oldd chartz", BOX)) == ["O1"]
    assert keys(identify(records, "oldd chartz", None)) == ["O1"]


def test_a_key_and_a_volume_name_one_book_and_leave_no_other_in_question(records: LibraryReader) -> None:
    by_volume = identify(records, "ferns 2", BOX)
    assert (keys(by_volume), by_volume.certain) == (["F2"], False)
    assert by_volume.candidates[0].reasons[0].kind is ReasonKind.NAMED
    assert keys(identify(records, "p6", BOX)) == ["P6"]
    # A number that is no volume is a word like others.
    assert "F1" in keys(identify(records, "ferns outer isles", BOX))


def test_words_like_no_title_and_digits_like_no_number_are_told_apart(records: LibraryReader) -> None:
    assert kinds(identify(records, "zzz qqq", BOX)) == [ReasonKind.NO_TITLE_ALIKE]
    assert kinds(identify(records, "zz1", BOX)) == [ReasonKind.NO_TITLE_ALIKE]
    assert kinds(identify(records, "z1", BOX)) == [ReasonKind.REJECTED]
    assert kinds(identify(records, "123 456", BOX)) == [ReasonKind.REJECTED]


def test_only_the_likeliest_titles_are_shown(library: Library, tmp_path: Path) -> None:
    titles = "".join(f"Tides of Year {n}\n" for n in range(TITLES_SHOWN + 3))
    import_text(library, tmp_path, ListKind.EDITIONS, f"title\n{titles}")
    with library.reading() as reader:
        assert len(identify(reader, "tides of year", None).candidates) == TITLES_SHOWN


def test_what_a_doubtful_reading_may_be_comes_after_its_best_number(records: LibraryReader) -> None:
    found = identify_any(records, [FERNS_1, GULLS_1, FERNS_1], BOX)
    assert (keys(found), found.verdict) == (["F1", "G1"], MatchVerdict.EXPECTED)
    assert found.why[-1].kind is ReasonKind.OTHER_NUMBERS
    assert len(found.why[-1].texts) == 2
    # The best number is of no edition: what the second may be is what is shown.
    second = identify_any(records, [UNKNOWN, FERNS_2], BOX)
    assert (keys(second), second.verdict) == (["F2"], MatchVerdict.ELSEWHERE)
    none = identify_any(records, [UNKNOWN, "zzz"], BOX)
    assert (none.verdict, none.candidates) == (MatchVerdict.UNKNOWN, ())


def test_several_things_are_each_what_they_are_alone(records: LibraryReader) -> None:
    things = [Doubtful((text,), box) for text in (FERNS_1, "old charts", "", GULLS_2, "A4-32") for box in (BOX, None)]
    assert list(identify_each(records, things)) == [identify(records, thing.texts[0], thing.box) for thing in things]


def test_a_wrong_number_is_explained_with_the_catalogs_number_first(records: LibraryReader) -> None:
    for reader in (records, None):
        wrong = explain("9780306406158", reader)
        assert isinstance(wrong, Rejection)
        assert any(repair.number == FERNS_1 for repair in wrong.repairs)
        assert any(repair.in_catalog for repair in wrong.repairs) is (reader is not None)
    right = explain(FERNS_1)
    assert isinstance(right, Identifier)
    assert right.number == FERNS_1


def test_the_number_that_an_edition_may_carry() -> None:
    found = edition_number("0-306-40615-2")
    assert found is not None
    assert found.number == FERNS_1
    assert edition_number("A1-59") is None
    assert edition_number("no number") is None
