"""What a library's server answers: records as plain fields of an edition, or what went wrong."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum


class ServerTrouble(StrEnum):
    """Why a server gave no answer that can be used."""

    BAD_ADDRESS = "bad address"
    UNREACHABLE = "unreachable"
    TIMED_OUT = "timed out"
    CUT_OFF = "cut off"
    TOO_LARGE = "too large"
    REDIRECTED = "redirected elsewhere"
    STATUS = "HTTP status"
    COMPRESSED = "compressed"
    HTML = "a web page"
    NOT_XML = "not XML"
    DOCTYPE = "a document type"
    NOT_SRU = "not an SRU response"
    NO_RECORDS = "a count without records"
    DIAGNOSTIC = "diagnostic"


@dataclass(frozen=True, slots=True)
class ServerFault:
    """What went wrong with one request.

    Attributes:
        detail: what distinguishes this fault from others of its kind: the HTTP status, the host of a redirect, the
            message and the details of a diagnostic, the count without records.
        diagnostic: number of the diagnostic in the list `info:srw/diagnostic/1`; None where it is none of these.
    """

    kind: ServerTrouble
    detail: str = ""
    diagnostic: int | None = None


class RecordNoteKind(StrEnum):
    """How a value that is taken from a record differs from what the record says."""

    HEIGHT_ROUNDED_UP = "height rounded up"
    YEAR_OF_COPYRIGHT = "year of copyright"
    YEAR_UNCERTAIN = "year uncertain"
    YEAR_FIRST_OF_SEVERAL = "first of several years"
    YEAR_OF_DATE = "year of a date"
    PAGES_ADDED = "page sequences added"
    OTHER_SCRIPT = "given in the script of the book"
    NAME_SEPARATOR = "semicolon in a name"


@dataclass(frozen=True, slots=True)
class RecordNote:
    """How the value of a field differs from what the record says, which is `text`."""

    kind: RecordNoteKind
    field: str
    text: str


@dataclass(frozen=True, slots=True)
class RecordNumber:
    """A number as the record has it.

    Attributes:
        qualifier: what the record says of it, mostly the binding ("hbk.").
        cancelled: whether it is given as wrong or cancelled, so that it must not identify the record.
    """

    text: str
    qualifier: str = ""
    cancelled: bool = False


RecordValue = str | int | float | tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LookedUpRecord:
    """One record of a library, as fields of an edition.

    Attributes:
        id: its number in the library that made it; may be empty.
        fields: by the name of the field of `Edition`; only what the record states.
        notes: which of these were converted or are uncertain.
        left_out: what the record says besides, by its tag or element; the edition has no field for it.
    """

    id: str = ""
    numbers: tuple[RecordNumber, ...] = ()
    fields: Mapping[str, RecordValue] = field(default_factory=dict)
    notes: tuple[RecordNote, ...] = ()
    left_out: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ServerAnswer:
    """What one server answered to one question.

    Attributes:
        server: its address.
        records: those that are what was asked for, in the server's order.
        others: records that are something else: not every server judges what it is asked.
        unreadable: records that the server could not give, or gave in a format that is not known.
        total: how many the server says it has.
        fault: what went wrong; a fault after some records is about the rest of them.
        kept: whether it was answered from what the server had said before, within a day.
    """

    server: str
    records: tuple[LookedUpRecord, ...] = ()
    others: int = 0
    unreadable: int = 0
    total: int = 0
    fault: ServerFault | None = None
    kept: bool = False

    @property
    def seen(self) -> int:
        """Return how many records were looked at."""
        return len(self.records) + self.others + self.unreadable

    @property
    def answered(self) -> bool:
        """Return whether the server could say what it has."""
        return self.fault is None or bool(self.records)
