"""Catalogs and printings row by row: which number a cell holds, and which record a row means. Invented titles."""

from dataclasses import replace
from itertools import permutations
from pathlib import Path

import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.editions import edition_by_key, editions_by_number, printings_of
from intake.flow.lists import import_list
from intake.flow.lists.columns import Cells
from intake.flow.lists.editions import parse_edition, parse_number, parse_printing
from intake.flow.lists.import_list import ImportResult, ListKind
from intake.flow.lists.reasons import CellError, RowReason
from intake.flow.undo import undo
from intake.model.editions import BookSet, Edition, Printing
from tests.flow.conftest import import_text


def cells(**texts: str) -> Cells:
    return Cells(texts, {field: field for field in texts})


def bring_in(library: Library, folder: Path, text: str, kind: ListKind = ListKind.EDITIONS) -> ImportResult:
    return import_text(library, folder, kind, text)


def all_editions(library: Library, title: str) -> list[Edition]:
    with library.reading() as records:
        return [edition for edition in records.all(Edition) if edition.title == title]


@pytest.mark.parametrize(
    ("text", "add_on", "number"),
    [
        # The examples of ISO 2108, ISO 3297 and the General Specifications of GS1.
        ("978-3-16-148410-0", "", ("9783161484100", None)),
        ("9783161484100", "", ("9783161484100", None)),
        ("978 3 16 148410 0", "", ("9783161484100", None)),
        ("0-8044-2957-X", "", ("9780804429573", None)),
        ("0317-8471", "", ("9770317847001", None)),
        ("977026435900-8", "05", ("9770264359008", "05")),
        ("9770264359008 05", "", ("9770264359008", "05")),
        ("979-0-2306-7118-7", "", ("9790230671187", None)),
        ("", "", (None, None)),
    ],
)
def test_a_number_cell_and_its_add_on(text: str, add_on: str, number: tuple[str | None, str | None]) -> None:
    assert parse_number(text, add_on) == number


@pytest.mark.parametrize(
    ("text", "add_on", "reason"),
    [
        ("978-3-16-148410-1", "", RowReason.NUMBER_REPAIRABLE),
        ("9783161484101", "", RowReason.NUMBER_REPAIRABLE),
        ("A1-59", "", RowReason.OWN_NUMBER),
        ("no number", "", RowReason.NUMBER_REJECTED),
        ("", "05", RowReason.ADD_ON_ALONE),
    ],
)
def test_a_number_cell_that_is_wrong(text: str, add_on: str, reason: RowReason) -> None:
    with pytest.raises(CellError) as caught:
        parse_number(text, add_on)
    assert caught.value.reason is reason


def test_hyphens_of_a_cell_that_is_only_an_isbn_do_not_matter() -> None:
    """Thirteen digits with the check digit of the standard, however people divide them."""
    for text in ("978-0-306-40615-7", "978-03-0640-615-7", "9780306406157"):
        assert parse_number(text) == ("9780306406157", None)
    for text in ("978-0-306-40615-8", "978-0-306-4061-7", "978-0-306-406155-7"):
        with pytest.raises(CellError):
            parse_number(text)


def test_every_cell_of_a_row() -> None:
    row = cells(
        title="Ferns", key="F9", number="978-3-16-148410-0", contributors="Ada Thorn; ; Bo Lind ;", publisher="Heron",
        year="1990", edition="2nd", binding="cloth", language="en", subject="Plants", printed_in="Nowhere",
        call_number="587.3", hs_heading="4901.99", pages="320", height_mm="280", width_mm="210", thickness_mm="30,5",
        mass_g="1500", set="All Ferns", volume="2",
    )  # fmt: skip
    edition, book_set = parse_edition(row)
    assert book_set == "All Ferns"
    assert edition == Edition(
        id=0, title="Ferns", key="F9", number="9783161484100", contributors=("Ada Thorn", "Bo Lind"), publisher="Heron",
        year=1990, statement="2nd", binding="cloth", language="en", subject="Plants", printed_in="Nowhere",
        call_number="587.3", hs_heading="4901.99", pages=320, height_mm=280.0, width_mm=210.0, thickness_mm=30.5,
        mass_g=1500.0, volume="2",
    )  # fmt: skip
    assert parse_edition(cells(title="Ferns")) == (Edition(id=0, title="Ferns"), "")
    with pytest.raises(CellError) as caught:
        parse_edition(cells(title=" ", key="F9"))
    assert (caught.value.reason, caught.value.facts) == (RowReason.EMPTY, {"field": "title"})


