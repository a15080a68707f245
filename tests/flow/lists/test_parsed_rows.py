"""All that is wrong with a row is found at once, and what a record can do without may be left empty."""

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

from intake.errors import FileError
from intake.flow.lists.copies import parse_copy
from intake.flow.lists.editions import parse_edition
from intake.flow.lists.import_list import COLUMNS, ListKind
from intake.flow.lists.list_guess import ListReading
from intake.flow.lists.open_list import open_list
from intake.flow.lists.parsed_rows import ParsedRows, parse_rows
from intake.flow.lists.reasons import BadRow, RowReason
from tests.flow.lists.test_open_list import TODAY

PARSERS: dict[ListKind, Any] = {ListKind.EDITIONS: parse_edition, ListKind.COPIES: parse_copy}


def parsed(folder: Path, text: str, kind: ListKind = ListKind.EDITIONS, *, empty: bool = False) -> ParsedRows:
    path = folder / "list.csv"
    path.write_text(text, encoding="utf-8")
    with open_list(path, kind.value, COLUMNS[kind], reading=ListReading(units={}), today=TODAY) as found:
        headings = {field: field for field in found.rows.header}
        return parse_rows(found.rows, headings, PARSERS[kind], empty_bad_cells=empty)


def reasons(rows: Sequence[BadRow]) -> list[list[tuple[str, RowReason]]]:
    return [[(fault.field, fault.reason) for fault in row.faults] for row in rows]


BAD = """title,isbn,year,pages,height_mm,author
Owls,9780306406158,soon,many,3,Ada
,,1999,12,240,Bo
Finches,9780306406157,3999,12,240,Cy
"""


def test_every_fault_of_a_row_is_told_at_once(tmp_path: Path) -> None:
    rows = parsed(tmp_path, BAD)
    assert reasons(rows.bad) == [
        [
            ("height_mm", RowReason.SIZE_UNLIKELY),
            ("number", RowReason.NUMBER_REPAIRABLE),
            ("year", RowReason.NOT_WHOLE),
            ("pages", RowReason.NOT_WHOLE),
        ],
        [("title", RowReason.EMPTY)],
        [("year", RowReason.YEAR_IMPOSSIBLE)],
    ]
    assert rows.good == []


def test_only_what_a_book_can_do_without_is_left_empty_when_asked(tmp_path: Path) -> None:
    rows = parsed(tmp_path, BAD, empty=True)
    assert [(line, edition.title, edition.year, edition.pages) for line, (edition, _) in rows.good] == [
        (4, "Finches", None, 12)
    ]
    assert reasons(rows.emptied) == [[("year", RowReason.YEAR_IMPOSSIBLE)]]
    assert [row.line for row in rows.bad] == [2, 3]


def test_a_value_and_a_name_are_never_left_empty_and_the_day_of_a_value_may_be(tmp_path: Path) -> None:
    text = "key,value,currency,valued_on,printing\nK,x,EUR,,\nK,5,EUR,soon,\nK,5,EUR,,first\nK,5,,,\n"
    rows = parsed(tmp_path, text, ListKind.COPIES, empty=True)
    assert [[field for field, _ in row] for row in reasons(rows.bad)] == [
        ["value"],
        ["printing"],
        ["value"],
    ]
    assert ([line for line, _ in rows.good], [fault.field for fault in rows.emptied]) == ([3], ["valued_on"])


def test_a_row_without_what_it_needs_is_bad_whatever_else_is_left_empty(tmp_path: Path) -> None:
    rows = parsed(tmp_path, "title,year,author\n,soon,Ada\n", empty=True)
    assert reasons(rows.bad) == [[("title", RowReason.EMPTY), ("year", RowReason.NOT_WHOLE)]]
    rows = parsed(tmp_path, "title,height_mm,author\n,3,Ada\n", empty=True)
    assert reasons(rows.bad) == [[("height_mm", RowReason.SIZE_UNLIKELY), ("title", RowReason.EMPTY)]]
    rows = parsed(tmp_path, "key,isbn,grade\n,,lovely\n", ListKind.COPIES, empty=True)
    assert reasons(rows.bad) == [[("grade", RowReason.GRADE_UNKNOWN), ("", RowReason.NO_EDITION_NAMED)]]
    rows = parsed(tmp_path, "isbn,grade\n9.78E+12,Fine\n", ListKind.COPIES, empty=True)
    assert reasons(rows.bad) == [[("isbn", RowReason.NUMBER_ROUNDED)]]
    assert rows.good == []


def test_a_list_too_large_to_be_one_is_refused_at_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "list.csv"
    path.write_text("title\nOwls\nFinches\n", encoding="utf-8")
    monkeypatch.setattr("intake.flow.lists.open_list.MOST_ROWS", 1)
    with pytest.raises(FileError) as caught, open_list(path, "editions", COLUMNS[ListKind.EDITIONS], today=TODAY):
        pass
    assert "more than 1 rows" in caught.value.why
    with path.open("r+b") as file:
        file.truncate(2 << 30)  # a sparse file of 2 GB, of which nothing is read but its beginning
    with pytest.raises(FileError) as caught, open_list(path, "editions", COLUMNS[ListKind.EDITIONS], today=TODAY):
        pass
    assert "2,048 MB" in caught.value.why
