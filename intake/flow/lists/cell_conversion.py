"""The rows of a person's list, each cell made into the form in which lists are read: mm, g, decimal point, ISO days.

What cannot be made into it stays a bad row with its reason; nothing is guessed for a single cell that can be read in
two ways, unless it was decided for its column.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date

from intake.edges.csv_rows import RowFault, SheetRow
from intake.edges.exchange.table_cells import Cell, RawRow, RawTable, TableKind
from intake.flow.lists import cell_texts
from intake.flow.lists.field_forms import FieldForm, form_of, own_unit
from intake.flow.lists.list_guess import ColumnReading, ListReading
from intake.flow.lists.numbers_in_keys import number_in_key
from intake.flow.lists.plausible_sizes import ODD
from intake.flow.lists.reasons import BadRow, CellError, Facts, RowReason, bad_row_of, not_a_day
from intake.flow.lists.size_orders import SizeOrder
from intake.flow.lists.table_layout import cell_text, filled
from intake.flow.lists.written_cells import YEAR, retail_number, unit_part, year_read
from intake.flow.lists.written_sizes import sides_mm
from intake.model.editions import EARLIEST_PRINT, MOVABLE_TYPE
from intake.units.convert import G_PER_KG
from intake.units.full_width import narrow
from intake.units.written_currencies import currency_of, may_stand_for
from intake.units.written_days import ISO, DayOrder, read_either_day

SERIALS_BEGIN = date(1900, 3, 1)
SAME_MM = 10.0
"""Two sizes of a book that differ by less agree: libraries write whole centimetres, rounded up (ISBD, area 5)."""
IN_FIGURES = frozenset(FieldForm) - {FieldForm.TEXT, FieldForm.REMARK}


class ConvertedRows:
    """The rows of a list by field, converted as they are asked for.

    Args:
        table: the file's.
        header_line: line of the headings; rows up to it are not of the list.
        columns: how each column is read.
        width: count of the columns that have headings.
        skipped: lines that are left out.
        lone: lines with one cell, which only a person can judge.
        cut: line in which the file breaks off; None where it seems whole.
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
        cut: int | None = None,
        reading: ListReading,
        kind: str,
        today: date,
    ) -> None:
        self._table = table
        self._header_line = header_line
        self._width = width
        self._skipped = skipped
        self._lone = lone
        self._cut = cut
        self._reading = reading
        self._has_serials = table.facts.has_serial_days
        self._odd = ODD.get(kind, {})
        self._last_year = today.year + 1
        self._columns = [column for column in columns if column.guess.field]
        forms = [(column, form_of(column.guess.field)) for column in self._columns]
        # Sizes in one cell come last, so that they are compared with what has a column of its own.
        self._forms = sorted(forms, key=lambda one: one[1] is FieldForm.SIZES)
        fields = dict.fromkeys(field for column, _ in self._forms for field in column.fields)
        amount = next((column.guess.field for column, form in forms if form is FieldForm.AMOUNT), "")
        if amount:
            fields["currency"] = None
        self._default_basis = next((column.guess.basis for column in self._columns if column.guess.basis), None)
        if self._default_basis is not None:
            fields["basis"] = None
        self.header = tuple(fields)
        self._empty = dict.fromkeys(fields, "")
        self._currency_of_bare = reading.units.get(amount, "").upper()
        self._currency_of_heading = next(
            (column.guess.currency for column in self._columns if column.guess.currency), ""
        )
        self._convert: Mapping[FieldForm, Callable[[ColumnReading, Cell, int], str]] = {
            FieldForm.RETAIL_NUMBER: lambda _column, cell, _line: retail_number(cell_text(cell).strip()),
            FieldForm.TEXT: cell_texts.one_line,
            FieldForm.EDITION_NAME: cell_texts.edition_name,
            FieldForm.YEAR: self._year,
            FieldForm.WHOLE: cell_texts.whole,
            FieldForm.LENGTH: self._size,
            FieldForm.MASS: self._size,
            FieldForm.AMOUNT: cell_texts.amount,
            FieldForm.DAY: self._day,
            FieldForm.YES_NO: cell_texts.yes_no,
            FieldForm.GRADE: cell_texts.grade,
            FieldForm.JACKET: cell_texts.jacket,
            FieldForm.BOX: cell_texts.box,
            FieldForm.LANGUAGE: cell_texts.language,
        }

    def __iter__(self) -> Iterator[SheetRow | RowFault | BadRow]:
        """Yield the rows of the list."""
        is_text = self._table.facts.kind is TableKind.TEXT
        facts: Facts
        for row in self._table:
            if row.line <= self._header_line or row.line in self._skipped:
                continue
            if is_text and filled(row.cells[self._width :]):
                yield RowFault(row.line, len(row.cells), self._width)
                continue
            if row.line == self._cut and not self._reading.takes(row.line):
                facts = {"cells": len(row.cells), "columns": self._width, "line": row.line}
                yield BadRow(row.line, RowReason.CUT_SHORT, facts)
                continue
            if row.line in self._lone and not self._reading.takes(row.line):
                facts = {"text": cell_text(filled(row.cells)[0]), "line": row.line}
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
                texts |= dict.fromkeys(column.fields, "")
                faults.append(BadRow(row.line, error.reason, error.facts, column.guess.field))
        try:
            self._complete(texts)
        except CellError as error:
            faults.append(BadRow(row.line, error.reason, error.facts, "jacket"))
        day = texts.get("valued_on", "")
        if day and not ISO.fullmatch(day) and any(fault.field == "value" for fault in faults):
            # Read only beside a value, and this row's is empty now.
            faults.append(BadRow(row.line, not_a_day(day), {"field": "valued_on", "text": day}, "valued_on"))
        return texts, faults

    def _add_cell(self, row: RawRow, column: ColumnReading, form: FieldForm, texts: dict[str, str]) -> None:
        cell = row.cells[column.guess.place]
        if isinstance(cell, str):
            cell = cell_texts.plain(cell)
            if not cell:
                return
            if form in IN_FIGURES:
                cell = narrow(cell)
        elif isinstance(cell, date):
            self._check_day(column, form, cell)
        if form is FieldForm.SIZES:
            self._add_sizes(column, cell, row.line, texts)
            return
        convert = self._convert.get(form)
        texts[column.guess.field] = convert(column, cell, row.line) if convert is not None else cell_text(cell)
        if form is FieldForm.AMOUNT:
            self._add_currency(row, column, texts)
        if form is FieldForm.EDITION_NAME and len(column.fields) > 1 and not texts["number"]:
            texts["number"] = number_in_key(texts[column.guess.field])

    def _complete(self, texts: dict[str, str]) -> None:
        """Add the basis that a heading states and the jacket beside a grade, and write a currency by its code."""
        if self._default_basis is not None and not texts["basis"]:
            texts["basis"] = self._default_basis.value
        if texts.get("currency") and (code := currency_of(texts["currency"])):
            texts["currency"] = code
        grade, _, jacket = texts.get("grade", "").partition("/")
        if jacket:
            texts["grade"] = grade
            if texts["jacket"] not in ("", jacket):
                raise CellError(RowReason.JACKET_TWICE, text=texts["jacket"], other=jacket)
            texts["jacket"] = jacket

    def _check_day(self, column: ColumnReading, form: FieldForm, day: date) -> None:
        """Refuse a day that a spreadsheet has made, or counted wrongly."""
        field = column.guess.field
        if form not in (FieldForm.DAY, FieldForm.YEAR, FieldForm.REMARK):
            raise CellError(RowReason.DAY_FOR_TEXT, field=field, text=day.isoformat())
        if self._has_serials and day < SERIALS_BEGIN:
            raise CellError(RowReason.DAY_BEFORE_SERIALS, field=field, text=day.isoformat())

    def _add_currency(self, row: RawRow, column: ColumnReading, texts: dict[str, str]) -> None:
        """Take the currency from a column or the heading, else from beside the amount or its format, or the person."""
        cell, field = row.cells[column.guess.place], column.guess.field
        sign = unit_part(cell) if isinstance(cell, str) else row.signs.get(column.guess.place, "")
        place = next((other.guess.place for other in self._columns if other.guess.field == "currency"), None)
        given = cell_text(row.cells[place]).strip() if place is not None and place < len(row.cells) else ""
        given = currency_of(given) or given or self._currency_of_heading
        if not currency_of(sign):
            given = given or self._currency_of_bare
        if sign and given and not may_stand_for(sign, given):
            raise CellError(RowReason.CURRENCY_DIFFERS, field=field, text=cell_text(cell), sign=sign, currency=given)
        if sign and not given and not currency_of(sign):
            raise CellError(RowReason.CURRENCY_SHARED, field=field, text=cell_text(cell), sign=sign)
        texts["currency"] = given or currency_of(sign)

    def _year(self, _column: ColumnReading, cell: Cell, line: int) -> str:
        text = str(cell.year) if isinstance(cell, date) else cell_texts.whole_text(cell)
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
        value = cell_texts.quantity(column, cell)
        if value is None:
            return cell_text(cell)
        if form_of(field) is FieldForm.MASS and cell_texts.is_in_pounds(column, cell):
            value = round(value)
        self._check_size(field, value, cell, line)
        return f"{value / G_PER_KG if own_unit(field) == 'kg' else value:.10g}"

    def _check_size(self, field: str, value: float, cell: Cell, line: int) -> None:
        least, most = self._odd.get(field, (0, float("inf")))
        if value > 0 and not least <= value <= most and not self._reading.takes(line):
            size = f"{value:g} {'mm' if form_of(field) is FieldForm.LENGTH else 'g'}"
            raise CellError(RowReason.SIZE_UNLIKELY, field=field, text=cell_text(cell), size=size, line=line)

    def _add_sizes(self, column: ColumnReading, cell: Cell, line: int, texts: dict[str, str]) -> None:
        """Add the several sizes of a cell, where no column of their own says otherwise."""
        sizes = sides_mm(cell_text(cell), column.unit, column.order or SizeOrder.HEIGHT_WIDTH)
        for field, value in sizes.items():
            self._check_size(field, value, cell, line)
            size = f"{value:.10g}"
            if texts[field] and abs(float(texts[field]) - value) > SAME_MM:
                raise CellError(RowReason.SIZE_TWICE, field=field, size=texts[field], other=size)
            texts[field] = texts[field] or size

    def _day(self, column: ColumnReading, cell: Cell, _line: int) -> str:
        if isinstance(cell, date):
            return cell.isoformat()
        text = cell_text(cell)
        day = read_either_day(text, column.dates or DayOrder.DMY)
        return text if day is None else day.isoformat()
