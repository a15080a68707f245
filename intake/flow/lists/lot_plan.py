"""What one lot of rows changes: what every planner of a list returns."""

import hashlib
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, fields
from datetime import date
from decimal import Decimal
from typing import Generic, Protocol, TypeVar

from intake.flow.lists.columns import RecordType, merged
from intake.flow.lists.reasons import BadRow
from intake.model.changes import Change, Record
from intake.model.valuations import Basis, Valuation

RowType_contra = TypeVar("RowType_contra", contravariant=True)


COLUMN_OF = {"printing_id": "printing", "statement": "edition", "set_id": "set"}
"""The columns of fields that are not called as their column is."""


@dataclass(frozen=True, slots=True)
class LeftCell:
    """A cell of a list that says otherwise than what was recorded since the list was last imported."""

    field: str
    recorded: object
    listed: object


@dataclass(frozen=True, slots=True)
class OutdatedValue:
    """A value that a list dates, and that does not count as a later one of its basis is recorded.

    Attributes:
        amount: in `currency`, what the list says.
        on: the day that the list gives.
        later: the value that counts.
    """

    amount: Decimal
    currency: str
    on: date
    later: Valuation


@dataclass(frozen=True, slots=True)
class CellNotes:
    """The cells of a row of which the person is told.

    Attributes:
        left: those that say what the list said before, while something else was recorded since: the record stays.
        overwritten: those that say something new, while something else was recorded since: the list is taken.
        emptied: the columns of those that are empty, while something is recorded: the record stays.
        outdated: their value, where it does not count.
    """

    left: tuple[LeftCell, ...] = ()
    overwritten: tuple[LeftCell, ...] = ()
    emptied: tuple[str, ...] = ()
    outdated: OutdatedValue | None = None


NO_NOTES = CellNotes()


@dataclass(frozen=True, slots=True)
class RowOutcome:
    """What a row of a list changes; nothing where everything it says is recorded already.

    Attributes:
        line: of the file, from 1.
        name: what the row is about, as the person calls it: a title, a number.
        changes: only those that say something new.
        notes: the cells of which the person is told.
        of_set: the title of the set that an edition is put into; empty where it stays as it is.
    """

    line: int
    name: str
    changes: tuple[Change, ...]
    notes: CellNotes = NO_NOTES
    of_set: str = ""


@dataclass(frozen=True, slots=True)
class UnlistedCopy:
    """A copy that an earlier import of a list made, and that the list no longer has; it stays as it is."""

    accession: str
    title: str
    box: str | None


@dataclass(frozen=True, slots=True)
class UnlistedEdition:
    """An edition that an earlier import of a list made, and that the list no longer has; it stays as it is.

    Attributes:
        name: its key or number; empty for none.
        title: its title.
        corrected: the line and the title of a new edition of the list that may be its correction; None for none.
    """

    name: str
    title: str
    corrected: tuple[int, str] | None = None


@dataclass(frozen=True, slots=True)
class MergedName:
    """A row that names an edition that was merged into another, which the row means now.

    Attributes:
        line: of the file.
        name: by which the row names it.
        into: what the edition that stays is called.
        is_left: whether the row says otherwise of that edition than is recorded, which is left out.
    """

    line: int
    name: str
    into: str
    is_left: bool = False


@dataclass(frozen=True, slots=True)
class ListDoubts:
    """What rows say that is taken as it stands, though less follows from it than the person may think.

    Attributes:
        without_set: the lines of volumes that belong to no set.
        materials: the lines of shelves by the material of their boards, where no table has it: their sag is not known.
    """

    without_set: Sequence[int] = ()
    materials: Mapping[str, Sequence[int]] = field(default_factory=dict)


NO_DOUBTS = ListDoubts()


@dataclass(frozen=True, slots=True)
class LeftRoom:
    """The room that a row names and that is left out, for a room is kept with a box, and a box has one.

    Attributes:
        line: of the file.
        room: that the row names.
        box: its box; empty where it names none.
        kept: the room that the box has.
        given: the line that named that room; None where it was recorded before.
    """

    line: int
    room: str
    box: str = ""
    kept: str = ""
    given: int | None = None


