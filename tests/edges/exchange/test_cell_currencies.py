"""Currencies in which spreadsheets format their cells, written by openpyxl, xlsxwriter and odfpy."""

from collections.abc import Sequence
from pathlib import Path

import openpyxl
import pytest
import xlsxwriter
from babel.numbers import get_currency_symbol
from odf import opendocument, table, text
from openpyxl.styles import numbers

from intake.edges.exchange.list_file import open_table, table_kind
from intake.edges.exchange.number_formats import currency_sign

AMOUNTS = [(80, "#,##0.00 [$€-407]"), (40, "[$$-409]#,##0.00"), (30, "[$£-809]#,##0.00"), (7, '"$"#,##0.00'), (5, "0")]
SIGNS = ["EUR", "USD", "GBP", "$", None]


def signs(path: Path, place: int = 1) -> dict[int, str | None]:
    """Return by line what is said of the cells of a column."""
    with open_table(path, table_kind(path)) as found:
        return {row.line: row.signs.get(place) for row in found}


def by_openpyxl(path: Path, amounts: Sequence[tuple[float, str]]) -> None:
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    for amount, code in amounts:
        sheet.append(["K", amount])
        sheet.cell(sheet.max_row, 2).number_format = code
    book.save(path)


def by_xlsxwriter(path: Path, amounts: Sequence[tuple[float, str]]) -> None:
    with xlsxwriter.Workbook(path) as book:
        sheet = book.add_worksheet()
        for row, (amount, code) in enumerate(amounts):
            sheet.write(row, 0, "K")
            sheet.write_number(row, 1, amount, book.add_format({"num_format": code}))


@pytest.mark.parametrize("write", [by_openpyxl, by_xlsxwriter])
def test_number_formats_of_xlsx_tell_the_currency_cell_by_cell(tmp_path: Path, write: object) -> None:
    assert callable(write)
    write(tmp_path / "list.xlsx", AMOUNTS)
    assert signs(tmp_path / "list.xlsx") == dict(enumerate(SIGNS, start=1))


def test_cells_of_ods_tell_their_currency_also_where_rows_and_cells_are_repeated(tmp_path: Path) -> None:
    document = opendocument.OpenDocumentSpreadsheet()
    for name, currencies in (("Other", ["JPY"]), ("List", ["EUR", "GBP"])):
        sheet = table.Table(name=name)
        sheet.addElement(table.TableRow(numberrowsrepeated=2))
        for currency in currencies:
            row = table.TableRow(numberrowsrepeated=2)
            row.addElement(table.TableCell(numbercolumnsrepeated=2))
            cell = table.TableCell(valuetype="currency", value=12.5, currency=currency, numbercolumnsrepeated=2)
            cell.addElement(text.P(text="12.50"))
            row.addElement(cell)
            row.addElement(table.TableCell(valuetype="float", value=3))
            sheet.addElement(row)
        document.spreadsheet.addElement(sheet)
    document.save(str(tmp_path / "list.ods"))
    with open_table(tmp_path / "list.ods", table_kind(tmp_path / "list.ods"), sheet="List") as found:
        rows = {row.line: (row.cells[2:], dict(row.signs)) for row in found}
    amounts = (12.5, 12.5, 3)
    euros, pounds = {2: "EUR", 3: "EUR"}, {2: "GBP", 3: "GBP"}
    assert rows == {3: (amounts, euros), 4: (amounts, euros), 5: (amounts, pounds), 6: (amounts, pounds)}


@pytest.mark.parametrize(
    ("code", "sign"),
    [
        (numbers.FORMAT_CURRENCY_EUR_SIMPLE, "EUR"),
        (numbers.FORMAT_CURRENCY_USD_SIMPLE, "$"),
        (numbers.FORMAT_CURRENCY_USD, "$"),
        (numbers.FORMAT_NUMBER_COMMA_SEPARATED1, ""),
        (numbers.FORMAT_DATE_DDMMYY, ""),
        (numbers.BUILTIN_FORMATS[44], "$"),
        (numbers.BUILTIN_FORMATS[4], ""),
    ],
)
def test_the_formats_that_openpyxl_names(code: str, sign: str) -> None:
    assert currency_sign(code) == sign


@pytest.mark.parametrize(
    ("identifier", "locale", "currency"),
    # Language identifiers of [MS-LCID], from memory; signs as the Unicode CLDR has them.
    [
        ("409", "en_US", "USD"), ("809", "en_GB", "GBP"), ("C09", "en_AU", "AUD"), ("1009", "en_CA", "CAD"),
        ("41D", "sv_SE", "SEK"), ("414", "nb_NO", "NOK"), ("406", "da_DK", "DKK"), ("411", "ja_JP", "JPY"),
        ("407", "de_DE", "EUR"), ("807", "de_CH", "CHF"), ("415", "pl_PL", "PLN"), ("40E", "hu_HU", "HUF"),
    ],
)  # fmt: skip
def test_the_country_of_a_format_tells_which_of_the_currencies_of_its_sign(
    identifier: str, locale: str, currency: str
) -> None:
    sign = get_currency_symbol(currency, locale)
    assert currency_sign(f"#,##0.00\\ [${sign}-{identifier}]") == currency
    assert currency_sign(f"_-* #,##0.00\\ [${sign}-{identifier}]_-;[Red]\\-0") == currency


@pytest.mark.parametrize(
    "code", ['0.0 "kg"', '0 "ft"', '0 "cts"', "[$-409]d mmm yy", "[Red]0", '0 "EUR"" / ""GBP"', "General"]
)
def test_what_is_no_currency_or_two_is_none(code: str) -> None:
    assert currency_sign(code) == ""


def test_a_sign_that_its_country_does_not_use_stays_a_sign() -> None:
    assert currency_sign("[$$-407]0") == "$"
