"""The rows of a person's list, each cell made into the form in which lists are read: mm, g, decimal point, ISO days.

What cannot be made into it stays a bad row with its reason; nothing is guessed for a single cell that was not decided
for its column.
"""

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date

from intake.edges.csv_rows import RowFault, SheetRow
from intake.edges.exchange.heading_table import NO, YES, words_in_cells
from intake.edges.exchange.table_cells import Cell, RawRow, RawTable, TableKind
from intake.errors import UsageError
from intake.flow.lists.field_forms import UNITS, FieldForm, form_of, own_unit
from intake.flow.lists.list_guess import ColumnReading, ListReading
from intake.flow.lists.plausible_sizes import ODD
from intake.flow.lists.reasons import BadRow, CellError, Facts, RowReason, bad_row_of
from intake.flow.lists.table_layout import cell_text, filled
from intake.flow.lists.written_cells import (
    NUMBER,
    PAGES,
    UNFORMULA,
    YEAR,
    number_part,
    pages_read,
    retail_number,
    unit_part,
    year_read,
)
from intake.units.convert import G_PER_KG
from intake.units.full_width import narrow
from intake.units.quantities import parse_length_mm, parse_mass_g
from intake.units.written_currencies import SHARED, currency_of, may_stand_for
from intake.units.written_days import DayOrder, read_day
from intake.units.written_numbers import DecimalMark, read_number

SERIALS_BEGIN = date(1900, 3, 1)
EARLIEST_PRINT = 868
"""The Diamond Sutra, the oldest printed book that names its year (from memory)."""
MOVABLE_TYPE = 1450
IN_FIGURES = frozenset(FieldForm) - {FieldForm.TEXT, FieldForm.REMARK}
FRACTION = re.compile(r"[/¼½¾⅓⅔⅛⅜⅝⅞]")


