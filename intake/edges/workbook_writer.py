"""Workbooks of one table (XLSX, ECMA-376): numbers, amounts and days as such, and set up for print.

An amount is a number, shown with the code of its currency and that currency's decimals, one format for each currency of
a column; so a column with several currencies can be read, and each has sums of its own. Heads, columns and the whole
list have names, for formulas. Does not know what the columns mean.
"""

import io
import re
from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, date, datetime
from decimal import Decimal

import xlsxwriter
from xlsxwriter.format import Format
from xlsxwriter.utility import quote_sheetname, xl_col_to_name, xl_range_abs

from intake.edges.exchange.text_table import UNFORMULA, plain_text
from intake.edges.sheets import Cell, SplitBy, cell_text
from intake.errors import UsageError
from intake.model.currencies import Money, places
from intake.units.language import say

XLSX_ROWS, XLSX_LETTERS = 1_048_576, 32_767
"""Limits of the file format (ECMA-376 as its first producer applies it)."""
LARGE_ROWS = 20_000
"""A table with more is written row by row: in memory at once, 100,000 rows of 21 cells took 580 MB."""
EXCEL_START = date(1900, 3, 1)
"""Earlier dates have no reliable number, because the format includes a 29 February 1900."""
NOTES_WIDTH, WIDEST = 110, 60
"""Of a column of sentences, and the most of any other, in characters; longer texts go on in the next line."""
SURVEYED_ROWS = 500
"""Of so many rows the texts are measured."""
A4_PAPER = 9
"""The number of the paper size in the file format; a program prints on what its printer has."""
MADE = datetime(2000, 1, 1, tzinfo=UTC).replace(tzinfo=None)
"""A fixed creation time, so that the same table gives the same bytes."""
MOST_PLACES = 12
"""More decimals than any currency has, or any amount is recorded with."""
LIKE_A_CELL = re.compile(r"[A-Z]{1,3}\d+|R|C|R\d*C\d*", re.IGNORECASE)
"""What cannot be a name in a workbook, because it is that of a cell, a row or a column."""


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
    for name, texts in ((say("Notes"), notes), (say("Proof"), (proof,) if proof else ())):
        if texts:
            sheet, wrapped = book.add_worksheet(name), book.add_format({"text_wrap": True, "valign": "top"})
            sheet.set_column(0, 0, NOTES_WIDTH)
            for row, text in enumerate(texts):
                sheet.write_string(row, 0, text, wrapped)
    book.close()
    return buffer.getvalue()


def defined_names(header: Sequence[str]) -> list[str]:
    """Return a name for each column, as formulas may have it (ECMA-376-1, 18.2.5): no two alike, none that of a cell.

    >>> defined_names(["Gross mass (g)", "Box 12", "BOX12", "", "R"])
    ['Gross_mass_g', 'Box_12', 'BOX12_', 'Column_4', 'R_']
    """
    names: list[str] = []
    taken = {"list"}
    for nth, head in enumerate(header, start=1):
        name = re.sub(r"\W+", "_", head).strip("_") or f"Column_{nth}"
        name = f"_{name}" if name[0].isdigit() else name
        name = f"{name}_" if LIKE_A_CELL.fullmatch(name) else name
        while name.casefold() in taken:
            name += "_"
        taken.add(name.casefold())
        names.append(name)
    return names


def _check_size(table: list[list[Cell]]) -> None:
    if len(table) + 20 > XLSX_ROWS:
        raise UsageError("The workbook", f"would have {len(table)} rows, more than a sheet holds", "save it as CSV")
    for number, row in enumerate(table, start=1):
        if any(isinstance(cell, str) and len(cell) > XLSX_LETTERS for cell in row):
            raise UsageError("The workbook", f"would have a text too long for a cell in row {number}", "save it as CSV")


def _currency(cell: Cell) -> str:
    return cell.currency if isinstance(cell, Money) else ""


def _places(cell: Decimal | Money) -> int:
    """Return with how many decimals a number is shown."""
    if isinstance(cell, Money):
        return min(MOST_PLACES, places(cell.amount, cell.currency))
    return min(MOST_PLACES, max(0, -int(cell.as_tuple().exponent)))


def _kept(text: str) -> str:
    r"""Return a text so that the import, which takes one apostrophe off before a formula, gives it back unchanged.

    A typed text is never run in a workbook, so that only one with an apostrophe of its own gets another, and one that
    the import would take for a number written as a formula.

    >>> _kept("'=1+1"), _kept("=1+1"), _kept("'tis"), _kept('="007"')
    ("''=1+1", '=1+1', "'tis", '\'="007"')
    """
    return text if plain_text(text) == text and not UNFORMULA.fullmatch(text) else f"'{text}"


def _number(cell: Cell) -> Decimal | float | None:
    """Return the number that a cell holds; None for one that holds none."""
    if isinstance(cell, Money):
        return cell.amount
    return cell if isinstance(cell, int | float | Decimal) and not isinstance(cell, bool) else None


def _width(cell: Cell) -> int:
    """Return how many characters wide a cell is: of its longest line, with what its number format adds."""
    if isinstance(cell, Money):
        return len(f"{cell.currency} {cell.amount:,.{_places(cell)}f}")
    return max(map(len, cell_text(cell).split("\n")))


