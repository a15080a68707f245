"""The text that one cell becomes in the form in which lists are read, as far as the cell alone decides it."""

import re

from intake.edges.exchange.heading_table import NO, YES, words_in_cells
from intake.edges.exchange.table_cells import Cell
from intake.edges.exchange.text_table import UNFORMULA
from intake.errors import UsageError
from intake.flow.lists.field_forms import UNITS, FieldForm, form_of
from intake.flow.lists.list_guess import ColumnReading
from intake.flow.lists.reasons import CellError, RowReason
from intake.flow.lists.table_layout import cell_text
from intake.flow.lists.written_cells import (
    NUMBER,
    PAGES,
    number_part,
    ordinal_read,
    pages_read,
    retail_number,
    unit_part,
    without_breaks,
)
from intake.flow.lists.written_sizes import is_like_size
from intake.flow.lists.written_words import box_read, grade_read, jacket_read
from intake.model.editions import Grade
from intake.units.full_width import narrow
from intake.units.quantities import MASSES, METRIC, parse_length_mm, parse_mass_g
from intake.units.written_currencies import SHARED, currency_of
from intake.units.written_languages import language_read
from intake.units.written_numbers import DecimalMark, read_either

FRACTION = re.compile(r"[/¼½¾⅓⅔⅛⅜⅝⅞]")
LETTERS = re.compile(r"[^\W\d_]+")


def plain(text: str) -> str:
    r"""Return a text cell without outer space and without what keeps a spreadsheet from reading it as a formula.

    An apostrophe before a formula says that the rest is meant as it stands.

    >>> plain('="007"'), plain("'=1+1"), plain('\'="007"')
    ('007', '=1+1', '="007"')
    """
    match = UNFORMULA.fullmatch(text)
    return (match["text"] if match else cell_text(text)).strip()


def whole_text(cell: Cell) -> str:
    """Return a number without the .0 of a spreadsheet that takes all numbers for decimals."""
    text = cell_text(cell)
    return text.removesuffix(".0") if text.removesuffix(".0").isdecimal() else text


def edition_name(_column: ColumnReading, cell: Cell, _line: int) -> str:
    """Return what names an edition, without what a spreadsheet made of a number."""
    text = without_breaks(whole_text(cell))
    return retail_number(text) if "E" in text.upper() and "+" in text else text


def whole(column: ColumnReading, cell: Cell, _line: int) -> str:
    """Return a whole number: of pages also where they are of several sequences, of a printing also its ordinal."""
    text = whole_text(cell)
    if column.guess.field == "printing":
        return ordinal_read(narrow(text)) or text
    if column.guess.field == "pages" and (pages := pages_read(text)) is not None:
        return pages
    match = PAGES.fullmatch(text)
    return match[1] if match else text


def quantity(column: ColumnReading, cell: Cell) -> float | None:
    """Return a length in mm or a mass in g; None where the cell is not a number and has no unit."""
    form = form_of(column.guess.field)
    mark = column.decimals or DecimalMark.POINT
    if not isinstance(cell, str):
        return float(cell) * UNITS[form][column.unit] if isinstance(cell, int | float) else None
    unit = unit_part(cell)
    if not unit and not FRACTION.search(cell):
        number = read_either(cell, mark)
        return None if number is None else float(number) * UNITS[form][column.unit]
    text = NUMBER.sub(lambda match: str(_number_or_text(match[0], mark)), cell)
    try:
        text = text if unit else f"{text} {column.unit}"
        return parse_length_mm(text) if form is FieldForm.LENGTH else parse_mass_g(text)
    except UsageError as error:
        why = error.why
        raise CellError(RowReason.NOT_WITH_UNIT, field=column.guess.field, text=cell, why=why) from None


def _number_or_text(text: str, mark: DecimalMark) -> object:
    number = read_either(text, mark)
    return text if number is None else number


def amount(column: ColumnReading, cell: Cell, _line: int) -> str:
    """Return an amount without its currency.

    Raises:
        CellError: it is none.
    """
    if not isinstance(cell, str):
        return cell_text(cell)
    sign = unit_part(cell)
    number = read_either(number_part(cell), column.decimals or DecimalMark.POINT)
    if number is None:
        raise CellError(RowReason.NOT_AN_AMOUNT, field=column.guess.field, text=cell)
    if sign and not currency_of(sign) and sign.casefold() not in SHARED:
        raise CellError(RowReason.CURRENCY_SIGN_UNKNOWN, field=column.guess.field, text=cell, sign=sign)
    return str(number)


def yes_no(_column: ColumnReading, cell: Cell, _line: int) -> str:
    """Return yes or no for the words of many languages."""
    text = cell_text(cell).casefold()
    if text in words_in_cells(YES):
        return "yes"
    return "no" if text in words_in_cells(NO) else cell_text(cell)


def grade(column: ColumnReading, cell: Cell, _line: int) -> str:
    """Return the trade's grade, book/jacket where both are stated."""
    return _understood(column, cell_text(cell), grade_read(cell_text(cell)))


def jacket(column: ColumnReading, cell: Cell, _line: int) -> str:
    """Return the grade of the jacket, or whether there is one."""
    return _understood(column, cell_text(cell), jacket_read(cell_text(cell)))


def _understood(column: ColumnReading, text: str, read: str | None) -> str:
    if read is not None:
        return read
    facts = {"field": column.guess.field, "text": text, "words": ", ".join(Grade)}
    if not column.spare:
        raise CellError(RowReason.GRADE_NOT_KEPT, **facts)
    raise CellError(RowReason.GRADE_UNKNOWN, **facts, spare=column.spare, heading=column.guess.heading.strip())


def box(_column: ColumnReading, cell: Cell, _line: int) -> str:
    """Return the number of a box without its word."""
    text = whole_text(cell)
    return box_read(text) or text


def language(column: ColumnReading, cell: Cell, line: int) -> str:
    """Return the codes of the languages that a cell names (ISO 639-2); a text in which one is not certain as it is."""
    text = one_line(column, cell, line)
    return language_read(text) or text


def one_line(column: ColumnReading, cell: Cell, _line: int) -> str:
    """Return a text without its line breaks; names on lines of their own stay several.

    Raises:
        CellError: a binding that is a size.
    """
    # A text is plain already: an apostrophe that it still has is its own.
    text = cell if isinstance(cell, str) else cell_text(cell)
    if column.guess.field == "binding" and is_like_size(text):
        raise CellError(RowReason.SIZE_FOR_BINDING, text=text)
    return without_breaks(text, "; " if column.guess.field == "contributors" else " ")


def is_in_pounds(column: ColumnReading, cell: Cell) -> bool:
    """Return whether a mass is written in a unit that is not metric, so that its grams are no more exact than one."""
    words = LETTERS.findall(cell.casefold()) if isinstance(cell, str) else []
    return any(MASSES.get(unit, 1.0) not in METRIC for unit in words or [column.unit])
