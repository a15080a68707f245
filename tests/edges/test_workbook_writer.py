"""Workbooks, read back by openpyxl."""

import csv
import io
import zipfile
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from intake.edges import sheets, workbook_writer
from intake.edges.exchange.cell_currencies import cell_currencies
from intake.edges.exchange.table_cells import TableKind
from intake.edges.exchange.text_table import plain_text
from intake.errors import UsageError
from intake.model.currencies import Money

# A cell holds a wall clock, without a zone.
DAY, NOON = datetime.fromisoformat("2026-02-01"), datetime.fromisoformat("2026-02-01T12:30")

Rows = list[list[sheets.Cell]]


def first_sheet(path: Path, *, data_only: bool = False) -> Any:
    return openpyxl.load_workbook(path, data_only=data_only).active


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
    path.write_bytes(workbook_writer.xlsx_bytes(header, rows, title="Insurance: 2026", totals=totals))
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
        workbook_writer.xlsx_bytes(["value", "currency", "basis"], rows, title="t", totals=totals)
    )
    sheet = first_sheet(tmp_path / "out.xlsx")
    forms = {code: f"[${code}] #,##0.{'0' * n}".rstrip(".") for code, n in zip(codes, places, strict=True)}
    assert [sheet.cell(row, 1).number_format for row in range(2, 10)] == [forms[code] for code in codes for _ in "12"]
    feet = {(sheet.cell(row, 2).value, sheet.cell(row, 3).value): sheet.cell(row, 1) for row in range(11, 19)}
    assert {key: cell.number_format for key, cell in feet.items()} == {
        (code, basis): forms[code] for code in codes for basis in ("market", "agreed")
    }
    assert feet["BHD", "agreed"].value == "=SUMIFS($A$2:$A$9,$B$2:$B$9,B11,$C$2:$C$9,C11)"
    shown = first_sheet(tmp_path / "out.xlsx", data_only=True)
    assert [shown.cell(row, 1).value for row in range(11, 19)] == [80] * 8


def test_the_same_table_gives_the_same_workbook() -> None:
    first, second = (workbook_writer.xlsx_bytes(["a"], [["x"]], title="t") for _ in range(2))
    assert first == second
    assert zipfile.ZipFile(io.BytesIO(first)).testzip() is None


def test_a_text_too_long_for_a_cell_is_never_dropped() -> None:
    with pytest.raises(UsageError):
        workbook_writer.xlsx_bytes(["a"], [["x" * 32_768]], title="t")


def test_a_total_of_no_column_is_refused() -> None:
    with pytest.raises(UsageError):
        workbook_writer.xlsx_bytes(["a"], [["x"]], title="t", totals={"b": None})


def test_a_large_workbook_is_written_row_by_row_and_holds_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    rows = [["=1+1", 3, 2.5, Decimal("1.50"), date(2026, 3, 31), True, None, "é"] for _ in range(40)]
    header = [f"column {n}" for n in range(8)]
    books = []
    for large in (10, 1000):
        monkeypatch.setattr(workbook_writer, "LARGE_ROWS", large)
        made = workbook_writer.xlsx_bytes(header, rows, title="Books", totals={"column 3": None}, proof="proof")
        books.append(openpyxl.load_workbook(io.BytesIO(made)))
    for name in ("Books", "Proof"):
        cells = [[[cell.value for cell in row] for row in book[name]] for book in books]
        assert cells[0] == cells[1]
    assert books[0]["Books"].column_dimensions["A"].width == books[1]["Books"].column_dimensions["A"].width


def test_a_workbook_prints_with_its_header_on_every_page() -> None:
    data = workbook_writer.xlsx_bytes(("Copy", "Value"), [("A1", 1)], title="Gulls & Terns")
    sheet = openpyxl.load_workbook(io.BytesIO(data)).worksheets[0]
    assert (sheet.print_title_rows, sheet.page_setup.orientation, sheet.page_setup.fitToHeight) == (
        "$1:$1",
        "landscape",
        0,
    )
    footer = sheet.oddFooter
    assert footer is not None
    assert (footer.left.text, footer.right.text) == ("Gulls && Terns", "page &P of &N")


