"""Tables as CSV, in both directions; workbooks are written by `workbook_writer`.

CSV is made after RFC 4180 in UTF-8; a cell that a spreadsheet program could take for a formula gets an apostrophe
before it, which is taken off again when it is read (`csv_rows`). Does not know what the columns mean.
"""

import csv
import io
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path

from intake.edges.csv_rows import CsvFile, RowFault, SheetRow
from intake.edges.exchange.text_table import FORMULA
from intake.errors import FileError
from intake.model.currencies import Money, plain_text

Cell = str | int | float | Decimal | Money | date | datetime | bool | None
SplitBy = str | tuple[str, ...] | None
"""The column, or columns, by whose values a sum is split; None for one sum."""

MARK = b"\xef\xbb\xbf"
"""The byte order mark, by which some spreadsheet programs tell UTF-8 from the encoding of their country."""


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


def csv_bytes(header: Sequence[str], rows: Iterable[Sequence[Cell]], *, marked: bool = False) -> bytes:
    """Return a CSV file.

    Args:
        header: names of the columns.
        rows: money has the decimals of its currency (ISO 4217), other numbers are written as by Python, dates in ISO
            8601 form, None as an empty cell.
        marked: whether it begins with a byte order mark.

    Raises:
        FileError: a text holds half a character.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([_neutral(name) for name in header])
    # A row of one empty cell would read back as a blank line.
    writer.writerows([cell_text(cell) for cell in row] for row in rows)
    return (MARK if marked else b"") + _encoded(out.getvalue())


def _neutral(text: str) -> str:
    """Prefix a text that could be executed as a formula with an apostrophe.

    >>> _neutral("=1+1"), _neutral("a=b")
    ("'=1+1", 'a=b')
    """
    return "'" + text if FORMULA.match(text) else text


def cell_text(cell: Cell) -> str:
    """Return what stands in a cell of a CSV file."""
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
