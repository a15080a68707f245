"""Tables: CSV in both directions, XLSX only written.

CSV is made after RFC 4180 in UTF-8; a cell that a spreadsheet program could take for a formula gets an apostrophe
before it, which is taken off again when it is read (`csv_rows`). Does not know what the columns mean.
"""

import csv
import io
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import Path

import xlsxwriter
from xlsxwriter.utility import xl_col_to_name, xl_range_abs

from intake.edges.csv_rows import FORMULA, CsvFile, RowFault, SheetRow
from intake.errors import FileError, UsageError

Cell = str | int | float | Decimal | date | datetime | bool | None

XLSX_ROWS, XLSX_LETTERS = 1_048_576, 32_767
"""Limits of the file format (ECMA-376 as its first producer applies it)."""
EXCEL_START = date(1900, 3, 1)
"""Earlier dates have no reliable number, because the format includes a 29 February 1900."""
MADE = datetime(2000, 1, 1, tzinfo=UTC).replace(tzinfo=None)
"""A fixed creation time, so that the same table gives the same bytes."""


@dataclass(frozen=True, slots=True)
class Table:
    """A table: names of the columns, usable rows, and rows that cannot be used."""

    header: tuple[str, ...]
    rows: tuple[SheetRow, ...]
    faults: tuple[RowFault, ...] = ()

    def __iter__(self) -> Iterator[SheetRow | RowFault]:
        """Yield the rows, then the faults."""
        yield from self.rows
        yield from self.faults


def read_csv(path: Path) -> Table:
    """Read the whole of a CSV file with a header; one that may be large is read row by row, with `CsvFile`.

    Args:
        path: UTF-8 with or without a byte order mark, or UTF-16 with one; separated by comma, semicolon or tab.

    Returns:
        The rows; short rows are padded with empty cells, blank rows skipped, over-long rows listed as faults.

    Raises:
        FileError: it cannot be read, is not Unicode text, or has no usable header.
    """
    file = CsvFile(path)
    lines = tuple(file)
    rows = tuple(line for line in lines if isinstance(line, SheetRow))
    return Table(file.header, rows, tuple(line for line in lines if isinstance(line, RowFault)))