@dataclass(slots=True)
class LotPlan:
    """What a lot of rows changes, and the rows of it that cannot be used.

    Attributes:
        changes: of all rows, in their order.
        bad: the rows that cannot be used.
        rows: the outcome of each other row.
        unlisted: the copies of an earlier import that no row means, known after the last row.
        unlisted_editions: its editions that no row means.
        repeated: the lines of rows that say the same of an edition as an earlier one, with its line.
        undated: the bases of new values to which the list gives no day, so that they are dated today.
        alike: the lines of new editions that are like an earlier one in all but their keys, number and all, with its
            line.
        merged: the rows that name editions that were merged into others.
        withdrawn: the rows that mean copies that were withdrawn, with the numbers of these; they stay so.
        rooms: those of rows that are left out.
    """

    changes: list[Change] = field(default_factory=list)
    bad: list[BadRow] = field(default_factory=list)
    rows: list[RowOutcome] = field(default_factory=list)
    unlisted: tuple[UnlistedCopy, ...] = ()
    unlisted_editions: tuple[UnlistedEdition, ...] = ()
    repeated: list[tuple[int, int]] = field(default_factory=list)
    undated: list[Basis] = field(default_factory=list)
    alike: list[tuple[int, int]] = field(default_factory=list)
    merged: list[MergedName] = field(default_factory=list)
    withdrawn: list[tuple[int, str]] = field(default_factory=list)
    rooms: list[LeftRoom] = field(default_factory=list)

    def book(
        self,
        line: int,
        name: str,
        changes: Collection[Change],
        besides: Collection[Change] = (),
        notes: CellNotes = NO_NOTES,
    ) -> None:
        """Plan what a row changes; what it changes `besides` is planned already."""
        self.changes += changes
        told = tuple(change for change in (*besides, *changes) if change.before != change.after)
        self.rows.append(RowOutcome(line, name, told, notes))

    def take(
        self, line: int, name: str, before: RecordType | None, row: RecordType, keep: Collection[str] = ()
    ) -> RecordType:
        """Plan a row: a new record, or the new values of a stored one, except the fields in `keep`; return it."""
        after = row if before is None else merged(before, row, keep)
        empty = _emptied(before, row, keep) if before is not None else ()
        self.book(line, name, () if after == before else (Change(before, after),), notes=CellNotes(emptied=empty))
        return after


def _emptied(before: Record, row: Record, keep: Collection[str]) -> tuple[str, ...]:
    """Return the columns of which a row says nothing, though something is recorded."""
    names = (field.name for field in fields(before) if field.name not in keep)
    return tuple(
        COLUMN_OF.get(name, name)
        for name in names
        if getattr(row, name) in (None, "", ()) and getattr(before, name) not in (None, "", ())
    )


class ListPlanner(Protocol, Generic[RowType_contra]):
    """Plans one list, lot by lot; it remembers what earlier lots have planned, and writes nothing."""

    def plan(self, rows: Iterable[tuple[int, RowType_contra]]) -> LotPlan:
        """Plan the next rows of the list."""

    def finish(self) -> LotPlan:
        """Plan what depends on the whole list, after its last row."""


class SeenLines:
    """The lines on which things of a list were named first, in little memory: a million of them take about 150 MB.

    A thing is kept as 16 bytes of its BLAKE2b digest (RFC 7693); two of a million are taken for one with a chance of
    about 1 to 10 to the power of 27.
    """

    def __init__(self) -> None:
        self._lines: dict[bytes, int] = {}

    def earlier(self, thing: Iterable[str], line: int) -> int | None:
        """Return the line that named a thing before this one; None where this is the first."""
        first = self._lines.setdefault(digest("\0".join(thing)), line)
        return None if first == line else first


def digest(text: str) -> bytes:
    """Return what stands for a text in little memory."""
    return hashlib.blake2b(text.encode(errors="surrogatepass"), digest_size=16).digest()
