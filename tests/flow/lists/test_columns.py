"""Headings and cells of a person's lists."""

from datetime import date
from decimal import Decimal

import pytest

from intake.errors import FileError, UsageError
from intake.flow.lists.columns import BadRow, CellError, Cells, ListColumn, map_columns, parse_rows, word
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


def test_a_missing_column_names_the_file_the_field_and_the_mend() -> None:
    with pytest.raises(FileError) as error:
        map_columns(["titel", "isbn"], COLUMNS, file="a.csv", mapping={})
    assert error.value.thing == "a.csv"
    assert "--map title=titel" in error.value.remedy


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
    ("ask", "text"),
    [
        (Cells.whole, "c. 1990"),
        (Cells.length, "big"),
        (Cells.length, "-3"),
        (Cells.length, "nan"),
        (Cells.length, "0"),
        (Cells.length, "10000000"),
        (Cells.amount, "12,50 EUR"),
        (Cells.amount, "NaN"),
        (Cells.amount, "-1"),
        (Cells.day, "15.1.2026"),
        (Cells.yes, "perhaps"),
    ],
)
def test_a_cell_that_cannot_be_understood_is_a_reason_and_no_guess(ask: object, text: str) -> None:
    with pytest.raises(CellError) as error:
        ask(cells(field=text), "field")  # type: ignore[operator] # a method of Cells, taken from the table
    assert text in str(error.value)


def test_words_come_from_a_closed_list() -> None:
    assert word(Grade, "very good", "grade") is Grade.VERY_GOOD
    with pytest.raises(CellError, match="Near Fine"):
        word(Grade, "nice", "grade")


def test_bad_rows_keep_their_line() -> None:
    good, bad = parse_rows(
        [(2, {"y": "1"}), (3, {"y": "x"}), (4, {"y": "3"})], {"year": "y"}, lambda row: row.whole("year")
    )
    assert good == [(2, 1), (4, 3)]
    assert bad == [BadRow(3, "year 'x' is not a whole number")]
