"""Reading and writing tables: CSV in both directions, XLSX only written.

CSV is written as in RFC 4180, in UTF-8; a cell that a spreadsheet program could interpret as a formula is prefixed with
an apostrophe, which `read_csv` removes. Encodings are never guessed: text that is not Unicode is refused with its
position, because a wrong guess would damage titles permanently.
"""

import csv
import io
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import Path

import xlsxwriter
from xlsxwriter.utility import xl_col_to_name, xl_range_abs

from intake.edges.atomic_write import write_whole
from intake.errors import FileError, UsageError

Cell = str | int | float | Decimal | date | datetime | bool | None

DELIMITERS = ",;\t"
FORMULA = re.compile("'*[=+\\-@\t\r]")
"""Start of a cell that a spreadsheet program may execute (OWASP, CSV injection), after any apostrophes."""
XLSX_ROWS, XLSX_LETTERS = 1_048_576, 32_767
"""Limits of the file format (ECMA-376 as its first producer applies it)."""
EXCEL_START = date(1900, 3, 1)
"""Earlier dates have no reliable number, because the format includes a 29 February 1900."""
MADE = datetime(2000, 1, 1, tzinfo=UTC).replace(tzinfo=None)
"""A fixed creation time, so that the same table gives the same bytes."""


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One row by column name; `line` is the line of the file at which it begins, from 1."""

    line: int
    cells: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class RowFault:
    """A row that cannot be used, and the reason."""

    line: int
    reason: str


@dataclass(frozen=True, slots=True)
class Table:
    """A table: names of the columns, usable rows, and rows that cannot be used."""

    header: tuple[str, ...]
    rows: tuple[SheetRow, ...]
    faults: tuple[RowFault, ...] = ()


def read_csv(path: Path) -> Table:
    """Read a CSV file with a header.

    Args:
        path: UTF-8 with or without a byte order mark, or UTF-16 with one; separated by comma, semicolon or tab.

    Returns:
        The rows; short rows are padded with empty cells, blank rows skipped, over-long rows listed as faults.

    Raises:
        FileError: it cannot be read, is not Unicode text, or has no usable header.
    """
    try:
        data = path.read_bytes()
    except OSError as error:
        raise FileError(str(path), f"cannot be read ({error.strerror})", "check the path") from error
    text = _decode(path, data)
    header, rows, faults = _parse(path, text)
    return Table(header, tuple(rows), tuple(faults))


def save_csv(path: Path, header: Sequence[str], rows: Iterable[Sequence[Cell]]) -> None:
    """Write a CSV file, completely or not at all.

    Args:
        path: the file.
        header: names of the columns.
        rows: numbers are written as by Python, dates in ISO 8601 form, None as an empty cell.

    Raises:
        FileError: it cannot be written.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([_neutral(name) for name in header])
    # A row of one empty cell would read back as a blank line.
    writer.writerows([_text(cell) for cell in row] for row in rows)
    write_whole(path, _encoded(path, out.getvalue()))


def save_xlsx(
    path: Path,
    header: Sequence[str],
    rows: Iterable[Sequence[Cell]],
    *,
    title: str,
    totals: Mapping[str, str | None] | None = None,
    proof: str = "",
) -> None:
    """Write a workbook of one sheet: typed numbers and dates, a frozen header, a filter, totals as formulas.

    Args:
        path: the file.
        header: names of the columns.
        rows: text is written as text, whatever it begins with.
        title: name of the sheet (cut to the 31 letters allowed).
        totals: column to be summed -> column by whose values the sum is split (a currency), or None for one sum.
        proof: text of the proof, written on a separate sheet and in the file's properties.

    Raises:
        FileError: it cannot be written.
        UsageError: the table is too large for a sheet, or a column of `totals` is not in the header.
    """
    table = [list(row) for row in rows]
    _check_size(path, table)
    buffer = io.BytesIO()
    book = xlsxwriter.Workbook(buffer, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False})
    book.set_properties({"title": title, "created": MADE, "comments": proof})
    _Sheet(book, re.sub(r"[\[\]:*?/\\]", " ", title).strip("' ")[:31] or "Table").fill(header, table, totals or {})
    if proof:
        book.add_worksheet("Proof").write_string(0, 0, proof, book.add_format({"text_wrap": True}))
    book.close()
    write_whole(path, buffer.getvalue())


