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

from intake.edges.csv_rows import CsvFile, RowFault, SheetRow
from intake.edges.exchange.text_table import FORMULA
from intake.errors import FileError, UsageError
from intake.model.currencies import Money, places, plain_text

Cell = str | int | float | Decimal | Money | date | datetime | bool | None
SplitBy = str | tuple[str, ...] | None
"""The column, or columns, by whose values a sum is split; None for one sum."""

XLSX_ROWS, XLSX_LETTERS = 1_048_576, 32_767
"""Limits of the file format (ECMA-376 as its first producer applies it)."""
LARGE_ROWS = 20_000
"""A table with more is written row by row: in memory at once, 100,000 rows of 21 cells took 580 MB."""
EXCEL_START = date(1900, 3, 1)
"""Earlier dates have no reliable number, because the format includes a 29 February 1900."""
NOTES_WIDTH = 110
"""Of a column of sentences, in characters."""
A4_PAPER = 9
"""The number of the paper size in the file format; a program prints on what its printer has."""
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
        rows: money has the decimals of its currency (ISO 4217), other numbers are written as by Python, dates in ISO
            8601 form, None as an empty cell.

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
    totals: Mapping[str, SplitBy] | None = None,
    notes: Sequence[str] = (),
    proof: str = "",
) -> bytes:
    """Return a workbook of one sheet: typed numbers and dates, a frozen header, a filter, totals as formulas.

    Args:
        header: names of the columns.
        rows: text is written as text, whatever it begins with.
        title: name of the sheet (cut to the 31 letters allowed).
        totals: column to be summed -> column, or columns, by whose values the sum is split (currency, basis), or None
            for one sum.
        notes: sentences about the table, written on a separate sheet.
        proof: text of the proof, written on a separate sheet and in the file's properties.

    Raises:
        UsageError: the table is too large for a sheet, or a column of `totals` is not in the header.
    """
    table = [list(row) for row in rows]
    _check_size(table)
    buffer = io.BytesIO()
    memory = "constant_memory" if len(table) > LARGE_ROWS else "in_memory"
    book = xlsxwriter.Workbook(buffer, {memory: True, "strings_to_formulas": False, "strings_to_urls": False})
    book.set_properties({"title": title, "created": MADE, "comments": proof})
    _Sheet(book, re.sub(r"[\[\]:*?/\\]", " ", title).strip("' ")[:31] or "Table").fill(header, table, totals or {})
    if notes:
        sheet, wrapped = book.add_worksheet("Notes"), book.add_format({"text_wrap": True, "valign": "top"})
        sheet.set_column(0, 0, NOTES_WIDTH)
        for row, note in enumerate(notes):
            sheet.write_string(row, 0, note, wrapped)
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
    if isinstance(cell, Money):
        return plain_text(cell.amount, cell.currency)
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


MOST_PLACES = 12
"""More decimals than any currency has, or any amount is recorded with."""


def _places(cell: Decimal | Money) -> int:
    """Return with how many decimals a number is shown."""
    if isinstance(cell, Money):
        return min(MOST_PLACES, places(cell.amount, cell.currency))
    return min(MOST_PLACES, max(0, -int(cell.as_tuple().exponent)))


def _number(cell: Cell) -> Decimal | float | None:
    """Return the number that a cell holds; None for one that holds none."""
    if isinstance(cell, Money):
        return cell.amount
    return cell if isinstance(cell, int | float | Decimal) and not isinstance(cell, bool) else None


