"""The fields that a list may have, and the values of the cells of one row.

A cell that cannot be understood is a reason on its row, never a guess.
"""

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, fields, replace
from datetime import date
from decimal import Decimal, InvalidOperation
from enum import StrEnum
from typing import TypeVar

from intake.flow.lists.reasons import CellError, RowReason
from intake.model.changes import Record

Parsed = TypeVar("Parsed")
RecordType = TypeVar("RecordType", bound=Record)
Word = TypeVar("Word", bound=StrEnum)


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
    """The cells of one row, by field."""

    def __init__(self, cells: Mapping[str, str], headings: Mapping[str, str]) -> None:
        self._cells = cells
        self._headings = headings

    def has(self, field: str) -> bool:
        """Return whether the file has the column."""
        return field in self._headings

    def text(self, field: str) -> str:
        """Return the cell's text without outer space; empty where the file does not have the column."""
        return self._cells[self._headings[field]].strip() if field in self._headings else ""

    def whole(self, field: str) -> int | None:
        """Return a whole number, None where empty."""
        return self._number(field, int, RowReason.NOT_WHOLE)

    def length(self, field: str) -> float | None:
        """Return a length or mass, None where empty. A decimal comma is read as a point."""
        value = self._number(field, lambda text: float(text.replace(",", ".")), RowReason.NOT_A_NUMBER)
        if value is not None and not 0 < value < 1e7:
            raise CellError(RowReason.NOT_A_SIZE, field=field, text=self.text(field))
        return value

    def amount(self, field: str) -> Decimal | None:
        """Return an exact amount of money, None where empty."""
        text = self.text(field)
        if not text:
            return None
        try:
            value = Decimal(text)
        except InvalidOperation:
            raise CellError(RowReason.NOT_AN_AMOUNT, field=field, text=text) from None
        if not value.is_finite() or value < 0:
            raise CellError(RowReason.NOT_AN_AMOUNT, field=field, text=text)
        return value

    def day(self, field: str) -> date | None:
        """Return a date written as ISO 8601 (2026-03-31), None where empty."""
        text = self.text(field)
        if not text:
            return None
        try:
            return date.fromisoformat(text)
        except ValueError:
            raise CellError(RowReason.NOT_A_DATE, field=field, text=text) from None

    def yes(self, field: str) -> bool:
        """Return True for yes, False for no or empty."""
        text = self.text(field).casefold()
        if text in {"yes", "y", "true", "1", "x"}:
            return True
        if text in {"", "no", "n", "false", "0"}:
            return False
        raise CellError(RowReason.NOT_YES_OR_NO, field=field, text=self.text(field))

    def _number(self, field: str, convert: Callable[[str], Parsed], otherwise: RowReason) -> Parsed | None:
        text = self.text(field)
        if not text:
            return None
        try:
            return convert(text)
        except ValueError:
            raise CellError(otherwise, field=field, text=text) from None


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
