"""The fields that a list may have, and the values of the cells of one row.

A cell that cannot be understood is a reason on its row, never a guess.
"""

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, fields, replace
from datetime import date
from decimal import Decimal, InvalidOperation
from enum import StrEnum
from typing import NoReturn, TypeVar

from intake.flow.lists.reasons import CellError, RowReason, not_a_day
from intake.model.changes import Record

Parsed = TypeVar("Parsed")
RecordType = TypeVar("RecordType", bound=Record)
Word = TypeVar("Word", bound=StrEnum)

CellFault = tuple[str, CellError]
"""A field, and what is wrong with its cell."""


@dataclass(frozen=True, slots=True)
class ListColumn:
    """A field, and the headings under which people keep it.

    Attributes:
        field: its name.
        names: English headings; those in other languages are in a table of words.
        required: whether a list needs it.
        instead: fields of which any serves as well.
        words_of: the field whose words in other languages it has, where that is another.
    """

    field: str
    names: tuple[str, ...] = ()
    required: bool = False
    instead: tuple[str, ...] = ()
    words_of: str = ""


class Cells:
    """The cells of one row, by field.

    Args:
        cells: the texts by heading.
        headings: by field.
        faults: takes what is wrong with cells, which then count as empty; None where the first fault is raised.
    """

    def __init__(
        self, cells: Mapping[str, str], headings: Mapping[str, str], faults: list[CellFault] | None = None
    ) -> None:
        self._cells = cells
        self._headings = headings
        self._faults = faults

    def has(self, field: str) -> bool:
        """Return whether the file has the column."""
        return field in self._headings

    def text(self, field: str) -> str:
        """Return the cell's text without outer space; empty where the file does not have the column."""
        return self._cells[self._headings[field]].strip() if field in self._headings else ""

    def attempt(self, field: str, read: Callable[[], Parsed]) -> Parsed | None:
        """Return what is read of a cell, None where it is wrong and faults are taken.

        Raises:
            CellError: it is wrong, and faults are not taken.
        """
        try:
            return read()
        except CellError as error:
            if self._faults is None:
                raise
            self._faults.append((field, error))
            return None

    def given(self, field: str) -> str:
        """Return the text of a cell that must not be empty."""
        if not self.text(field):
            self.attempt(field, lambda: _refuse(RowReason.EMPTY, field=field))
        return self.text(field)

    def whole(self, field: str) -> int | None:
        """Return a whole number, None where empty."""
        return self._read(field, int, RowReason.NOT_WHOLE)

    def length(self, field: str, *, or_zero: bool = False) -> float | None:
        """Return a length or mass, None where empty. A decimal comma is read as a point.

        Args:
            field: of the row.
            or_zero: whether it may be zero, as a height above the floor may.
        """

        def read(text: str) -> float:
            value = float(text.replace(",", "."))
            is_size = 0 < value < 1e7 or (or_zero and value == 0)
            return value if is_size else _refuse(RowReason.NOT_A_SIZE, field=field, text=text)

        return self._read(field, read, RowReason.NOT_A_NUMBER)

    def amount(self, field: str) -> Decimal | None:
        """Return an exact amount of money, None where empty."""

        def read(text: str) -> Decimal:
            try:
                value = Decimal(text)
            except InvalidOperation:
                raise ValueError(text) from None
            if not value.is_finite() or value < 0:
                raise ValueError(text)
            return value

        return self._read(field, read, RowReason.NOT_AN_AMOUNT)

    def day(self, field: str) -> date | None:
        """Return a date written as ISO 8601 (2026-03-31), None where empty."""

        def read(text: str) -> date:
            try:
                return date.fromisoformat(text)
            except ValueError:
                raise CellError(not_a_day(text), field=field, text=text) from None

        return self._read(field, read, RowReason.NOT_A_DATE)

    def yes(self, field: str) -> bool:
        """Return True for yes, False for no or empty."""
        return bool(self._read(field, _yes, RowReason.NOT_YES_OR_NO))

    def word(self, kind: type[Word], field: str) -> Word | None:
        """Return a word of a closed list, None where empty."""
        text = self.text(field)
        return self.attempt(field, lambda: word(kind, text, field)) if text else None

    def _read(self, field: str, convert: Callable[[str], Parsed], otherwise: RowReason) -> Parsed | None:
        if not (text := self.text(field)):
            return None

        def read() -> Parsed:
            try:
                return convert(text)
            except CellError:
                raise
            except ValueError:
                raise CellError(otherwise, field=field, text=text) from None

        return self.attempt(field, read)


def _refuse(reason: RowReason, **facts: str) -> NoReturn:
    raise CellError(reason, **facts)


def _yes(text: str) -> bool:
    if text.casefold() in {"yes", "y", "true", "1", "x"}:
        return True
    if text.casefold() in {"no", "n", "false", "0"}:
        return False
    raise ValueError(text)


def word(kind: type[Word], text: str, field: str) -> Word:
    """Return the member of a closed list of words, whatever its case.

    Raises:
        CellError: the word is not in the list; the reason names the list.
    """
    for member in kind:
        if member.value.casefold() == text.casefold():
            return member
    words = ", ".join(member.value for member in kind)
    raise CellError(RowReason.NOT_A_WORD, field=field, text=text, words=words)


def merged(before: RecordType, row: RecordType, keep: Collection[str] = ()) -> RecordType:
    """Return the stored record with the row's values, except the fields in `keep`; an empty cell changes nothing."""
    given = {field.name: getattr(row, field.name) for field in fields(before) if field.name not in keep}
    return replace(before, **{name: value for name, value in given.items() if value not in (None, "", ())})