def _decode(path: Path, data: bytes) -> str:
    encoding = "utf-16" if data.startswith((b"\xff\xfe", b"\xfe\xff")) else "utf-8-sig"
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError as error:
        name, line = encoding.removesuffix("-sig").upper(), data[: error.start].count(b"\n") + 1
        why = f"is not {name} text (byte 0x{data[error.start]:02X} on line {line})"
        raise FileError(str(path), why, "save it again as 'CSV UTF-8'") from error
    if "\0" in text:
        line = text[: text.index("\0")].count("\n") + 1
        raise FileError(str(path), f"contains a NUL byte on line {line}", "save it again as 'CSV UTF-8'")
    if not text.strip():
        raise FileError(str(path), "is empty", "give a table with a header")
    return text


def _parse(path: Path, text: str) -> tuple[tuple[str, ...], list[SheetRow], list[RowFault]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=_delimiter(text), strict=True)
    header: tuple[str, ...] = ()
    rows: list[SheetRow] = []
    faults: list[RowFault] = []
    line = 1
    try:
        for cells in reader:
            began, line = line, reader.line_num + 1
            if not any(cell.strip() for cell in cells):
                continue
            if not header:
                header = _header(path, began, cells)
            elif any(cell.strip() for cell in cells[len(header) :]):
                faults.append(RowFault(began, f"has {len(cells)} cells under {len(header)} column names"))
            else:
                padded = [*map(_plain, cells[: len(header)]), *[""] * (len(header) - len(cells))]
                rows.append(SheetRow(began, dict(zip(header, padded, strict=True))))
    except csv.Error as error:
        raise FileError(str(path), f"is not CSV (line {line}: {error})", "close the quotation mark there") from error
    return header, rows, faults


def _header(path: Path, line: int, cells: list[str]) -> tuple[str, ...]:
    names = [_plain(cell).strip() for cell in cells]
    while names and not names[-1]:
        names.pop()
    for place, name in enumerate(names, start=1):
        if not name:
            raise FileError(str(path), f"has no name over column {place} (line {line})", "name every column")
        if names.count(name) > 1:
            raise FileError(str(path), f"has two columns named '{name}' (line {line})", "rename one of them")
    return tuple(names)


def _delimiter(text: str) -> str:
    """Return the delimiter that is most frequent, outside quotation marks, in the first line that is not blank."""
    first = next(line for line in text.splitlines() if line.strip())
    bare = re.sub(r'"[^"]*"', "", first)
    return max(DELIMITERS, key=bare.count)


def _neutral(text: str) -> str:
    """Prefix a text that could be executed as a formula with an apostrophe.

    >>> _neutral("=1+1"), _neutral("a=b")
    ("'=1+1", 'a=b')
    """
    return "'" + text if FORMULA.match(text) else text


def _plain(text: str) -> str:
    return text[1:] if text.startswith("'") and FORMULA.match(text) else text


def _text(cell: Cell) -> str:
    if isinstance(cell, str):
        return _neutral(cell)
    if cell is None:
        return ""
    return cell.isoformat() if isinstance(cell, date) else str(cell)


def _encoded(path: Path, text: str) -> bytes:
    try:
        return text.encode("utf-8")
    except UnicodeEncodeError as error:
        raise FileError(str(path), "would contain half a character (a lone surrogate)", "correct that text") from error


def _check_size(path: Path, table: list[list[Cell]]) -> None:
    if len(table) + 20 > XLSX_ROWS:
        raise UsageError(str(path), f"would have {len(table)} rows, too many for a sheet", "save it as CSV")
    for number, row in enumerate(table, start=1):
        if any(isinstance(cell, str) and len(cell) > XLSX_LETTERS for cell in row):
            raise UsageError(str(path), f"would have a text too long for a cell in row {number}", "save it as CSV")


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