def test_a_column_with_several_currencies_has_one_format_for_each_of_them(tmp_path: Path) -> None:
    # The finest amount in a currency decides for all of them, so that the decimal marks stand below one another.
    amounts = [("12.5", "EUR"), ("0.005", "EUR"), ("9001", "JPY"), ("10.125", "BHD")]
    rows: Rows = [[Money(Decimal(amount), code), code] for amount, code in amounts]
    path = tmp_path / "out.xlsx"
    path.write_bytes(workbook_writer.xlsx_bytes(["Value", "Currency"], rows, title="t", totals={"Value": "Currency"}))
    sheet = first_sheet(path)
    assert [(cell.value, cell.number_format) for cell in sheet["A"][1:5]] == [
        (12.5, "[$EUR] #,##0.000"), (0.005, "[$EUR] #,##0.000"), (9001, "[$JPY] #,##0"), (10.125, "[$BHD] #,##0.000"),
    ]  # fmt: skip
    assert [cell.number_format for cell in sheet["A"][6:]] == ["[$BHD] #,##0.000", "[$EUR] #,##0.000", "[$JPY] #,##0"]
    # Our own import tells the currencies from these formats alone.
    told = cell_currencies(path, TableKind.XLSX, "t")
    assert [told.of_row(row)[0] for row in range(2, 6)] == ["EUR", "EUR", "JPY", "BHD"]


def test_the_list_and_its_columns_have_names_that_formulas_can_use(tmp_path: Path) -> None:
    path = tmp_path / "out.xlsx"
    header = ["Copy", "Gross mass (g)", "Box 1", "R2", "list", "copy"]
    rows: Rows = [[f"A{n}", 900 + n, "B1", "", "", ""] for n in range(3)]
    path.write_bytes(workbook_writer.xlsx_bytes(header, rows, title="Gulls & Terns", totals={"Gross mass (g)": None}))
    book = openpyxl.load_workbook(path)
    named = {name: list(one.destinations) for name, one in book.defined_names.items()}
    assert named == {
        "List": [("Gulls & Terns", "$A$1:$F$4")],
        "Copy": [("Gulls & Terns", "$A$2:$A$4")],
        "Gross_mass_g": [("Gulls & Terns", "$B$2:$B$4")],
        "Box_1": [("Gulls & Terns", "$C$2:$C$4")],
        "R2_": [("Gulls & Terns", "$D$2:$D$4")],
        "list_": [("Gulls & Terns", "$E$2:$E$4")],
        "copy_": [("Gulls & Terns", "$F$2:$F$4")],
    }
    # The sum below the list is printed too.
    assert book.worksheets[0].print_area == "'Gulls & Terns'!$A$1:$F$6"


def test_columns_are_as_wide_as_what_they_show(tmp_path: Path) -> None:
    path = tmp_path / "out.xlsx"
    rows: Rows = [[Money(Decimal(1_234_567), "EUR"), "a line\nand a longer line", "word " * 40]]
    path.write_bytes(workbook_writer.xlsx_bytes(["Value", "Note", "More"], rows, title="t"))
    sheet = first_sheet(path)
    widths = [sheet.column_dimensions[letter].width for letter in "ABC"]
    assert widths[0] >= len("EUR 1,234,567.00")
    assert len("and a longer line") <= widths[1] < 25
    assert widths[2] < 65
    assert sheet["C2"].alignment.wrap_text


@pytest.mark.parametrize("text", ["'=1+1", "''=1+1", "'-", "'@ home", "=1+1", "'tis", "-1", "plain"])
def test_an_apostrophe_of_a_text_comes_back_from_both_files(tmp_path: Path, text: str) -> None:
    """Read by openpyxl and Python's own csv; then one apostrophe is taken off, as the import does."""
    path = tmp_path / "out.xlsx"
    path.write_bytes(workbook_writer.xlsx_bytes(["title"], [[text]], title="Books"))
    assert plain_text(first_sheet(path)["A2"].value) == text
    _, (written,) = csv.reader(io.StringIO(sheets.csv_bytes(["title"], [[text]]).decode(), newline=""))
    assert plain_text(written) == text