class ConvertedRows:
    """The rows of a list by field, converted as they are asked for.

    Args:
        table: the file's.
        header_line: line of the headings; rows up to it are not of the list.
        columns: how each column is read.
        width: count of the columns that have headings.
        skipped: lines that are left out.
        lone: lines with one cell, which only a person can judge.
        reading: what the person has said.
        kind: of the list.
        today: for years that are yet to come.

    Attributes:
        header: the fields that the list has.
    """

    def __init__(
        self,
        table: RawTable,
        columns: Sequence[ColumnReading],
        *,
        header_line: int,
        width: int,
        skipped: frozenset[int],
        lone: frozenset[int],
        reading: ListReading,
        kind: str,
        today: date,
    ) -> None:
        self._table = table
        self._header_line = header_line
        self._width = width
        self._skipped = skipped
        self._lone = lone
        self._reading = reading
        self._has_serials = table.facts.has_serial_days
        self._odd = ODD.get(kind, {})
        self._last_year = today.year + 1
        self._columns = [column for column in columns if column.guess.field]
        self._forms = [(column, form_of(column.guess.field)) for column in self._columns]
        fields = dict.fromkeys(column.guess.field for column in self._columns)
        if any(form is FieldForm.AMOUNT for _, form in self._forms):
            fields["currency"] = None
        self._default_basis = next((column.guess.basis for column in self._columns if column.guess.basis), None)
        if self._default_basis is not None:
            fields["basis"] = None
        self.header = tuple(fields)
        self._empty = dict.fromkeys(fields, "")
        self._currency_of_bare = reading.units.get("value", "").upper()
        self._currency_of_heading = next(
            (column.guess.currency for column in self._columns if column.guess.currency), ""
        )
        self._convert: Mapping[FieldForm, Callable[[ColumnReading, Cell, int], str]] = {
            FieldForm.RETAIL_NUMBER: lambda _column, cell, _line: retail_number(cell_text(cell).strip()),
            FieldForm.EDITION_NAME: _edition_name,
            FieldForm.YEAR: self._year,
            FieldForm.WHOLE: _whole,
            FieldForm.LENGTH: self._size,
            FieldForm.MASS: self._size,
            FieldForm.AMOUNT: _amount,
            FieldForm.DAY: self._day,
            FieldForm.YES_NO: _yes_no,
        }

    def __iter__(self) -> Iterator[SheetRow | RowFault | BadRow]:
        """Yield the rows of the list."""
        is_text = self._table.facts.kind is TableKind.TEXT
        for row in self._table:
            if row.line <= self._header_line or row.line in self._skipped:
                continue
            if is_text and filled(row.cells[self._width :]):
                yield RowFault(row.line, len(row.cells), self._width)
                continue
            if row.line in self._lone and not self._reading.takes(row.line):
                facts: Facts = {"text": cell_text(filled(row.cells)[0]), "line": row.line}
                yield BadRow(row.line, RowReason.LONE_CELL, facts)
                continue
            texts, faults = self._converted(row)
            yield bad_row_of(faults, texts) if faults else SheetRow(row.line, texts)

    def _converted(self, row: RawRow) -> tuple[dict[str, str], list[BadRow]]:
        """Return the texts of a row, and what is wrong with the cells whose texts are empty therefore."""
        texts, faults = self._empty.copy(), []
        for column, form in self._forms:
            if column.guess.place >= len(row.cells):
                continue
            try:
                self._add_cell(row, column, form, texts)
            except CellError as error:
                texts[column.guess.field] = ""
                faults.append(BadRow(row.line, error.reason, error.facts, column.guess.field))
        self._complete(texts)
        return texts, faults

    def _add_cell(self, row: RawRow, column: ColumnReading, form: FieldForm, texts: dict[str, str]) -> None:
        cell = row.cells[column.guess.place]
        if isinstance(cell, str):
            cell = _plain(cell)
            if not cell:
                return
            if form in IN_FIGURES:
                cell = narrow(cell)
        elif isinstance(cell, date):
            self._check_day(column, form, cell)
        convert = self._convert.get(form)
        texts[column.guess.field] = convert(column, cell, row.line) if convert is not None else cell_text(cell)
        if form is FieldForm.AMOUNT:
            self._add_currency(row, column.guess.place, texts)

    def _complete(self, texts: dict[str, str]) -> None:
        """Add the basis that a heading states, and write a currency by its code."""
        if self._default_basis is not None and not texts["basis"]:
            texts["basis"] = self._default_basis.value
        if texts.get("currency") and (code := currency_of(texts["currency"])):
            texts["currency"] = code

    def _check_day(self, column: ColumnReading, form: FieldForm, day: date) -> None:
        """Refuse a day that a spreadsheet has made, or counted wrongly."""
        field = column.guess.field
        if form not in (FieldForm.DAY, FieldForm.YEAR, FieldForm.REMARK):
            raise CellError(RowReason.DAY_FOR_TEXT, field=field, text=day.isoformat())
        if self._has_serials and day < SERIALS_BEGIN:
            raise CellError(RowReason.DAY_BEFORE_SERIALS, field=field, text=day.isoformat())

    def _add_currency(self, row: RawRow, at: int, texts: dict[str, str]) -> None:
        """Take the currency from a column or the heading, else from beside the amount or its format, or the person."""
        cell = row.cells[at]
        sign = unit_part(cell) if isinstance(cell, str) else row.signs.get(at, "")
        place = next((column.guess.place for column in self._columns if column.guess.field == "currency"), None)
        given = cell_text(row.cells[place]).strip() if place is not None and place < len(row.cells) else ""
        given = currency_of(given) or given or self._currency_of_heading
        if not currency_of(sign):
            given = given or self._currency_of_bare
        if sign and given and not may_stand_for(sign, given):
            raise CellError(RowReason.CURRENCY_DIFFERS, text=cell_text(cell), sign=sign, currency=given)
        if sign and not given and not currency_of(sign):
            raise CellError(RowReason.CURRENCY_SHARED, text=cell_text(cell), sign=sign)
        texts["currency"] = given or currency_of(sign)

    def _year(self, _column: ColumnReading, cell: Cell, line: int) -> str:
        text = str(cell.year) if isinstance(cell, date) else _whole_text(cell)
        if (read := year_read(text)) is not None:
            text = read
        match = YEAR.fullmatch(text)
        if match is None:
            return text
        year = int(match[1])
        facts: dict[str, str | int] = {"text": text, "first": EARLIEST_PRINT, "last": self._last_year, "line": line}
        if not EARLIEST_PRINT <= year <= self._last_year:
            raise CellError(RowReason.YEAR_IMPOSSIBLE, **facts)
        if year < MOVABLE_TYPE and not self._reading.takes(line):
            raise CellError(RowReason.YEAR_UNLIKELY, **facts)
        return str(year)

    def _size(self, column: ColumnReading, cell: Cell, line: int) -> str:
        field = column.guess.field
        value = _quantity(column, cell)
        if value is None:
            return cell_text(cell)
        least, most = self._odd.get(field, (0, float("inf")))
        if value > 0 and not least <= value <= most and not self._reading.takes(line):
            size = f"{value:g} {'mm' if form_of(field) is FieldForm.LENGTH else 'g'}"
            raise CellError(RowReason.SIZE_UNLIKELY, field=field, text=cell_text(cell), size=size, line=line)
        return f"{value / G_PER_KG if own_unit(field) == 'kg' else value:.10g}"

    def _day(self, column: ColumnReading, cell: Cell, _line: int) -> str:
        if isinstance(cell, date):
            return cell.isoformat()
        text = cell_text(cell)
        day = read_day(text, column.dates or DayOrder.DMY)
        return text if day is None else day.isoformat()