class _Sheet:
    """Fills one sheet of a workbook."""

    def __init__(self, book: xlsxwriter.Workbook, name: str) -> None:
        self.sheet = book.add_worksheet(name)
        self.head = book.add_format({"bold": True, "bottom": 1, "text_wrap": True, "valign": "top"})
        self.day = book.add_format({"num_format": "yyyy-mm-dd", "align": "left"})
        self.time = book.add_format({"num_format": "yyyy-mm-dd hh:mm", "align": "left"})
        shown = [f"#,##0.{'0' * n}".rstrip(".") for n in range(MOST_PLACES + 1)]
        self.money = [book.add_format({"num_format": form}) for form in shown]
        self.sums = [book.add_format({"num_format": form, "bold": True}) for form in shown]
        self.bold = book.add_format({"bold": True})

    def fill(self, header: Sequence[str], table: list[list[Cell]], totals: Mapping[str, SplitBy]) -> None:
        for column, name in enumerate(header):
            self.sheet.write_string(0, column, name, self.head)
            widest = max([len(name), *(len(_text(row[column])) for row in table[:500] if column < len(row))])
            self.sheet.set_column(column, column, min(60, widest + 2))
        for number, row in enumerate(table, start=1):
            for column, cell in enumerate(row):
                self._write(number, column, cell)
        self.sheet.freeze_panes(1, 0)
        self._set_up_print(title=self.sheet.get_name())
        if header:
            self.sheet.autofilter(0, 0, max(1, len(table)), len(header) - 1)
        self._totals(list(header), table, totals)

    def _set_up_print(self, title: str) -> None:
        """Print it across, as wide as a page, with the header on every page and the pages counted."""
        self.sheet.set_landscape()
        self.sheet.set_paper(A4_PAPER)
        self.sheet.fit_to_pages(1, 0)
        self.sheet.repeat_rows(0)
        self.sheet.set_margins(left=0.5, right=0.5, top=0.6, bottom=0.7)
        self.sheet.set_footer(f"&L{title.replace('&', '&&')}&Rpage &P of &N")

    def _write(self, row: int, column: int, cell: Cell) -> None:
        if isinstance(cell, bool):
            self.sheet.write_boolean(row, column, cell)
        elif isinstance(cell, Decimal | Money):
            number = cell.amount if isinstance(cell, Money) else cell
            self.sheet.write_number(row, column, float(number), self.money[_places(cell)])
        elif isinstance(cell, int | float):
            self.sheet.write_number(row, column, cell)
        elif isinstance(cell, datetime):
            self.sheet.write_datetime(row, column, cell.replace(tzinfo=None), self.time)
        elif isinstance(cell, date) and cell >= EXCEL_START:
            self.sheet.write_datetime(row, column, cell, self.day)
        elif cell is not None:
            self.sheet.write_string(row, column, cell if isinstance(cell, str) else str(cell))

    def _totals(self, header: list[str], table: list[list[Cell]], totals: Mapping[str, SplitBy]) -> None:
        foot = len(table) + 2
        for name, by in totals.items():
            splits = (by,) if isinstance(by, str) else by or ()
            for needed in (name, *splits):
                if needed not in header:
                    raise UsageError(f"The total of '{name}'", f"needs a column '{needed}'", "use one of the header")
            column, keys = header.index(name), [header.index(split) for split in splits]
            parts: dict[tuple[str, ...], list[Cell]] = {} if splits else {(): []}
            for row in table:
                if not splits or row[column] is not None:
                    parts.setdefault(tuple(str(row[key] or "") for key in keys), []).append(row[column])
            for values, cells in sorted(parts.items()):
                self._sum(foot, column, list(zip(keys, values, strict=True)), len(table), cells)
                foot += 1

    def _sum(self, row: int, column: int, split: list[tuple[int, str]], height: int, cells: list[Cell]) -> None:
        """Write the sum of those rows of a column that have certain values in other columns, which stand beside it."""
        area = xl_range_abs(1, column, max(1, height), column)
        if column:
            self.sheet.write_string(row, 0, "Total", self.bold)
        conditions = ""
        for key, value in split:
            self.sheet.write_string(row, key, value, self.bold)
            conditions += f",{xl_range_abs(1, key, max(1, height), key)},{xl_col_to_name(key)}{row + 1}"
        if len(split) > 1:
            formula = f"=SUMIFS({area}{conditions})"
        elif split:
            formula = f"=SUMIF({conditions[1:]},{area})"
        else:
            formula = f"=SUM({area})"
        numbers = [number for cell in cells if (number := _number(cell)) is not None]
        total = float(sum((x for x in numbers if not isinstance(x, float)), Decimal())) + sum(
            x for x in numbers if isinstance(x, float)
        )
        self.sheet.write_formula(row, column, formula, self.sums[self._sum_places(cells)], total)

    @staticmethod
    def _sum_places(cells: list[Cell]) -> int:
        """Return with how many decimals a sum is shown: as its finest amount; counts have none, other numbers two."""
        if all(cell is None or isinstance(cell, int) for cell in cells):
            return 0
        return max((_places(cell) for cell in cells if isinstance(cell, Decimal | Money)), default=2)
