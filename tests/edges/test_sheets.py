"""Tables: read back by Python's own csv and by openpyxl, in every encoding a spreadsheet program writes."""

import csv
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from intake.edges import sheets, workbook_writer
from intake.errors import FileError
from intake.model.currencies import Money

TEXT = "isbn,title\n9780306406157,Gräser\n,鳥の島\n"
# A cell holds a wall clock, without a zone.
DAY, NOON = datetime.fromisoformat("2026-02-01"), datetime.fromisoformat("2026-02-01T12:30")
DANGEROUS = ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1"]
# Anything a file can hold: no NUL, no half characters.
CELLS = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=20)


def first_sheet(path: Path, *, data_only: bool = False) -> Any:
    return openpyxl.load_workbook(path, data_only=data_only).active


def put(folder: Path, data: bytes) -> Path:
    path = folder / "table.csv"
    path.write_bytes(data)
    return path


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_every_unicode_encoding_and_delimiter(tmp_path: Path, encoding: str, delimiter: str) -> None:
    table = sheets.read_csv(put(tmp_path, TEXT.replace(",", delimiter).encode(encoding)))
    assert table.header == ("isbn", "title")
    assert [(row.line, dict(row.cells)) for row in table.rows] == [
        (2, {"isbn": "9780306406157", "title": "Gräser"}),
        (3, {"isbn": "", "title": "鳥の島"}),
    ]


@pytest.mark.parametrize("byte_order", ["utf-16-le", "utf-16-be"])
def test_utf_16_without_a_mark_is_told_by_its_nul_bytes(tmp_path: Path, byte_order: str) -> None:
    table = sheets.read_csv(put(tmp_path, TEXT.encode(byte_order)))
    assert [row.cells["title"] for row in table.rows] == ["Gräser", "鳥の島"]


def test_another_encoding_is_refused_with_the_place(tmp_path: Path) -> None:
    with pytest.raises(FileError) as caught:
        sheets.read_csv(put(tmp_path, b"isbn,title\n1,Ur\n2,Gr\xe4ser\n"))
    assert "0xE4" in caught.value.why
    assert "line 3" in caught.value.why


@pytest.mark.parametrize(
    "data", [b"", b"\xef\xbb\xbf", b"\n \n", b"a,a\n1,2\n", b"a,,c\n1,2,3\n", b'a,b\n"1,2\n', b"a,b\n\0,2\n"]
)
def test_a_table_that_cannot_be_used_is_refused(tmp_path: Path, data: bytes) -> None:
    with pytest.raises(FileError):
        sheets.read_csv(put(tmp_path, data))


def test_rows_keep_the_line_they_begin_on(tmp_path: Path) -> None:
    data = b'a,b\r\n1,"two\r\nlines"\r\n\r\n3\r\n1,2,3\r\n4,5\r\n'
    table = sheets.read_csv(put(tmp_path, data))
    assert [(row.line, row.cells["a"], row.cells["b"]) for row in table.rows] == [
        (2, "1", "two\r\nlines"), (5, "3", ""), (7, "4", "5"),
    ]  # fmt: skip
    assert [fault.line for fault in table.faults] == [6]


def test_empty_columns_at_the_right_are_no_columns(tmp_path: Path) -> None:
    table = sheets.read_csv(put(tmp_path, b"a,b,,\n1,2,,\n"))
    assert table.header == ("a", "b")


def test_a_missing_file(tmp_path: Path) -> None:
    with pytest.raises(FileError):
        sheets.read_csv(tmp_path / "none.csv")


def test_csv_is_what_rfc_4180_says(tmp_path: Path) -> None:
    path = tmp_path / "out.csv"
    path.write_bytes(sheets.csv_bytes(["a", "b"], [['x"y', "1,2"], [None, date(2026, 3, 4)], [Decimal("-1.50"), True]]))
    assert path.read_bytes() == b'a,b\r\n"x""y","1,2"\r\n,2026-03-04\r\n-1.50,True\r\n'


@pytest.mark.parametrize("text", DANGEROUS)
def test_no_text_becomes_a_formula(tmp_path: Path, text: str) -> None:
    (tmp_path / "out.csv").write_bytes(sheets.csv_bytes(["a"], [[text]]))
    with (tmp_path / "out.csv").open(encoding="utf-8", newline="") as file:
        assert list(csv.reader(file))[1] == ["'" + text]
    (tmp_path / "out.xlsx").write_bytes(workbook_writer.xlsx_bytes(["a"], [[text]], title="t"))
    cell = first_sheet(tmp_path / "out.xlsx")["A2"]
    assert cell.data_type == "s"
    assert cell.value.replace("_x000D_", "\r") == text


@settings(deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(rows=st.lists(st.tuples(CELLS, CELLS), max_size=8))
@example(rows=[("", "\t")])
def test_what_is_saved_is_read_back(tmp_path: Path, rows: list[tuple[str, str]]) -> None:
    path = tmp_path / "out.csv"
    path.write_bytes(sheets.csv_bytes(["a", "b"], rows))
    table = sheets.read_csv(path)
    assert not table.faults
    assert [tuple(row.cells.values()) for row in table.rows] == [row for row in rows if any(map(str.strip, row))]


def test_a_number_is_never_written_with_an_exponent() -> None:
    rows: list[list[sheets.Cell]] = [[Money(Decimal("1E+3"), "JPY")], [Money(Decimal("1E+3"), "EUR")]]
    assert sheets.csv_bytes(["a"], rows) == b"a\r\n1000\r\n1000.00\r\n"
