"""Headings and cells of a person's lists."""

from datetime import date
from decimal import Decimal

import pytest

from intake.edges.csv_rows import RowFault, SheetRow
from intake.errors import FileError, UsageError
from intake.flow.lists.columns import Cells, ListColumn, word
from intake.flow.lists.headings import map_columns
from intake.flow.lists.parsed_rows import parse_rows
from intake.flow.lists.reasons import BadRow, CellError, RowReason
from intake.model.editions import Grade

COLUMNS = (
    ListColumn("title", ("book title",), required=True),
    ListColumn("number", ("isbn", "ean")),
    ListColumn("year"),
)


def test_headings_are_found_whatever_their_case_spaces_and_hyphens() -> None:
    headings = map_columns([" Book-Title ", "ISBN"], COLUMNS, file="a.csv", mapping={})
    assert headings == {"title": " Book-Title ", "number": "ISBN"}


def test_the_person_may_name_a_column() -> None:
    headings = map_columns(["Werk", "Code"], COLUMNS, file="a.csv", mapping={"title": "Werk", "number": "code"})
    assert headings == {"title": "Werk", "number": "Code"}


def test_a_missing_column_names_the_file_the_field_and_the_remedy() -> None:
    with pytest.raises(FileError) as error:
        map_columns(["titlle", "isbn"], COLUMNS, file="a.csv", mapping={})
    assert error.value.thing == "a.csv"
    assert "--map title=titlle" in error.value.remedy


@pytest.mark.parametrize("mapping", [{"colour": "isbn"}, {"title": "Werk"}])
def test_an_unknown_field_or_heading_is_wrong_use(mapping: dict[str, str]) -> None:
    with pytest.raises(UsageError):
        map_columns(["title", "isbn"], COLUMNS, file="a.csv", mapping=mapping)


def cells(**texts: str) -> Cells:
    return Cells(texts, {name: name for name in texts})


def test_cells_say_what_they_say() -> None:
    row = cells(year=" 1998 ", height="24,5", value="120.00", on="2026-01-15", wrapped="Yes", empty="")
    assert row.whole("year") == 1998
    assert row.length("height") == 24.5
    assert row.amount("value") == Decimal("120.00")
    assert row.day("on") == date(2026, 1, 15)
    assert row.yes("wrapped") is True
    assert row.yes("empty") is False
    assert row.whole("empty") is None
    assert row.text("no such column") == ""


@pytest.mark.parametrize(
    ("ask", "text", "reason"),
    [
        (Cells.whole, "c. 1990", RowReason.NOT_WHOLE),
        (Cells.length, "big", RowReason.NOT_A_NUMBER),
        (Cells.length, "-3", RowReason.NOT_A_SIZE),
        (Cells.length, "nan", RowReason.NOT_A_SIZE),
        (Cells.amount, "12,50 EUR", RowReason.NOT_AN_AMOUNT),
        (Cells.amount, "NaN", RowReason.NOT_AN_AMOUNT),
        (Cells.amount, "-1", RowReason.NOT_AN_AMOUNT),
        (Cells.day, "15.1.2026", RowReason.NOT_A_DATE),
        (Cells.yes, "perhaps", RowReason.NOT_YES_OR_NO),
    ],
)
def test_a_cell_that_cannot_be_understood_is_a_reason_and_no_guess(ask: object, text: str, reason: RowReason) -> None:
    with pytest.raises(CellError) as error:
        ask(cells(field=text), "field")  # type: ignore[operator] # a method of Cells, taken from the table
    assert (error.value.reason, error.value.facts) == (reason, {"field": "field", "text": text})


def test_words_come_from_a_closed_list() -> None:
    assert word(Grade, "very good", "grade") is Grade.VERY_GOOD
    with pytest.raises(CellError) as error:
        word(Grade, "nice", "grade")
    assert error.value.reason is RowReason.NOT_A_WORD
    assert error.value.facts["words"] == "As New, Fine, Near Fine, Very Good, Good, Fair, Poor"


def test_bad_rows_keep_their_line_and_their_reason() -> None:
    rows: list[SheetRow | RowFault] = [
        SheetRow(2, {"y": "1"}),
        SheetRow(3, {"y": "x"}),
        RowFault(4, 3, 1),
        SheetRow(5, {"y": "3"}),
    ]
    parsed = parse_rows(rows, {"year": "y"}, lambda row: row.whole("year"))
    assert parsed.good == [(2, 1), (5, 3)]
    assert parsed.bad == [
        BadRow(3, RowReason.NOT_WHOLE, {"field": "year", "text": "x"}, "year"),
        BadRow(4, RowReason.TOO_MANY_CELLS, {"cells": 3, "columns": 1}),
    ]
