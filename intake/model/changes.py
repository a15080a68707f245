"""Plans: what would change in the library, before anything does.

A step or a flow returns changes; the store applies them in one transaction with one ledger entry. A dry run is a plan
that nobody applies, and an undo is the plan turned round.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from intake.model.boxes import Box, BoxPicture, Consignment, Discrepancy
from intake.model.condition import ConditionReport, CopyPicture
from intake.model.editions import BookSet, Copy, Edition, Printing
from intake.model.places import Place
from intake.model.shelving import Ordering, Printed
from intake.model.sightings import Picture, Query, Sighting
from intake.model.valuations import Rate, SetValue, Valuation

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
)
"""Everything the store keeps; a field of a record is a column of its table."""


@dataclass(frozen=True, slots=True)
class Change:
    """One record made (`before` is None), altered, or taken away (`after` is None)."""

    before: Record | None
    after: Record | None

    def reversed(self) -> "Change":
        """Return the change that takes this one back."""
        return Change(self.after, self.before)


def made(*records: Record) -> tuple[Change, ...]:
    """Return the changes that make these records."""
    return tuple(Change(None, record) for record in records)


@dataclass(frozen=True, slots=True)
class Action:
    """What a person or station did, as the ledger will tell it.

    Attributes:
        name: the verb and its object ("unpack copy", "close box", "undo").
        subject: the number of the thing it was done to.
        station: who or what did it ("cli", "phone-2").
        request: an id made by the station; the same id twice changes nothing the second time.
        note: what the person said about it.
        undoes: the ledger entry that this one takes back.
    """

    name: str
    subject: str
    station: str = "cli"
    request: str | None = None
    note: str = ""
    undoes: int | None = None


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
