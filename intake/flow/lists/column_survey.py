"""What the cells of a column, taken together, prove of their decimal mark, the order of their days and their unit."""

import re
from collections import Counter
from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from functools import lru_cache
from statistics import median
from typing import Generic, TypeVar

from intake.edges.exchange.table_cells import Cell
from intake.edges.exchange.text_table import UNFORMULA
from intake.flow.lists.cell_texts import plain, whole_text
from intake.flow.lists.field_forms import UNITS, FieldForm, form_of
from intake.flow.lists.headings import ColumnGuess
from intake.flow.lists.list_guess import Remark, Sample
from intake.flow.lists.numbers_in_keys import KeyEvidence
from intake.flow.lists.size_orders import FIELDS
from intake.flow.lists.table_layout import cell_text
from intake.flow.lists.told_by_cells import is_of_other
from intake.flow.lists.written_cells import (
    has_more_than_number,
    is_year_otherwise,
    number_part,
    ordinal_read,
    pages_read,
    restored_number,
    unit_part,
    without_breaks,
    year_read,
)
from intake.flow.lists.written_sizes import has_unit, is_fold, named_sheet, side_numbers
from intake.flow.lists.written_words import box_read, grade_read, jacket_read
from intake.units.full_width import narrow
from intake.units.quantities import TIMES
from intake.units.written_days import DayOrder, day_readings
from intake.units.written_languages import language_read
from intake.units.written_numbers import DecimalMark, number_readings, read_either

Convention = TypeVar("Convention", bound=Hashable)

MOST_VALUES = 5000
"""So many numbers are enough for the middle one."""
ALONE = re.compile(r"[\d-]{8,17}[Xx]?")
"""A number with nothing beside it, as most cells have it."""
ONE_LINE = frozenset({FieldForm.TEXT, FieldForm.EDITION_NAME})
NUMERIC = frozenset({FieldForm.LENGTH, FieldForm.MASS, FieldForm.AMOUNT})

WORDS: Mapping[FieldForm, Callable[[str], str | None]] = {
    FieldForm.GRADE: grade_read,
    FieldForm.JACKET: jacket_read,
    FieldForm.BOX: box_read,
    FieldForm.LANGUAGE: language_read,
}
WORDS_KEPT = 200
MOST_REST, LONGEST_REST = 6, 40
"""Of the texts that are not grades, in a column of which most are: so many are named, and so much of each."""
"""So many different words of a column are kept to be shown."""
_numbers = lru_cache(maxsize=4096)(number_readings)
_days = lru_cache(maxsize=4096)(day_readings)


@dataclass(slots=True)
class ConventionEvidence(Generic[Convention]):
    """Which conventions fit: cells that only one fits, and the first that two read differently."""

    sure: dict[Convention, Sample] = field(default_factory=dict)
    doubtful: Sample | None = None

    def add(self, line: int, text: str, readings: Mapping[Convention, Decimal | date | None]) -> None:
        """Take the next cell."""
        fitting = [convention for convention, value in readings.items() if value is not None]
        if len(fitting) == 1:
            self.sure.setdefault(fitting[0], (line, text))
        elif self.doubtful is None and len({readings[convention] for convention in fitting}) > 1:
            self.doubtful = (line, text)


