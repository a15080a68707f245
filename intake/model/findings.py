"""What a check of a library finds: kinds and records as data; the words are made in `intake.flow.safekeeping`."""

from dataclasses import dataclass
from enum import StrEnum

from intake.model.changes import LedgerEntry


class FindingKind(StrEnum):
    """What is wrong with a library."""

    DATABASE_DAMAGED = "database damaged"
    """The database's own check reports an error, or a part of it cannot be read."""
    SCHEMA_ALTERED = "schema altered"
    """A table, column, index or trigger is missing, or there is one that the program did not make."""
    REFERENCE_BROKEN = "reference broken"
    """A record refers to one that is not there."""
    PLACE_INSIDE_ITSELF = "place inside itself"
    """A place is in one that is in it."""
    WORD_INDEX_WRONG = "word index wrong"
    """The index of words is not that of the records."""
    COUNTER_WRONG = "counter wrong"
    """The highest number given is not a number, or is below one that the ledger has."""
    ENTRY_BROKEN = "ledger entry broken"
    """The first entry that is missing, or does not agree with its digest."""
    LEDGER_CUT = "ledger cut"
    """The ledger has less than the last backup, than the counters of numbers, or than the tables."""
    HISTORY_CONTRADICTS = "history contradicts itself"
    """An entry supposes another state of a record than the entry before it left."""
    ROW_ALTERED = "record altered"
    """A record is not as the ledger left it."""
    ROW_MISSING = "record missing"
    """The ledger has a record that is not in its table."""
    ROW_UNKNOWN = "record unknown"
    """A table has a record that the ledger does not have, or took away."""
    PICTURE_MISSING = "picture missing"
    PICTURE_RENAMED = "picture renamed"
    """A picture lies among the pictures under a name that is not its own."""
    PICTURE_ALTERED = "picture altered"
    PICTURE_UNREADABLE = "picture unreadable"
    HEAD_UNKNOWN = "head unknown"
    """No entry has the digest that was printed earlier."""

    STRAY_FILE = "file without a record"
    """A file among the pictures that no record names: taken back, of a step that was cut off, or another library's."""
    SECOND_FILE = "second file of a picture"
    """A file among the pictures with the content of one that is there."""
    NUMBER_FREE_AGAIN = "number free again"
    """A number that somebody gave and took back can be given again."""
    NUMBERS_SKIPPED = "numbers skipped"
    """Numbers between the last one in the ledger and the next were given to nothing: a step was cut off."""
    NOTE_GARBLED = "note of the last entry garbled"
    """The note of the last entry that was written is there, and cannot be read."""
    MADE_WITH_LOSS = "made with a loss"
    """It was made from a ledger that had lost entries, which an archive has."""
    OPEN_TO_OTHERS = "open to other users"
    """The folder or its database may be read by other users of this machine."""

    @property
    def is_note(self) -> bool:
        """Tell whether the library is sound all the same."""
        return self in _NOTES


_NOTES = (
    FindingKind.STRAY_FILE,
    FindingKind.SECOND_FILE,
    FindingKind.NUMBER_FREE_AGAIN,
    FindingKind.NUMBERS_SKIPPED,
    FindingKind.NOTE_GARBLED,
    FindingKind.MADE_WITH_LOSS,
    FindingKind.OPEN_TO_OTHERS,
)


@dataclass(frozen=True, slots=True)
class CellDifference:
    """A cell that is not as the ledger left it.

    Attributes:
        expected: the value by the ledger, as a table holds it; None for an empty cell.
        stored: the value in the table; bytes where it is neither text nor a number.
    """

    column: str
    expected: object
    stored: object


@dataclass(frozen=True, slots=True)
class LibraryFinding:
    """One thing that is wrong.

    Attributes:
        kind: what is wrong.
        table: the kind of record; "" where it is about no record.
        key: the key of the record, the name of a file or of a part of the database, as text.
        last_good: the latest entry of the ledger that is sound and in which this was as it should be; 0 for none.
        cells: the cells that differ.
        title: of the book that the record is about, as far as that can be read.
        detail: what the database or the file system reports, in its own words.
    """

    kind: FindingKind
    table: str = ""
    key: str = ""
    last_good: int = 0
    cells: tuple[CellDifference, ...] = ()
    detail: str = ""
    title: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckReport:
    """What a check found, and how far it looked.

    Attributes:
        findings: in the order of the check.
        more: findings beyond those kept, by kind.
        entries: number of the latest entry.
        head: its digest.
        rows: records compared with the ledger.
        pictures: files compared with their SHA-256.
        printed_at: the entry that has the head printed earlier; None where none was given, or none has it.
        is_chain_sound: whether every entry of the ledger could be read and agrees with its digest.
        outlives_archive: whether the ledger has all that the latest archive of the library has, and more.
        after_archive: the latest entries that the latest archive does not have, oldest first, without their changes.
    """

    findings: tuple[LibraryFinding, ...]
    more: dict[FindingKind, int]
    entries: int
    head: str
    rows: int
    pictures: int
    printed_at: int | None = None
    is_chain_sound: bool = True
    outlives_archive: bool = False
    after_archive: tuple[LedgerEntry, ...] = ()

    @property
    def is_sound(self) -> bool:
        """Tell whether nothing was found but notes."""
        return all(finding.kind.is_note for finding in self.findings)