def csv_bytes(header: Sequence[str], rows: Iterable[Sequence[Cell]]) -> bytes:
    """Return a CSV file.

    Args:
        header: names of the columns.
        rows: numbers are written as by Python, dates in ISO 8601 form, None as an empty cell.

    Raises:
        FileError: a text holds half a character.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([_neutral(name) for name in header])
    # A row of one empty cell would read back as a blank line.
    writer.writerows([_text(cell) for cell in row] for row in rows)
    return _encoded(out.getvalue())


def xlsx_bytes(
    header: Sequence[str],
    rows: Iterable[Sequence[Cell]],
    *,
    title: str,
    totals: Mapping[str, str | None] | None = None,
    proof: str = "",
) -> bytes:
    """Return a workbook of one sheet: typed numbers and dates, a frozen header, a filter, totals as formulas.

    Args:
        header: names of the columns.
        rows: text is written as text, whatever it begins with.
        title: name of the sheet (cut to the 31 letters allowed).
        totals: column to be summed -> column by whose values the sum is split (a currency), or None for one sum.
        proof: text of the proof, written on a separate sheet and in the file's properties.

    Raises:
        UsageError: the table is too large for a sheet, or a column of `totals` is not in the header.
    """
    table = [list(row) for row in rows]
    _check_size(table)
    buffer = io.BytesIO()
    book = xlsxwriter.Workbook(buffer, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False})
    book.set_properties({"title": title, "created": MADE, "comments": proof})
    _Sheet(book, re.sub(r"[\[\]:*?/\\]", " ", title).strip("' ")[:31] or "Table").fill(header, table, totals or {})
    if proof:
        book.add_worksheet("Proof").write_string(0, 0, proof, book.add_format({"text_wrap": True}))
    book.close()
    return buffer.getvalue()


def _neutral(text: str) -> str:
    """Prefix a text that could be executed as a formula with an apostrophe.

    >>> _neutral("=1+1"), _neutral("a=b")
    ("'=1+1", 'a=b')
    """
    return "'" + text if FORMULA.match(text) else text


def _text(cell: Cell) -> str:
    if isinstance(cell, str):
        return _neutral(cell)
    if cell is None:
        return ""
    return cell.isoformat() if isinstance(cell, date) else str(cell)


def _encoded(text: str) -> bytes:
    try:
        return text.encode("utf-8")
    except UnicodeEncodeError as error:
        raise FileError("The table", "would hold half a character (a lone surrogate)", "correct that text") from error


def _check_size(table: list[list[Cell]]) -> None:
    if len(table) + 20 > XLSX_ROWS:
        raise UsageError("The workbook", f"would have {len(table)} rows, more than a sheet holds", "save it as CSV")
    for number, row in enumerate(table, start=1):
        if any(isinstance(cell, str) and len(cell) > XLSX_LETTERS for cell in row):
            raise UsageError("The workbook", f"would have a text too long for a cell in row {number}", "save it as CSV")


def _places(amount: Decimal) -> int:
    return min(4, max(0, -int(amount.as_tuple().exponent)))


class _Sheet:
    """Fills one sheet of a workbook."""

    def __init__(self, book: xlsxwriter.Workbook, name: str) -> None:
        self.sheet = book.add_worksheet(name)
        self.head = book.add_format({"bold": True, "bottom": 1, "text_wrap": True, "valign": "top"})
        self.day = book.add_format({"num_format": "yyyy-mm-dd", "align": "left"})
        self.time = book.add_format({"num_format": "yyyy-mm-dd hh:mm", "align": "left"})
        self.money = [book.add_format({"num_format": f"#,##0.{'0' * n}".rstrip(".")}) for n in range(5)]
        self.sum = book.add_format({"num_format": "#,##0.00", "bold": True})
        self.bold = book.add_format({"bold": True})

    def fill(self, header: Sequence[str], table: list[list[Cell]], totals: Mapping[str, str | None]) -> None:
        for column, name in enumerate(header):
            self.sheet.write_string(0, column, name, self.head)
            widest = max([len(name), *(len(_text(row[column])) for row in table[:500] if column < len(row))])
            self.sheet.set_column(column, column, min(60, widest + 2))
        for number, row in enumerate(table, start=1):
            for column, cell in enumerate(row):
                self._write(number, column, cell)
        self.sheet.freeze_panes(1, 0)
        if header:
            self.sheet.autofilter(0, 0, max(1, len(table)), len(header) - 1)
        self._totals(list(header), table, totals)

    def _write(self, row: int, column: int, cell: Cell) -> None:
        if isinstance(cell, bool):
            self.sheet.write_boolean(row, column, cell)
        elif isinstance(cell, Decimal):
            self.sheet.write_number(row, column, float(cell), self.money[_places(cell)])
        elif isinstance(cell, int | float):
            self.sheet.write_number(row, column, cell)
        elif isinstance(cell, datetime):
            self.sheet.write_datetime(row, column, cell.replace(tzinfo=None), self.time)
        elif isinstance(cell, date) and cell >= EXCEL_START:
            self.sheet.write_datetime(row, column, cell, self.day)
        elif cell is not None:
            self.sheet.write_string(row, column, cell if isinstance(cell, str) else str(cell))

    def _totals(self, header: list[str], table: list[list[Cell]], totals: Mapping[str, str | None]) -> None:
        foot = len(table) + 2
        for name, by in totals.items():
            for needed in (name, by):
                if needed is not None and needed not in header:
                    raise UsageError(f"The total of '{name}'", f"needs a column '{needed}'", "use one of the header")
            column = header.index(name)
            area = xl_range_abs(1, column, max(1, len(table)), column)
            if by is None:
                self._sum(foot, column, "Total", f"=SUM({area})", [row[column] for row in table])
                foot += 1
                continue
            split = header.index(by)
            keys = xl_range_abs(1, split, max(1, len(table)), split)
            for value in sorted({str(row[split]) for row in table if row[split]}):
                cell = f"{xl_col_to_name(split)}{foot + 1}" if split != column else ""
                self.sheet.write_string(foot, split, value, self.bold)
                amounts = [row[column] for row in table if str(row[split]) == value]
                self._sum(foot, column, "Total", f"=SUMIF({keys},{cell},{area})", amounts)
                foot += 1

    def _sum(self, row: int, column: int, label: str, formula: str, cells: list[Cell]) -> None:
        value = sum((cell for cell in cells if isinstance(cell, int | Decimal)), Decimal())
        floats = sum(cell for cell in cells if isinstance(cell, float))
        if column:
            self.sheet.write_string(row, 0, label, self.bold)
        self.sheet.write_formula(row, column, formula, self.sum, float(value) + floats)