class ColumnSurvey:
    """Looks at every cell of a column before any is converted."""

    def __init__(self, guess: ColumnGuess) -> None:
        self.guess = guess
        self.form = form_of(guess.field) if guess.field else FieldForm.REMARK
        self.filled = 0
        self.of_other = 0
        self.rest: dict[str, int] = {}
        self.decimals: ConventionEvidence[DecimalMark] = ConventionEvidence()
        self.days: ConventionEvidence[DayOrder] = ConventionEvidence()
        self.bare: Sample | None = None
        self.texts: list[str] = []
        self.numbers: list[float] = []
        self.remarks: dict[Remark, Sample] = {}
        self.counts: dict[Remark, int] = {}
        self.currencies: Counter[str] = Counter()
        self.words: dict[str, str] = {}
        self.sizes: list[tuple[float, ...]] = []
        self.first_sizes: Sample | None = None
        self.most_sides = 1
        self.keys = KeyEvidence()

    def add(self, line: int, cell: Cell, sign: str = "") -> None:
        """Take the next cell that is not empty, and the currency in which it is formatted."""
        self.filled += 1
        if isinstance(cell, str):
            self._add_to_field(line, cell.strip())
        if self.form is FieldForm.AMOUNT and sign and not isinstance(cell, str):
            self.currencies[sign] += 1
        if self.form in NUMERIC:
            self._add_number(line, cell)
        elif self.form is FieldForm.SIZES:
            self._add_sizes(line, narrow(cell_text(cell).strip()))
        elif self.form in WORDS:
            self._add_word(line, cell_text(cell).strip())
        elif self.form in ONE_LINE:
            self._add_line(line, cell)
        elif self.form is FieldForm.DAY and isinstance(cell, str):
            text = cell.strip()
            self.days.add(line, text, _days(text))
        elif self.form in (FieldForm.RETAIL_NUMBER, FieldForm.YEAR, FieldForm.WHOLE):
            self._add_text(line, narrow(whole_text(cell).strip()))
        if isinstance(cell, str) and UNFORMULA.fullmatch(cell):
            self._remark(Remark.TEXT_OF_FORMULA, line, cell.strip())

    def _add_to_field(self, line: int, text: str) -> None:
        """Note whether a text is of the field that the heading may mean as well, and the first that are not."""
        if is_of_other(self.guess.field, text):
            self.of_other += 1
        elif len(self.rest) < MOST_REST:
            self.rest.setdefault(text if len(text) <= LONGEST_REST else f"{text[:LONGEST_REST]} …", line)

    def _add_line(self, line: int, cell: Cell) -> None:
        """Note a text of several lines, and whether a key is a number."""
        if isinstance(cell, str):
            text = cell.strip()
            if (on_one_line := without_breaks(text)) != text:
                self._remark(Remark.LINE_BREAKS, line, on_one_line)
        if self.form is FieldForm.EDITION_NAME:
            self.keys.add(line, plain(whole_text(cell)))

    def _add_text(self, line: int, text: str) -> None:
        """Note what is made of a text that is more than its figures."""
        if self.form is FieldForm.RETAIL_NUMBER:
            if restored_number(text) is not None:
                self._remark(Remark.ZERO_RESTORED, line, text)
            elif not ALONE.fullmatch(text) and has_more_than_number(text):
                self._remark(Remark.BESIDE_NUMBER, line, text)
        elif self.form is FieldForm.YEAR and (year := year_read(text)) is not None:
            read = Remark.YEAR_OTHERWISE if is_year_otherwise(text) else Remark.YEAR_READ
            self._remark(read if year else Remark.YEAR_UNTOLD, line, f"{text} as {year}" if year else text)
        elif self.guess.field == "printing" and (ordinal := ordinal_read(text)) is not None:
            self._remark(Remark.ORDINALS, line, f"{text} as {ordinal}")
        elif self.guess.field == "pages" and (pages := pages_read(text)) is not None:
            self._remark(Remark.PAGES_ADDED, line, f"{text} as {pages}")

    def _add_word(self, line: int, text: str) -> None:
        """Note what a word is read as; of a language that it is kept, where it is not known."""
        read = WORDS[self.form](narrow(text))
        if read is None and self.form is FieldForm.LANGUAGE:
            self._remark(Remark.LANGUAGE_KEPT, line, text)
        is_another = read is not None and ("/" in read or read.casefold() != text.casefold())
        if read is not None and is_another and (len(self.words) < WORDS_KEPT or "/" in read):
            self.words.setdefault(text, read)

    def _add_sizes(self, line: int, text: str) -> None:
        """Note the sizes of a cell, and whether they have a unit."""
        if sheet := named_sheet(text):
            self._remark(Remark.SHEET_NAMED, line, f"{text} as {sheet[0]} x {sheet[1]} mm")
            self.most_sides = max(self.most_sides, len(sheet))
            return
        if is_fold(text):  # refused by itself, whatever its unit
            return
        for side in TIMES.split(text):
            self.decimals.add(line, text, _numbers(number_part(side.strip())))
        numbers = side_numbers(text)
        self.most_sides = max(self.most_sides, len(TIMES.split(text)))
        if not has_unit(text):
            self.bare = self.bare or (line, text)
            if numbers and len(self.numbers) < MOST_VALUES:
                self.numbers.append(max(numbers))
        if len(numbers) > 1:
            self.first_sizes = self.first_sizes or (line, text)
            if len(self.sizes) < MOST_VALUES:
                self.sizes.append(numbers)

    def _add_number(self, line: int, cell: Cell) -> None:
        if isinstance(cell, str):
            text = narrow(cell.strip())
            number = number_part(text)
            self.decimals.add(line, text, _numbers(number))
            if self.form in UNITS and not unit_part(text):
                self.bare = self.bare or (line, text)
                if len(self.texts) < MOST_VALUES:
                    self.texts.append(number)
        elif isinstance(cell, int | float):
            self.bare = self.bare or (line, str(cell))
            if len(self.numbers) < MOST_VALUES:
                self.numbers.append(cell)

    @property
    def fields(self) -> tuple[str, ...]:
        """Return the fields that the column fills."""
        if self.form is FieldForm.SIZES:
            return tuple(FIELDS.values())[: self.most_sides]
        if self.form is FieldForm.GRADE and any("/" in read for read in self.words.values()):
            return ("grade", "jacket")
        return (self.guess.field,)

    def middle(self, mark: DecimalMark) -> float | None:
        """Return the middle one of the numbers without a unit, None where there are none."""
        values = [float(value) for text in self.texts if (value := read_either(text, mark)) is not None]
        values += self.numbers
        return median(values) if values else None

    def _remark(self, remark: Remark, line: int, text: str) -> None:
        self.remarks.setdefault(remark, (line, text))
        self.counts[remark] = self.counts.get(remark, 0) + 1
