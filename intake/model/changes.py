"""Plans: what would change in the library, before anything does.

A step or a flow returns changes; the store applies them in one transaction with one ledger entry. A dry run is a plan
that is not applied, and an undo is the plan reversed. A plan uses up no numbers: what it makes has provisional keys,
and the store replaces them when it applies the plan.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from itertools import count
from typing import TypeVar, cast

from intake.model.boxes import Box, BoxPicture, Consignment, Discrepancy
from intake.model.condition import ConditionReport, CopyPicture
from intake.model.earlier import EarlierListing, EarlierMerge
from intake.model.editions import BookSet, Copy, Edition, Printing
from intake.model.identifiers import OwnKind
from intake.model.places import Place
from intake.model.serials import Serial
from intake.model.shelving import Ordering, Printed
from intake.model.sightings import Picture, Query, Sighting
from intake.model.valuations import Rate, SetValue, Valuation
from intake.model.withdrawals import Withdrawal

Record = (
    BookSet
    | Edition
    | Printing
    | Copy
    | Consignment
    | Box
    | Place
    | Picture
    | Sighting
    | Query
    | Valuation
    | BoxPicture
    | Discrepancy
    | Ordering
    | Printed
    | ConditionReport
    | CopyPicture
    | SetValue
    | Rate
    | Withdrawal
    | Serial
    | EarlierMerge
    | EarlierListing
)
"""Everything the store keeps; a field of a record is a column of its table."""


KeyType = TypeVar("KeyType", int, str)


@dataclass(frozen=True, slots=True)
class Change:
    """One record made (`before` is None), altered, or taken away (`after` is None).

    Where both are equal, nothing is written, but the plan is refused if the record is not so any more: see `supposing`.
    """

    before: Record | None
    after: Record | None

    def reversed(self) -> "Change":
        """Return the change that takes this one back."""
        return Change(self.after, self.before)


def made(*records: Record) -> tuple[Change, ...]:
    """Return the changes that make these records."""
    return tuple(Change(None, record) for record in records)


def supposing(*records: Record) -> tuple[Change, ...]:
    """Return what makes a plan depend on records that it does not alter: it is refused once one of them has changed."""
    return tuple(Change(record, record) for record in records)


PROVISIONAL = "new "
"""How a provisional own number begins; no number that a person may give has a space after its letters."""


class Provisional:
    """Provisional keys for the records that one plan makes.

    A record with such a key, and every record of the same plan that refers to it, gets its real key when the plan is
    applied. Keys that are numbers are negative until then.
    """

    def __init__(self) -> None:
        self._count = count(1)

    def id(self) -> int:
        """Return a key for a record whose keys are numbers."""
        return -next(self._count)

    def number(self, kind: OwnKind) -> str:
        """Return a key for a copy, a box or a place."""
        return f"{PROVISIONAL}{kind.value} {next(self._count)}"


def is_provisional(key: int | str) -> bool:
    """Tell whether a key stands for one that is given when the plan is applied.

    >>> is_provisional(Provisional().id()), is_provisional(7), is_provisional("A12-57")
    (True, False, False)
    """
    return key < 0 if isinstance(key, int) else key.startswith(PROVISIONAL)


class ActionKind(StrEnum):
    """What a person or a station did; the value is the name that the ledger keeps and that its digests cover.

    A value is never altered: the kind of an entry, however old, is found by it. What a person is shown is made in
    `intake.flow.lookup.wording`. The entry of a query names how it was decided; the entries of older libraries name
    only that it was (DECIDE_QUERY).
    """

    UNKNOWN = "unknown"

    IMPORT_EDITIONS = "import editions"
    IMPORT_PRINTINGS = "import printings"
    IMPORT_PLACES = "import places"
    IMPORT_COPIES = "import copies"
    IMPORT_BOXES = "import boxes"
    IMPORT_CONSIGNMENT = "import consignment"
    IMPORT_RATES = "import rates"
    IMPORT_EVERYTHING = "import everything"
    IMPORT_UNLISTED_COPIES = "import copies on no list"
    EDIT_EDITION = "edit edition"
    TAKE_FROM_SERVER = "take from server"
    MERGE_EDITIONS = "merge editions"
    SET_EXTENT = "set extent of serial"
    WITHDRAW_EDITION = "withdraw edition"
    EDIT_COPY = "edit copy"
    ADD_COPIES = "add copies"
    MOVE_COPIES = "move copies"
    WITHDRAW_COPIES = "withdraw copies"

    OPEN_BOX = "open box"
    PACK_COPY = "pack copy"
    CLOSE_BOX = "close box"
    WEIGH_BOX = "weigh box"
    MEASURE_BOX = "measure box"
    BOOK_PACKING_PLAN = "book packing plan"
    CONSIGN_BOXES = "consign boxes"
    CHECK_IN_BOX = "check in box"
    FINISH_BOX = "finish box"
    RECORD_DAMAGE = "record damage"

    UNPACK_COPY = "unpack copy"
    SEE_COPY_AGAIN = "see copy again"
    RECORD_NEW_COPY = "record new copy"
    QUEUE_QUERY = "put on query pile"
    DECIDE_QUERY = "decide query"
    DECIDE_AS_LISTED_COPY = "decide query as listed copy"
    DECIDE_AS_COPY_SEEN_AGAIN = "decide query as copy seen again"
    DECIDE_AS_NEW_COPY = "decide query as new copy"
    DECIDE_AS_NEW_EDITION = "decide query as copy of new edition"
    SET_QUERY_ASIDE = "set query aside"

    MAKE_BOOKCASE = "make bookcase"
    SET_ORDER_OF_SHELVES = "set order of shelves"
    SHELVE_COPY = "shelve copy"
    ARRANGE_SHELVES = "arrange shelves"
    CHECK_SHELF = "check shelf"

    INSPECT_COPY = "inspect copy"
    PHOTOGRAPH_COPY = "photograph copy"
    REPORT_CONDITION = "report condition"

    VALUE_COPY = "value copy"
    VALUE_SET = "value set"
    ENTER_RATE = "enter rate"

    PRINT_SHELF_LABELS = "print shelf labels"
    PRINT_BOX_LABELS = "print box labels"
    PRINT_FLAG_LABELS = "print flag labels"
    PRINT_SPINE_LABELS = "print spine labels"

    UNDO = "undo"


@dataclass(frozen=True, slots=True)
class Action:
    """What a person or station did, as the ledger keeps it.

    Attributes:
        kind: what was done; UNKNOWN for an entry that a newer program has made, or that was damaged.
        subject: the number of the thing it was done to.
        station: who or what did it ("cli", "phone-2").
        request: an id made by the station; the same id twice changes nothing the second time.
        note: what the person said about it.
        undoes: the ledger entry that this one takes back.
        unknown_name: the name in the ledger where `kind` is UNKNOWN.
    """

    kind: ActionKind
    subject: str
    station: str = "cli"
    request: str | None = None
    note: str = ""
    undoes: int | None = None
    unknown_name: str = ""

    @property
    def name(self) -> str:
        """Return the name that the ledger keeps and that the digest of the entry covers."""
        return self.unknown_name if self.kind is ActionKind.UNKNOWN else self.kind.value


@dataclass(frozen=True, slots=True)
class RowChange:
    """A change as the ledger keeps it: the table, the key, and the plain values before and after."""

    table: str
    key: str
    before: Mapping[str, object] | None
    after: Mapping[str, object] | None


@dataclass(frozen=True, slots=True)
class LedgerEntry:
    """One row of the ledger.

    Attributes:
        seq: 1, 2, 3 … without gaps.
        at: when, in UTC.
        digest: SHA-256 over this entry and `previous`, 64 hexadecimal digits.
    """

    seq: int
    at: datetime
    action: Action
    previous: str
    digest: str
    changes: tuple[RowChange, ...] = ()


@dataclass(frozen=True, slots=True)
class Applied:
    """What became of a plan that was applied.

    Attributes:
        entry: its entry of the ledger.
        keys: the key that each provisional key was replaced by.
        repeated: True where the same request had been applied before, and nothing was changed.
    """

    entry: LedgerEntry
    keys: Mapping[int | str, int | str]
    repeated: bool = False

    def key(self, key: KeyType) -> KeyType:
        """Return the real key for one that may be provisional; both are of one type."""
        return cast("KeyType", self.keys.get(key, key))
