"""Why a row of a list cannot be used, as data; `row_words` makes the sentence of it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum, auto

from intake.units.written_days import is_without_day


class RowReason(StrEnum):
    """Why a row cannot be used."""

    TOO_MANY_CELLS = auto()
    EMPTY = auto()
    NO_EDITION_NAMED = auto()
    NOT_WHOLE = auto()
    NOT_A_NUMBER = auto()
    NOT_A_SIZE = auto()
    NOT_AN_AMOUNT = auto()
    AMOUNT_IMPOSSIBLE = auto()
    NOT_A_DATE = auto()
    DAY_MISSING = auto()
    NOT_YES_OR_NO = auto()
    NOT_A_WORD = auto()
    COLLECTS_NOT_UNDERSTOOD = auto()
    CURRENCY_UNKNOWN = auto()
    CURRENCY_MISSING = auto()
    CURRENCY_SIGN_UNKNOWN = auto()
    FUTURE_VALUE = auto()
    ADD_ON_ALONE = auto()
    OWN_NUMBER = auto()
    NUMBER_REJECTED = auto()
    NUMBER_REPAIRABLE = auto()
    NUMBER_AMBIGUOUS = auto()
    NUMBER_NOT_ALONE = auto()
    NUMBER_ROUNDED = auto()
    DAY_FOR_TEXT = auto()
    DAY_BEFORE_SERIALS = auto()
    LONE_CELL = auto()
    CUT_SHORT = auto()
    YEAR_IMPOSSIBLE = auto()
    YEAR_UNLIKELY = auto()
    SIZE_UNLIKELY = auto()
    SIZE_TWICE = auto()
    SIZE_FOR_BINDING = auto()
    SIZE_OF_FOLD = auto()
    JACKET_TWICE = auto()
    GRADE_UNKNOWN = auto()
    GRADE_NOT_KEPT = auto()
    CURRENCY_DIFFERS = auto()
    CURRENCY_SHARED = auto()
    NOT_WITH_UNIT = auto()
    BOX_NUMBER_REJECTED = auto()
    BOX_NUMBER_NONE = auto()
    BOX_NUMBER_UNDIVIDED = auto()
    COPY_NUMBER_REJECTED = auto()
    COPY_UNKNOWN = auto()
    COPY_OF_ANOTHER_EDITION = auto()
    COPY_NOT_MOVABLE = auto()
    SAME_COPY = auto()
    NUMBER_OF_ANOTHER_TITLE = auto()
    CELL_UNREADABLE = auto()
    NOT_AN_OWN_NUMBER = auto()
    SAME_RECORD = auto()
    REFERENCE_MISSING = auto()
    REFERENCE_IN_A_CIRCLE = auto()
    SAME_EDITION = auto()
    SAME_BOX = auto()
    SAME_SHELF = auto()
    EDITION_NOT_A_NUMBER = auto()
    EDITION_UNKNOWN = auto()
    EDITION_AMBIGUOUS = auto()
    EDITION_NAMED_TWICE = auto()
    PRINTING_UNKNOWN = auto()
    CONSIGNMENT_UNKNOWN = auto()
    BOX_UNKNOWN = auto()
    BOX_IN_ANOTHER = auto()
    BOX_NOT_OPEN = auto()
    GROSS_NOT_ABOVE_TARE = auto()
    GROSS_BELOW_BOOKS = auto()
    FUTURE_DISPATCH = auto()
    DELIVERED_BEFORE_DISPATCH = auto()
    RECORD_TRUNCATED = auto()
    RECORD_NOT_A_RECORD = auto()
    RECORD_DIRECTORY = auto()
    RECORD_ENCODING = auto()
    RECORD_MIXED_ENCODINGS = auto()
    RECORD_TOO_LONG = auto()
    RECORD_DELETED = auto()
    RECORD_NOT_BIBLIOGRAPHIC = auto()
    RECORD_BROKEN_XML = auto()
    RECORD_UNKNOWN_ENTITY = auto()


Facts = Mapping[str, str | int]
"""What the sentence of a reason needs, by name (`row_words`)."""


class CellError(ValueError):
    """What is wrong with one cell; becomes the reason of its row.

    Args:
        reason: which reason.
        facts: what its sentence needs.
    """

    def __init__(self, reason: RowReason, **facts: str | int) -> None:
        super().__init__(reason, facts)
        self.reason = reason
        self.facts: Facts = facts


@dataclass(frozen=True, slots=True)
class BadRow:
    """A row that cannot be used, and why.

    Attributes:
        line: of the file, from 1.
        reason: what is wrong first.
        facts: what the sentence of the reason needs.
        field: of the cell that is wrong; empty where it is the row.
        more: what is wrong besides, with other cells.
        cells: those of the row that could be read, by field, the others empty; None where there are none.
    """

    line: int
    reason: RowReason
    facts: Facts = field(default_factory=dict)
    field: str = ""
    more: tuple["BadRow", ...] = ()
    cells: Mapping[str, str] | None = None

    @property
    def faults(self) -> tuple["BadRow", ...]:
        """Return all that is wrong, each by itself."""
        return (BadRow(self.line, self.reason, self.facts, self.field), *self.more)


def not_a_day(text: str) -> RowReason:
    """Return why a text is not a day: which day of a month or a year it is may be for the person to say."""
    return RowReason.DAY_MISSING if is_without_day(text) else RowReason.NOT_A_DATE


def bad_row(line: int, error: CellError) -> BadRow:
    """Return the bad row that an error of one of its cells makes."""
    return BadRow(line, error.reason, error.facts)


def bad_row_of(faults: Sequence[BadRow], cells: Mapping[str, str] | None = None) -> BadRow:
    """Return the bad row that several faults of its cells make."""
    first, *more = faults
    return BadRow(first.line, first.reason, first.facts, first.field, tuple(more), cells)