def test_a_row_means_the_edition_of_its_key_else_that_of_its_number(library: Library, tmp_path: Path) -> None:
    text = (
        "key,isbn,title,year\n"
        "F1,978-0-306-40615-7,Renamed Ferns,1991\n"  # the same key: the edition gets a new title
        ",3-16-148410-X,ferns of the INNER isles: a survey,1993\n"  # the same number and title, its subtitle aside
        ",0-8044-2957-X,The Guide to Gulls,1980\n"  # the same number and nearly the same title: corrected
    )
    result = bring_in(library, tmp_path, text)
    assert (result.made, result.altered, result.bad_rows) == (0, 3, ())
    with library.reading() as records:
        found = {key: edition_by_key(records, key) for key in ("F1", "F2", "G1")}
    assert {key: (edition.title, edition.year) for key, edition in found.items() if edition} == {
        "F1": ("Renamed Ferns", 1991),
        "F2": ("ferns of the INNER isles: a survey", 1993),
        "G1": ("The Guide to Gulls", 1980),
    }
    again = bring_in(library, tmp_path, text)
    assert (again.made, again.altered, again.unchanged) == (0, 0, 3)


def test_a_recorded_number_under_quite_another_title_is_a_question(library: Library, tmp_path: Path) -> None:
    """Publishers have given one number twice; with a key of its own the row is another edition."""
    result = bring_in(library, tmp_path, "isbn,title\n1-85798-218-5,Something Else\n")
    facts = {"number": "9781857982183", "title": "A Guide to Gulls"}
    assert [(bad.reason, bad.facts) for bad in result.bad_rows] == [(RowReason.NUMBER_OF_ANOTHER_TITLE, facts)]
    result = bring_in(library, tmp_path, "key,isbn,title\nSE,1-85798-218-5,Something Else\n")
    assert (result.made, result.bad_rows) == (1, ())
    with library.reading() as records:
        assert len(editions_by_number(records, "9781857982183")) == 2


def test_two_titles_of_one_number_in_one_list_stay_two(library: Library, tmp_path: Path) -> None:
    text = "isbn,title\n9780110002224,Mosses of the North\n9780110002224,Mosses of the South\n"
    assert bring_in(library, tmp_path, text).made == 2
    again = bring_in(library, tmp_path, text)
    assert (again.made, again.altered, again.unchanged) == (0, 0, 2)


def test_keys_that_a_list_was_given_later_make_no_second_editions(library: Library, tmp_path: Path) -> None:
    bring_in(library, tmp_path, "isbn,title\n9780110002224,Mosses\n")
    result = bring_in(library, tmp_path, "key,isbn,title\nM1,9780110002224,Mosses\n")
    assert (result.made, result.altered) == (0, 1)
    again = bring_in(library, tmp_path, "isbn,title\n9780110002224,Mosses\n")
    assert (again.made, again.altered, again.unchanged) == (0, 0, 1)
    assert [edition.key for edition in all_editions(library, "Mosses")] == ["M1"]


def test_a_row_without_key_that_says_what_a_stored_one_without_key_says(library: Library, tmp_path: Path) -> None:
    bring_in(library, tmp_path, "title,isbn,volume,year\nMosses,9780110002224,1,1990\nUnnumbered Lichens,,,1950\n")
    again = bring_in(library, tmp_path, "title,isbn,volume,year\nMOSSES,978-0-11-000222-4,1,1990\nMosses,,1,1990\n")
    assert (again.made, again.altered) == (1, 1), "the spelling is altered; without the number it is another book"
    more = bring_in(
        library, tmp_path, "title,isbn,volume,year\nMosses,9780110002224,2,1990\nUnnumbered lichens,,,1951\n"
    )
    assert (more.made, more.altered) == (1, 1), "another volume is another book; a title alone is known by its letters"
    assert [edition.year for edition in all_editions(library, "Unnumbered lichens")] == [1951]


def test_an_edition_may_come_once_in_a_list(library: Library, tmp_path: Path) -> None:
    text = (
        "key,title,isbn,add_on\nK1,Tides,,\nK1,Other Tides,,\n,Tides,,\n,Tides,,\n"
        ",Tides,9770317847001,05\n,Tides,9770317847001,06\n"
    )
    result = bring_in(library, tmp_path, text)
    assert [(bad.line, bad.reason, bad.facts) for bad in result.bad_rows] == [
        (3, RowReason.SAME_EDITION, {"earlier": 2, "field": "title", "text": "Other Tides", "other": "Tides"}),
    ]
    assert result.repeated == {4: [5]}


def test_several_copies_of_an_edition_are_one_edition_where_they_say_the_same(library: Library, tmp_path: Path) -> None:
    text = (
        "title,author,year,box,note\nOwls of the Fell,Ada Thorn,1950,1,worn\nOwls of the Fell,Ada Thorn,1950,2,\n"
        "Finches,,,1,\nOwls of the Fell,Ada Thorn,1950,,\nFinches,,1951,1,\nOwls of the Fell,Bo Lind,1951,1,\n"
    )
    result = bring_in(library, tmp_path, text)
    assert result.repeated == {2: [3, 5], 4: [6]}
    (bad,) = result.bad_rows
    assert [(bad.line, fault.facts["field"], fault.facts["text"], fault.facts["other"]) for fault in bad.faults] == [
        (7, "contributors", "Bo Lind", "Ada Thorn"),
        (7, "year", "1951", "1950"),
    ]


