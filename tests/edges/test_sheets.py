"""Tables: read back by Python's own csv and by openpyxl, in every encoding a spreadsheet program writes."""

import csv
import io
import zipfile
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from intake.edges import sheets
from intake.errors import FileError, UsageError
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
    (tmp_path / "out.xlsx").write_bytes(sheets.xlsx_bytes(["a"], [[text]], title="t"))
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


def test_numbers_and_dates_are_real_in_a_workbook(tmp_path: Path) -> None:
    path = tmp_path / "out.xlsx"
    rows: list[list[sheets.Cell]] = [
        ["A1-71", Decimal("100.10"), "EUR", date(2026, 2, 1), 3, True],
        ["A2-68", Decimal("0.20"), "EUR", date(1890, 5, 1), 4, False],
        ["A3-65", Decimal("800"), "JPY", NOON, None, None],
        ["A4-62", None, "", None, 2, None],
    ]
    header = ["copy", "value", "currency", "on", "count", "seen"]
    totals = {"value": "currency", "count": None}
    path.write_bytes(sheets.xlsx_bytes(header, rows, title="Insurance: 2026", totals=totals))
    sheet = first_sheet(path)
    assert sheet.freeze_panes == "A2"
    assert sheet.auto_filter.ref == "A1:F5"
    assert [cell.value for cell in sheet[1]] == header
    assert (sheet["B2"].value, sheet["D2"].value, sheet["E2"].value) == (100.1, DAY, 3)
    assert sheet["D3"].value == "1890-05-01"  # before the format's own calendar
    assert sheet["D4"].value == NOON
    assert sheet["B5"].value is None
    assert [sheet.cell(row, 2).value for row in (7, 8)] == [
        "=SUMIF($C$2:$C$5,C7,$B$2:$B$5)",
        "=SUMIF($C$2:$C$5,C8,$B$2:$B$5)",
    ]
    assert sheet["E9"].value == "=SUM($E$2:$E$5)"
    shown = first_sheet(path, data_only=True)
    assert [shown.cell(7, 2).value, shown.cell(8, 2).value, shown["E9"].value] == [pytest.approx(100.3), 800, 9]
    assert [shown["C7"].value, shown["C8"].value] == ["EUR", "JPY"]


def test_money_has_the_decimals_of_its_currency_in_both_files(tmp_path: Path) -> None:
    # ISO 4217, list one: EUR 2, JPY 0, BHD 3, CLF 4; the package iso4217 carries the list of the maintenance agency.
    iso4217 = pytest.importorskip("iso4217", reason="the package iso4217 is not installed")
    codes = ("EUR", "JPY", "BHD", "CLF")
    rows = [[Money(Decimal(80), code), code, basis] for code in codes for basis in ("market", "agreed")]
    (tmp_path / "out.csv").write_bytes(sheets.csv_bytes(["value", "currency", "basis"], rows))
    written = [row.cells["value"] for row in sheets.read_csv(tmp_path / "out.csv").rows]
    places = [iso4217.Currency(code).exponent for code in codes]
    assert written[::2] == [f"{80:.{n}f}" for n in places] == ["80.00", "80", "80.000", "80.0000"]
    totals: dict[str, sheets.SplitBy] = {"value": ("currency", "basis")}
    (tmp_path / "out.xlsx").write_bytes(
        sheets.xlsx_bytes(["value", "currency", "basis"], rows, title="t", totals=totals)
    )
    sheet = first_sheet(tmp_path / "out.xlsx")
    forms = {code: f"#,##0.{'0' * n}".rstrip(".") for code, n in zip(codes, places, strict=True)}
    assert [sheet.cell(row, 1).number_format for row in range(2, 10)] == [forms[code] for code in codes for _ in "12"]
    feet = {(sheet.cell(row, 2).value, sheet.cell(row, 3).value): sheet.cell(row, 1) for row in range(11, 19)}
    assert {key: cell.number_format for key, cell in feet.items()} == {
        (code, basis): forms[code] for code in codes for basis in ("market", "agreed")
    }
    assert feet["BHD", "agreed"].value == "=SUMIFS($A$2:$A$9,$B$2:$B$9,B11,$C$2:$C$9,C11)"
    shown = first_sheet(tmp_path / "out.xlsx", data_only=True)
    assert [shown.cell(row, 1).value for row in range(11, 19)] == [80] * 8


def test_a_number_is_never_written_with_an_exponent() -> None:
    rows: list[list[sheets.Cell]] = [[Money(Decimal("1E+3"), "JPY")], [Money(Decimal("1E+3"), "EUR")]]
    assert sheets.csv_bytes(["a"], rows) == b"a\r\n1000\r\n1000.00\r\n"


def test_the_same_table_gives_the_same_workbook() -> None:
    first, second = (sheets.xlsx_bytes(["a"], [["x"]], title="t") for _ in range(2))
    assert first == second
    assert zipfile.ZipFile(io.BytesIO(first)).testzip() is None


def test_a_text_too_long_for_a_cell_is_never_dropped() -> None:
    with pytest.raises(UsageError):
        sheets.xlsx_bytes(["a"], [["x" * 32_768]], title="t")


def test_a_total_of_no_column_is_refused() -> None:
    with pytest.raises(UsageError):
        sheets.xlsx_bytes(["a"], [["x"]], title="t", totals={"b": None})


def test_a_large_workbook_is_written_row_by_row_and_holds_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    rows = [["=1+1", 3, 2.5, Decimal("1.50"), date(2026, 3, 31), True, None, "é"] for _ in range(40)]
    header = [f"column {n}" for n in range(8)]
    books = []
    for large in (10, 1000):
        monkeypatch.setattr(sheets, "LARGE_ROWS", large)
        made = sheets.xlsx_bytes(header, rows, title="Books", totals={"column 3": None}, proof="proof")
        books.append(openpyxl.load_workbook(io.BytesIO(made)))
    for name in ("Books", "Proof"):
        cells = [[[cell.value for cell in row] for row in book[name]] for book in books]
        assert cells[0] == cells[1]
    assert books[0]["Books"].column_dimensions["A"].width == books[1]["Books"].column_dimensions["A"].width


def test_a_workbook_prints_with_its_header_on_every_page() -> None:
    data = sheets.xlsx_bytes(("Copy", "Value"), [("A1", 1)], title="Gulls & Terns")
    sheet = openpyxl.load_workbook(io.BytesIO(data)).worksheets[0]
    assert (sheet.print_title_rows, sheet.page_setup.orientation, sheet.page_setup.fitToHeight) == (
        "$1:$1",
        "landscape",
        0,
    )
    footer = sheet.oddFooter
    assert footer is not None
    assert (footer.left.text, footer.right.text) == ("Gulls && Terns", "page &P of &N")
