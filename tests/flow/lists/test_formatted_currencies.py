"""Amounts whose currency only the format of their cell tells."""

from pathlib import Path

import openpyxl

from intake.flow.lists.import_list import ListKind
from intake.flow.lists.list_guess import ListReading
from intake.flow.lists.reasons import RowReason
from tests.flow.lists.test_open_list import cells, opened, reasons


def written(folder: Path, *rows: tuple[str | int, ...], formats: tuple[str, ...], heading: str = "Price") -> Path:
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    sheet.append(["Ref", heading, "Currency"])
    for row, code in zip(rows, formats, strict=True):
        sheet.append(row)
        sheet.cell(sheet.max_row, 2).number_format = code
    book.save(folder / "list.xlsx")
    return folder / "list.xlsx"


EURO, DOLLARS, UNTOLD, PLAIN = "0.00 [$€-407]", "[$$-409]0.00", '"$"0.00', "0.00"


def test_each_row_has_the_currency_of_its_cell_and_all_are_told(tmp_path: Path) -> None:
    path = written(tmp_path, ("K", 80), ("L", 40), ("M", 30), formats=(EURO, DOLLARS, EURO))
    guess, rows, _ = opened(path, ListKind.COPIES)
    assert (cells(rows, "value"), cells(rows, "currency")) == (["80", "40", "30"], ["EUR", "USD", "EUR"])
    assert guess.columns[1].currencies == {"EUR": 2, "USD": 1}


def test_a_sign_of_several_currencies_is_refused_until_a_person_says_which(tmp_path: Path) -> None:
    path = written(tmp_path, ("K", 80), ("L", 40), ("M", 30), formats=(UNTOLD, EURO, PLAIN))
    _, rows, _ = opened(path, ListKind.COPIES)
    assert reasons(rows) == [RowReason.CURRENCY_SHARED, None, None]
    _, rows, _ = opened(path, ListKind.COPIES, ListReading(units={"value": "CAD"}))
    assert cells(rows, "currency") == ["CAD", "EUR", "CAD"]
    _, rows, _ = opened(path, ListKind.COPIES, ListReading(units={"value": "EUR"}))
    assert reasons(rows) == [RowReason.CURRENCY_DIFFERS, None, None]


def test_a_column_or_heading_that_contradicts_the_cell_is_refused(tmp_path: Path) -> None:
    path = written(tmp_path, ("K", 80, "GBP"), ("L", 40, "EUR"), ("M", 30), formats=(EURO, EURO, EURO))
    _, rows, _ = opened(path, ListKind.COPIES)
    assert reasons(rows) == [RowReason.CURRENCY_DIFFERS, None, None]
    assert cells(rows, "currency")[1:] == ["EUR", "EUR"]
    path = written(tmp_path, ("K", 80), ("L", 40), formats=(EURO, UNTOLD), heading="Price (USD)")
    _, rows, _ = opened(path, ListKind.COPIES)
    assert reasons(rows) == [RowReason.CURRENCY_DIFFERS, None]
    assert cells(rows, "currency")[1] == "USD"