class _Sheet:
    """Fills one sheet of a workbook; a format is made once, when it is first used."""

    def __init__(self, book: xlsxwriter.Workbook, name: str) -> None:
        self.book = book
        self.sheet = book.add_worksheet(name)
        self.head = book.add_format({"bold": True, "bottom": 1, "text_wrap": True, "valign": "top"})
        self.day = book.add_format({"num_format": "yyyy-mm-dd", "align": "left", "valign": "top"})
        self.time = book.add_format({"num_format": "yyyy-mm-dd hh:mm", "align": "left", "valign": "top"})
        self.text = book.add_format({"text_wrap": True, "valign": "top"})
        self.bold = book.add_format({"bold": True})
        self.numbers: dict[tuple[str, int, bool], Format] = {}
        self.finest: dict[tuple[int, str], int] = {}

    def fill(self, header: Sequence[str], table: list[list[Cell]], totals: Mapping[str, SplitBy]) -> None:
        for row in table:
            for column, cell in enumerate(row):
                if isinstance(cell, Money):
                    key = (column, cell.currency)
                    self.finest[key] = max(self.finest.get(key, 0), _places(cell))
        for column, name in enumerate(header):
            self.sheet.write_string(0, column, _kept(name), self.head)
            cells = (row[column] for row in table[:SURVEYED_ROWS] if column < len(row))
            widest = max([*map(len, name.split()), *map(_width, cells)], default=0)
            self.sheet.set_column(column, column, min(WIDEST, widest + 2))
        for number, row in enumerate(table, start=1):
            for column, cell in enumerate(row):
                self._write(number, column, cell)
        self.sheet.freeze_panes(1, 0)
        if header:
            self.sheet.autofilter(0, 0, max(1, len(table)), len(header) - 1)
            self._name(header, max(1, len(table)))
        last = self._totals(list(header), table, totals)
        self._set_up_print(last, len(header))

    def _name(self, header: Sequence[str], last: int) -> None:
        """Give the list with its heads, and the cells of each column, a name."""
        where = quote_sheetname(self.sheet.get_name())
        self.book.define_name("List", f"={where}!{xl_range_abs(0, 0, last, len(header) - 1)}")
        for column, name in enumerate(defined_names(header)):
            self.book.define_name(name, f"={where}!{xl_range_abs(1, column, last, column)}")

    def _set_up_print(self, last: int, columns: int) -> None:
        """Print it across, as wide as a page, with the header on every page and the pages counted."""
        self.sheet.set_landscape()
        self.sheet.set_paper(A4_PAPER)
        self.sheet.fit_to_pages(1, 0)
        self.sheet.repeat_rows(0)
        if columns:
            self.sheet.print_area(0, 0, last, columns - 1)
        self.sheet.set_margins(left=0.5, right=0.5, top=0.6, bottom=0.7)
        page = say("page {number} of {count}", number="&P", count="&N")
        self.sheet.set_footer(f"&L{self.sheet.get_name().replace('&', '&&')}&R{page}")

    def _shown(self, currency: str, decimals: int, *, bold: bool = False) -> Format:
        """Return how a number is shown; an amount with the code of its currency before it."""
        key = (currency, decimals, bold)
        if key not in self.numbers:
            code = f"[${currency}] " if currency else ""
            form = f"{code}#,##0.{'0' * decimals}".rstrip(".")
            self.numbers[key] = self.book.add_format({"num_format": form, "bold": bold, "valign": "top"})
        return self.numbers[key]

    def _write(self, row: int, column: int, cell: Cell) -> None:
        if isinstance(cell, bool):
            self.sheet.write_boolean(row, column, cell, self.text)
        elif isinstance(cell, Money):
            shown = self._shown(cell.currency, self.finest[column, cell.currency])
            self.sheet.write_number(row, column, float(cell.amount), shown)
        elif isinstance(cell, Decimal):
            self.sheet.write_number(row, column, float(cell), self._shown("", _places(cell)))
        elif isinstance(cell, int | float):
            self.sheet.write_number(row, column, cell, self.text)
        elif isinstance(cell, datetime):
            self.sheet.write_datetime(row, column, cell.replace(tzinfo=None), self.time)
        elif isinstance(cell, date) and cell >= EXCEL_START:
            self.sheet.write_datetime(row, column, cell, self.day)
        elif cell is not None:
            self.sheet.write_string(row, column, _kept(str(cell)), self.text)

    def _totals(self, header: list[str], table: list[list[Cell]], totals: Mapping[str, SplitBy]) -> int:
        """Write the sums below the table, and return the last row."""
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
        return foot - 1 if totals else len(table)

    def _sum(self, row: int, column: int, split: list[tuple[int, str]], height: int, cells: list[Cell]) -> None:
        """Write the sum of those rows of a column that have certain values in other columns, which stand beside it."""
        area = xl_range_abs(1, column, max(1, height), column)
        if column:
            self.sheet.write_string(row, 0, say("Total"), self.bold)
        conditions = ""
        for key, value in split:
            self.sheet.write_string(row, key, _kept(value), self.bold)
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
        self.sheet.write_formula(row, column, formula, self._sum_shown(column, cells), total)

    def _sum_shown(self, column: int, cells: list[Cell]) -> Format:
        """Return how a sum is shown: as its finest amount; counts have no decimals, other numbers two."""
        currencies = set(map(_currency, cells)) - {""}
        if len(currencies) == 1:
            currency = currencies.pop()
            return self._shown(currency, self.finest[column, currency], bold=True)
        if all(cell is None or isinstance(cell, int) for cell in cells):
            return self._shown("", 0, bold=True)
        finest = max((_places(cell) for cell in cells if isinstance(cell, Decimal | Money)), default=2)
        return self._shown("", finest, bold=True)
