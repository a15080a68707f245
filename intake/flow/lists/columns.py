"""Which column of a person's list is which field, and the values of its cells.

Headings are matched by a list of usual names, whatever their case, spaces and hyphens; `mapping` overrides it. A cell
that cannot be understood is a reason on its row, never a guess.
"""

import difflib
import re
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from datetime import date
from decimal import Decimal, InvalidOperation
from enum import StrEnum
from typing import TypeVar

from intake.errors import FileError, UsageError
from intake.flow.lists.reasons import CellError, RowReason
from intake.model.changes import Record

Parsed = TypeVar("Parsed")
RecordType = TypeVar("RecordType", bound=Record)
Word = TypeVar("Word", bound=StrEnum)


@dataclass(frozen=True, slots=True)
class ListColumn:
    """A field, and the headings under which people keep it."""

    field: str
    names: tuple[str, ...] = ()
    required: bool = False


def map_columns(
    header: Sequence[str], columns: Sequence[ListColumn], *, file: str, mapping: Mapping[str, str]
) -> dict[str, str]:
    """Find each field's heading.

    Args:
        header: the headings of the file, as they stand.
        columns: the fields to find.
        file: the file's name, for the message.
        mapping: field to heading, where a person says so.

    Raises:
        UsageError: `mapping` names a field or a heading that does not exist.
        FileError: a required column is missing.
    """
    by_heading = {_fold(heading): heading for heading in header}
    fields = {column.field for column in columns}
    for field, heading in mapping.items():
        if field not in fields:
            raise UsageError(f"Field {field!r}", "is not known", f"use one of {', '.join(sorted(fields))}")
        if _fold(heading) not in by_heading:
            raise UsageError(f"Column {heading!r}", f"is not in {file}", f"use one of {', '.join(header)}")
    matched: dict[str, str] = {}
    for column in columns:
        names = [mapping[column.field]] if column.field in mapping else [column.field, *column.names]
        own = next((by_heading[_fold(name)] for name in names if _fold(name) in by_heading), None)
        if own is not None:
            matched[column.field] = own
        elif column.required:
            near = difflib.get_close_matches(_fold(column.field), by_heading, n=1, cutoff=0.5)
            hint = f"--map {column.field}={by_heading[near[0]]}" if near else f"--map {column.field}=HEADING"
            raise FileError(file, f"has no column for {column.field!r}", f"add one or name it with {hint}")
    return matched


class Cells:
    """The cells of one row, by field."""

    def __init__(self, cells: Mapping[str, str], headings: Mapping[str, str]) -> None:
        self._cells = cells
        self._headings = headings

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


def _fold(heading: str) -> str:
    return re.sub(r"[\s_\-]+", "_", heading.strip().casefold())


def merged(before: RecordType, row: RecordType, keep: Collection[str] = ()) -> RecordType:
    """Return the stored record with the row's values, except the fields in `keep`; an empty cell changes nothing."""
    given = {field.name: getattr(row, field.name) for field in fields(before) if field.name not in keep}
    return replace(before, **{name: value for name, value in given.items() if value not in (None, "", ())})
