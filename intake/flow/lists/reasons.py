"""Why a row of a list cannot be used, as data; `row_words` makes the sentence of it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum, auto


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
    NOT_YES_OR_NO = auto()
    NOT_A_WORD = auto()
    CURRENCY_UNKNOWN = auto()
    CURRENCY_MISSING = auto()
    FUTURE_VALUE = auto()
    ADD_ON_ALONE = auto()
    OWN_NUMBER = auto()
    NUMBER_REJECTED = auto()
    NUMBER_REPAIRABLE = auto()
    BOX_NUMBER_REJECTED = auto()
    SAME_EDITION = auto()
    SAME_BOX = auto()
    SAME_SHELF = auto()
    EDITION_NOT_A_NUMBER = auto()
    EDITION_UNKNOWN = auto()
    EDITION_AMBIGUOUS = auto()
    PRINTING_UNKNOWN = auto()
    CONSIGNMENT_UNKNOWN = auto()
    BOX_UNKNOWN = auto()
    BOX_IN_ANOTHER = auto()
    BOX_NOT_OPEN = auto()
    GROSS_NOT_ABOVE_TARE = auto()
    GROSS_BELOW_BOOKS = auto()
    DELIVERED_BEFORE_DISPATCH = auto()


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
    """A row that cannot be used, and why; `line` counts the lines of the file from 1."""

    line: int
    reason: RowReason
    facts: Facts = field(default_factory=dict)


def bad_row(line: int, error: CellError) -> BadRow:
    """Return the bad row that an error of one of its cells makes."""
    return BadRow(line, error.reason, error.facts)