def _plain(text: str) -> str:
    """Return a text cell without outer space and without what keeps a spreadsheet from reading it as a formula."""
    text = cell_text(text).strip()
    if match := UNFORMULA.fullmatch(text):
        return match["text"].strip()
    return text


def _whole_text(cell: Cell) -> str:
    """Return a number without the .0 of a spreadsheet that takes all numbers for decimals."""
    text = cell_text(cell)
    return text.removesuffix(".0") if text.removesuffix(".0").isdecimal() else text


def _edition_name(_column: ColumnReading, cell: Cell, _line: int) -> str:
    text = _whole_text(cell)
    return retail_number(text) if "E" in text.upper() and "+" in text else text


def _whole(column: ColumnReading, cell: Cell, _line: int) -> str:
    text = _whole_text(cell)
    if column.guess.field == "pages" and (pages := pages_read(text)) is not None:
        return pages
    match = PAGES.fullmatch(text)
    return match[1] if match else text


def _quantity(column: ColumnReading, cell: Cell) -> float | None:
    """Return a length in mm or a mass in g; None where the cell is not a number and has no unit."""
    form = form_of(column.guess.field)
    mark = column.decimals or DecimalMark.POINT
    if not isinstance(cell, str):
        return float(cell) * UNITS[form][column.unit] if isinstance(cell, int | float) else None
    unit = unit_part(cell)
    if not unit and not FRACTION.search(cell):
        number = read_number(cell, mark)
        return None if number is None else float(number) * UNITS[form][column.unit]
    text = NUMBER.sub(lambda match: str(_number_or_text(match[0], mark)), cell)
    try:
        text = text if unit else f"{text} {column.unit}"
        return parse_length_mm(text) if form is FieldForm.LENGTH else parse_mass_g(text)
    except UsageError as error:
        why = error.why
        raise CellError(RowReason.NOT_WITH_UNIT, field=column.guess.field, text=cell, why=why) from None


def _number_or_text(text: str, mark: DecimalMark) -> object:
    number = read_number(text, mark)
    return text if number is None else number


def _amount(column: ColumnReading, cell: Cell, _line: int) -> str:
    if not isinstance(cell, str):
        return cell_text(cell)
    sign = unit_part(cell)
    if sign and not currency_of(sign) and sign.casefold() not in SHARED:
        raise CellError(RowReason.NOT_AN_AMOUNT, field=column.guess.field, text=cell)
    number = read_number(number_part(cell), column.decimals or DecimalMark.POINT)
    if number is None:
        raise CellError(RowReason.NOT_AN_AMOUNT, field=column.guess.field, text=cell)
    return str(number)


def _yes_no(_column: ColumnReading, cell: Cell, _line: int) -> str:
    text = cell_text(cell).casefold()
    if text in words_in_cells(YES):
        return "yes"
    return "no" if text in words_in_cells(NO) else cell_text(cell)