@pytest.mark.parametrize("rows_at_once", [1, 2000])
def test_rows_of_one_edition_add_to_each_other_in_any_order(
    library: Library, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, rows_at_once: int
) -> None:
    """An empty cell says nothing: what each of three rows leaves out another says, and the record has all of it.

    Of a new edition; of one that is recorded under its number with a title that was corrected since, whose rows wait
    for the last one; and where a row is a lot of its own.
    """
    monkeypatch.setattr(import_list, "ROWS_AT_ONCE", rows_at_once)
    head = "title,author,isbn,publisher,year,set,volume\n"
    for title, isbn, made in (("Reed Song", "979-5-2222-0006-2", 2), ("A Guide to the Gulls", "0-8044-2957-X", 1)):
        rows = [f"{title},,{isbn},Plover,,,\n", f"{title},Ula Mirk,{isbn},,1950,,\n", f"{title},,{isbn},,,Reeds,\n"]
        recorded = set()
        for order in permutations(rows):
            result = bring_in(library, tmp_path, head + "".join(order))
            assert (result.bad_rows, result.made) == ((), made)
            assert result.altered == (0 if made == 2 else 1) or rows_at_once == 1
            assert result.repeated == {2: [3, 4]}
            assert bring_in(library, tmp_path, head + "".join(order)).made == 0
            (edition,) = [one for one in all_editions(library, title) if one.number == parse_number(isbn, "")[0]]
            assert edition.set_id is not None
            recorded.add(replace(edition, id=0, set_id=0))
            undo(library, station="test")
        (edition,) = recorded
        assert (edition.publisher, edition.contributors, edition.year) == ("Plover", ("Ula Mirk",), 1950)


def test_a_set_is_made_once_and_a_known_one_is_used(library: Library, tmp_path: Path) -> None:
    text = "key,title,set,volume\nN1,North,Winds,1\nN2,South,Winds,2\nF3,Ferns of the Far Isles,Ferns,3\nX,Alone,,\n"
    assert bring_in(library, tmp_path, text).made == 5
    with library.reading() as records:
        sets = {book_set.title: book_set.id for book_set in records.all(BookSet)}
        found = {key: edition_by_key(records, key) for key in ("N1", "N2", "F1", "F3", "X")}
    assert sorted(sets) == ["Ferns", "Winds"]
    assert {key: edition.set_id for key, edition in found.items() if edition} == {
        "N1": sets["Winds"], "N2": sets["Winds"], "F1": sets["Ferns"], "F3": sets["Ferns"], "X": None,
    }  # fmt: skip


def test_a_printing_is_known_by_edition_and_ordinal_and_later_rows_add_to_it(library: Library, tmp_path: Path) -> None:
    text = "key,printing,year,number_line,points\nG1,1,1980,,\nG1,2,,9 8 7,\nG1,2,1984,,blue\nG2,1,,,\n"
    first = bring_in(library, tmp_path, text, ListKind.PRINTINGS)
    assert (first.made, first.bad_rows) == (3, ())
    again = bring_in(
        library, tmp_path, "key,printing,year,number_line,points\nG1,1,1980,,\nG1,2,,,red\nNOPE,1,,,\n",
        ListKind.PRINTINGS,
    )  # fmt: skip
    assert [(bad.line, bad.reason) for bad in again.bad_rows] == [(4, RowReason.EDITION_UNKNOWN)]
    altered = bring_in(library, tmp_path, "key,printing,points\nG1,1,\nG1,2,red\n", ListKind.PRINTINGS)
    assert (altered.made, altered.altered, altered.unchanged) == (0, 1, 1)
    with library.reading() as records:
        edition = edition_by_key(records, "G1")
        assert edition is not None
        one, two = sorted(printings_of(records, edition.id), key=lambda printing: printing.ordinal or 0)
    assert (one.year, one.number_line, one.points) == (1980, "", "")
    assert (two.year, two.number_line, two.points) == (1984, "9 8 7", "red")


def test_the_cells_of_a_printing() -> None:
    name, printing = parse_printing(cells(key="G1", printing="2", year="1984", number_line="9 8 7", points="blue"))
    assert (name, printing) == (
        "G1", Printing(id=0, edition_id=0, ordinal=2, year=1984, number_line="9 8 7", points="blue"),
    )  # fmt: skip
    with pytest.raises(CellError):
        parse_printing(cells(key="G1", printing="second"))


def test_a_row_that_may_mean_either_of_two_volumes_is_a_question(library: Library, tmp_path: Path) -> None:
    bring_in(library, tmp_path, "isbn,title,volume\n9780110002224,Mosses,1\n9780110002224,Mosses,2\n")
    result = bring_in(library, tmp_path, "isbn,title\n9780110002224,Mosses\n")
    assert [bad.reason for bad in result.bad_rows] == [RowReason.EDITION_AMBIGUOUS]


def test_a_second_number_in_a_cell_is_refused_unless_it_is_the_same() -> None:
    assert parse_number("9780306406157 / 0-306-40615-2")[0] == "9780306406157"
    with pytest.raises(CellError) as caught:
        parse_number("9780306406157 ; 0306406153")
    assert caught.value.reason is RowReason.NUMBER_NOT_ALONE
    assert caught.value.facts["beside"] == "0306406153"
