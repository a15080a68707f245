"""What a statement of parts says, or why it cannot be understood and where."""

from dataclasses import dataclass
from enum import StrEnum

from intake.runs.parts import Parts


class StatementProblem(StrEnum):
    """Why a statement was not understood."""

    EMPTY = "nothing is stated"
    NO_SERIAL = "no serial is named"
    NO_NUMBERS = "no part is named"
    NOT_UNDERSTOOD = "not understood"
    BACKWARDS = "runs backwards"
    TOO_LARGE = "the number is too large"
    MIXED_LEVELS = "a range from one kind to another"
    BARE_LEVELS = "levels without captions"
    WHICH_LEVEL = "a number after a volume"
    TOO_DEEP = "more than two levels"
    FRACTION_IN_RANGE = "a range from or to an inserted part"
    QUOTE_OPEN = "a quotation mark is not closed"
    UNKNOWN_DIGIT = "a digit is unknown"
    COMBINED_TOO_MANY = "too many numbers for one piece"
    YEAR_AND_ISSUE = "a year and its issues"
    ROMAN = "Roman numerals"


@dataclass(frozen=True, slots=True)
class StatementFault:
    """A statement that was not understood.

    Attributes:
        at: where in the text, from 0.
        word: what stands there.
    """

    text: str
    problem: StatementProblem
    at: int
    word: str = ""


class StatementRemarkKind(StrEnum):
    """What was understood, but in a way that a person should see."""

    NAMED_TWICE = "parts named twice"
    COMBINED = "one piece with several numbers"
    DECIMAL_COMMA = "numbers that may be one with a decimal comma"
    CAPTION_OR_TITLE = "a word that may belong to the title"
    DATE_LEFT_OUT = "dates left out"
    NOTE_LEFT_OUT = "notes left out"
    OTHER_NUMBER_LEFT_OUT = "alternative numbers left out"
    UNKNOWN_END = "the end is not known"
    VOLUMES_BETWEEN = "whole volumes between"
    SAME_RUN = "numbers of the run before a semicolon"
    NOT_PUBLISHED = "numbers stated never to have been published"
    PLAIN_NUMBERS = "plain numbers after a run with a caption"


@dataclass(frozen=True, slots=True)
class StatementRemark:
    """One remark.

    Attributes:
        word: what of the statement it is about, or the parts, as they are written.
        parts: those that were not published; None for any other remark.
    """

    kind: StatementRemarkKind
    word: str
    parts: Parts | None = None


@dataclass(frozen=True, slots=True)
class Collected:
    """Parts of one serial; its title is empty where the statement names none."""

    serial: str
    parts: Parts


@dataclass(frozen=True, slots=True)
class PartsStatement:
    """A statement that was understood: one entry for each serial, in the order written."""

    collected: tuple[Collected, ...]
    remarks: tuple[StatementRemark, ...] = ()
