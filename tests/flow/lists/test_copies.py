"""Box lists row by row: what becomes of each cell, which rows are refused, and what a copy costs. Invented."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.boxes import list_boxes
from intake.edges.store.queries.copies import copies_in_box, copies_of_editions
from intake.edges.store.queries.editions import edition_by_key, printings_of
from intake.edges.store.queries.values import valuations_of
from intake.flow.lists.columns import Cells
from intake.flow.lists.copies import COPY_COLUMNS, CopyRow, ListedValue, parse_copy
from intake.flow.lists.import_list import ImportResult, ListKind
from intake.flow.lists.reasons import CellError, RowReason
from intake.flow.lists.row_words import bad_row_sentence
from intake.flow.moving import box_lifecycle
from intake.model.editions import Copy, CopyState, Edition, Grade
from intake.model.valuations import Basis, Valuation
from tests.flow.conftest import import_text

FIELDS = [column.field for column in COPY_COLUMNS]


def row(**cells: str) -> CopyRow:
    texts = {"key": "F1", **cells}
    return parse_copy(Cells(texts, {field: field for field in texts}))


def bring_in(library: Library, folder: Path, text: str) -> ImportResult:
    return import_text(library, folder, ListKind.COPIES, text)


def reasons(result: ImportResult) -> list[tuple[int, RowReason]]:
    return [(bad.line, bad.reason) for bad in result.bad_rows]


def edition(library: Library, key: str) -> Edition:
    with library.reading() as records:
        found = edition_by_key(records, key)
    assert found is not None
    return found


def copies(library: Library, key: str) -> list[Copy]:
    with library.reading() as records:
        return sorted(copies_of_editions(records, [edition(library, key).id]), key=lambda copy: copy.accession)


def test_an_empty_row_says_nothing_that_was_not_written() -> None:
    assert row() == CopyRow(("F1",), "", "", None, None, None, None, None, "", "", None)


def test_every_cell_of_a_full_row() -> None:
    full = row(
        box="2", room="Hall", printing="3", grade="very good", jacket="Good", wrapped="yes", condition="spine: faded",
        note="lent", value="12.50", currency="eur", basis="Market", valued_on="2026-01-15", source="a letter",
    )  # fmt: skip
    value = ListedValue(Decimal("12.50"), "EUR", Basis.MARKET, date(2026, 1, 15), "a letter")
    assert full == CopyRow(
        ("F1",), "2", "Hall", 3, Grade.VERY_GOOD, Grade.GOOD, True, True, "spine: faded", "lent", value
    )


def test_an_edition_is_found_by_its_number_where_its_key_is_another_library_s(library: Library, tmp_path: Path) -> None:
    """Key and number may stand beside each other; one that is known is enough, and two editions are a question."""
    before = (len(copies(library, "F1")), len(copies(library, "F2")))
    listed = bring_in(library, tmp_path, "key,isbn\n(XX)77,9780306406157\n,978-3-16-148410-0\nF1,\nF1,9780306406157\n")
    assert not listed.bad_rows
    assert (len(copies(library, "F1")), len(copies(library, "F2"))) == (before[0] + 3, before[1] + 1)
    bad = bring_in(library, tmp_path, "key,isbn\nF1,9783161484100\n(XX)77,9780110002224\n(XX)77,\n9783161484101,\n")
    assert reasons(bad) == [
        (2, RowReason.EDITION_NAMED_TWICE),
        (3, RowReason.EDITION_UNKNOWN),
        (4, RowReason.EDITION_UNKNOWN),
        (5, RowReason.EDITION_NOT_A_NUMBER),
    ]
    assert bad_row_sentence(bad.bad_rows[0]).startswith("key 'F1' is 'Ferns of the Outer Isles', but isbn")


def test_an_isbn_or_the_copy_s_own_number_is_enough_to_name_it(library: Library, tmp_path: Path) -> None:
    bring_in(library, tmp_path, "ISBN-Nummer,Zustand\n9780306406157,rubbed\n")
    (copy,) = [copy for copy in copies(library, "F1") if copy.condition == "rubbed"]
    bring_in(library, tmp_path, f"copy,condition\n{copy.accession},faded\n")
    assert replace(copy, condition="faded") in copies(library, "F1")


@pytest.mark.parametrize("word", ["none", "None", "NONE"])
def test_a_jacket_of_none_is_a_copy_without_one(word: str) -> None:
    assert (row(jacket=word).jacket, row(jacket=word).has_jacket) == (None, False)


def test_a_value_without_its_basis_is_what_replacing_it_costs() -> None:
    value = row(value="0", currency="EUR").amount
    assert value == ListedValue(Decimal(0), "EUR", Basis.REPLACEMENT, None, "")


@pytest.mark.parametrize(
    ("cells", "reason"),
    [
        ({"key": ""}, RowReason.NO_EDITION_NAMED),
        ({"value": "5"}, RowReason.CURRENCY_MISSING),
        ({"value": "5", "currency": "XQX"}, RowReason.CURRENCY_UNKNOWN),
        ({"value": "five", "currency": "EUR"}, RowReason.NOT_AN_AMOUNT),
        ({"jacket": "torn"}, RowReason.NOT_A_WORD),
        ({"wrapped": "perhaps"}, RowReason.NOT_YES_OR_NO),
        ({"printing": "first"}, RowReason.NOT_WHOLE),
        ({"value": "5", "currency": "EUR", "valued_on": "yesterday"}, RowReason.NOT_A_DATE),
    ],
)
def test_a_cell_that_is_not_what_its_column_holds(cells: dict[str, str], reason: RowReason) -> None:
    with pytest.raises(CellError) as caught:
        row(**cells)
    assert caught.value.reason is reason


@pytest.mark.parametrize(("day", "bad"), [("2026-03-30", False), ("2026-03-31", False), ("2026-04-01", True)])
def test_a_value_may_be_of_today_and_not_of_tomorrow(library: Library, tmp_path: Path, day: str, bad: bool) -> None:
    """The list is imported on 31 March 2026."""
    result = bring_in(library, tmp_path, f"box,key,value,currency,valued_on\n3,G2,5,EUR,{day}\n")
    assert reasons(result) == ([(2, RowReason.FUTURE_VALUE)] if bad else [])
    assert len(copies(library, "G2")) == (0 if bad else 1)


def test_a_value_of_no_day_is_of_the_day_of_the_import(library: Library, tmp_path: Path) -> None:
    bring_in(library, tmp_path, "box,key,value,currency,basis,source\n3,G2,5,usd,agreed,a letter\n3,G2,,,,\n")
    first, second = copies(library, "G2")
    with library.reading() as records:
        (value,) = valuations_of(records, first.accession)
        assert valuations_of(records, second.accession) == ()
    expected = Valuation(
        id=value.id, copy=first.accession, amount=Decimal(5), currency="USD", on=date(2026, 3, 31), basis=Basis.AGREED,
        source="a letter",
    )  # fmt: skip
    assert value == expected


def test_a_copy_has_what_its_row_says(library: Library, tmp_path: Path) -> None:
    text = "box,key,grade,jacket,wrapped,condition,note\n3,G2,Fine,Good,no,boards: rubbed,lent\n,O1,,none,yes,,\n"
    bring_in(library, tmp_path, text)
    (gulls,), (_, charts) = copies(library, "G2"), copies(library, "O1")
    assert (gulls.state, gulls.box, gulls.grade, gulls.jacket, gulls.has_jacket, gulls.wrapped) == (
        CopyState.PACKED, "B3-38", Grade.FINE, Grade.GOOD, True, False,
    )  # fmt: skip
    assert (gulls.condition, gulls.note) == ("boards: rubbed", "lent")
    assert (charts.state, charts.box, charts.has_jacket, charts.wrapped) == (CopyState.AT_HAND, None, False, True)


def test_a_new_box_goes_to_the_room_of_its_first_row_and_a_known_one_keeps_its_own(
    library: Library, tmp_path: Path
) -> None:
    result = bring_in(library, tmp_path, "box,room,key\n3,Hall,G2\n3,Attic,G2\n1,Attic,G2\n")
    with library.reading() as records:
        assert {box.number: box.room for box in list_boxes(records)} == {
            "B1-56": "Study", "B2-47": "Study", "B3-38": "Hall",
        }  # fmt: skip
        assert len(copies_in_box(records, "B3-38")) == 2
    assert (result.made, result.altered, result.unchanged) == (4, 0, 0)


def test_rows_are_matched_with_the_copies_of_that_box_alone(library: Library, tmp_path: Path) -> None:
    """F1 is in box 1, F2 in box 2: one more of F1 there changes nothing, the others are new."""
    result = bring_in(library, tmp_path, "box,key\n1,F1\n2,F1\n1,F2\n1,F1\n,F1\n")
    assert (result.made, result.unchanged) == (4, 1)
    assert [copy.box for copy in copies(library, "F1")] == ["B1-56", "B2-47", "B1-56", None]


def test_a_box_that_was_closed_takes_no_more_but_its_list_may_come_again(library: Library, tmp_path: Path) -> None:
    box_lifecycle.close_box(library, "1", station="test")
    again = bring_in(library, tmp_path, "box,key\n1,F1\n1,G1\n")
    assert (reasons(again), again.unchanged) == ([], 2)
    more = bring_in(library, tmp_path, "box,key\n1,F1\n1,F1\n1,G2\n2,G2\n")
    assert reasons(more) == [(3, RowReason.BOX_NOT_OPEN), (4, RowReason.BOX_NOT_OPEN)]
    assert copies(library, "G2") == []


def test_a_printing_is_of_the_edition_that_the_row_names(library: Library, tmp_path: Path) -> None:
    import_text(library, tmp_path, ListKind.PRINTINGS, "key,printing,year\nG2,1,1996\nG2,2,1999\n")
    bring_in(library, tmp_path, "box,key,printing\n3,G2,2\n3,G2,\n")
    with library.reading() as records:
        second = next(one.id for one in printings_of(records, edition(library, "G2").id) if one.ordinal == 2)
    assert [copy.printing_id for copy in copies(library, "G2")] == [second, None]
    for key, printing in (("G2", 3), ("G1", 2)):
        result = bring_in(library, tmp_path, f"box,key,printing\n3,{key},{printing}\n")
        assert reasons(result) == [(2, RowReason.PRINTING_UNKNOWN)]


def test_a_number_that_two_editions_carry_names_neither(library: Library, tmp_path: Path) -> None:
    result = bring_in(library, tmp_path, "box,key\n3,977026435900-8\n3,977026435900-8 06\n3,F2\n")
    assert reasons(result) == [(2, RowReason.EDITION_AMBIGUOUS)]
    alone = bring_in(library, tmp_path, "box,key\n3,977026435900-8 06\n3,3-16-148410-X\n")
    assert (reasons(alone), [len(copies(library, key)) for key in ("P5", "P6", "F2")]) == ([], [1, 1, 2])


def test_the_columns_have_the_names_people_give_them(library: Library, tmp_path: Path) -> None:
    result = bring_in(library, tmp_path, "Carton,ISBN,Price,Currency\n3,1-85798-218-5,5,EUR\n")
    assert reasons(result) == []
    assert [copy.box for copy in copies(library, "G2")] == ["B3-38"]
    assert len(set(FIELDS)) == len(FIELDS)
