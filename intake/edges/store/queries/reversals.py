"""Which entries of the ledger may be taken back, and what that would change."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from sqlalchemy import ColumnElement, String, cast, exists, func, or_, select

from intake.edges.store.fetching import in_lots
from intake.edges.store.queries.ledger_entries import ledger_entry
from intake.edges.store.reader import LibraryReader
from intake.edges.store.rows import KINDS, from_plain, table_name, table_words
from intake.edges.store.tables import REFERENCES, TABLES, ledger, ledger_change, metadata
from intake.errors import RefusedError
from intake.model.boxes import Box, BoxPicture, Discrepancy
from intake.model.changes import ActionKind, Change, LedgerEntry, RowChange
from intake.model.editions import Copy
from intake.model.sightings import Query, Sighting


def was_taken_back() -> ColumnElement[bool]:
    """Return the condition that an entry of the ledger was taken back, even if that was taken back again."""
    undoing = ledger.alias("undoing")
    return exists().where(undoing.c.undoes == ledger.c.seq)


@dataclass(frozen=True)
class Undone:
    """Which entry took back which.

    Attributes:
        last: number of the latest entry; 0 while there is none.
        undoes: by the number of an entry that took one back, the number of that one.
    """

    last: int
    undoes: Mapping[int, int]

    @cached_property
    def undone_by(self) -> dict[int, int]:
        """Return the latest entry that took each one back."""
        return {undone: seq for seq, undone in sorted(self.undoes.items())}

    def later(self, seq: int) -> list[int]:
        """Return the entry that took this one back, the one that took that back, and so on."""
        chain: list[int] = []
        while (seq := self.undone_by.get(seq, 0)) and seq not in chain:
            chain.append(seq)
        return chain

    def stands(self, seq: int) -> bool:
        """Return whether the effect of an entry stands: it was not taken back, or that was taken back."""
        return len(self.later(seq)) % 2 == 0

    def depth(self, seq: int) -> int:
        """Count how many takings-back lie under an entry: 0 for a step, 1 for its undo, 2 for the undo of that."""
        depth = 0
        while (below := self.undoes.get(seq, seq)) < seq:
            seq, depth = below, depth + 1
        return depth

    def is_step(self, seq: int) -> bool:
        """Return whether an entry was not taken back, and is not itself an undo (a redo is not one)."""
        return seq not in self.undone_by and self.depth(seq) % 2 == 0


def undone(reader: LibraryReader) -> Undone:
    """Return which entry took back which."""
    edges = select(ledger.c.seq, ledger.c.undoes).where(ledger.c.undoes.is_not(None))
    last = reader.connection.scalar(select(func.max(ledger.c.seq))) or 0
    return Undone(last, dict(tuple(row) for row in reader.connection.execute(edges)))


def last_standing(reader: LibraryReader) -> LedgerEntry | None:
    """Return the newest entry whose effect stands: not taken back, and not itself an undo (a redo is not one)."""
    reversals = undone(reader)
    seq = next((seq for seq in range(reversals.last, 0, -1) if reversals.is_step(seq)), None)
    return None if seq is None else ledger_entry(reader, seq)


FILLING = (ActionKind.PACK_COPY, ActionKind.IMPORT_COPIES, ActionKind.ADD_COPIES)
"""Steps of a box that touch its copies alone; all others touch its own record or make one that bears its number."""


def last_step_of_box(reader: LibraryReader, number: str) -> LedgerEntry | None:
    """Return the newest entry about a box whose effect stands: of itself, or of what was put into it or taken out."""
    change = ledger_change.c
    filled = select(ledger.c.seq).where(ledger.c.name.in_([kind.value for kind in FILLING]))
    bearing = [
        (change.record_table == table_name(kind))
        & change.record_key.in_(select(cast(key, String)).where(column == number))
        for kind in (Sighting, Query, Discrepancy, BoxPicture)
        for key, column in ((TABLES[kind].c.id, TABLES[kind].c.box),)
    ]
    in_it = select(TABLES[Copy].c.accession).where(TABLES[Copy].c.box == number)
    put_in = (change.record_table == table_name(Copy)) & change.record_key.in_(in_it) & change.seq.in_(filled)
    itself = (change.record_table == table_name(Box)) & (change.record_key == number)
    numbers = select(change.seq).where(or_(itself, put_in, *bearing)).distinct().order_by(change.seq.desc())
    reversals = undone(reader)
    seq = next((seq for seq in reader.connection.scalars(numbers) if reversals.is_step(seq)), None)
    return None if seq is None else ledger_entry(reader, seq)


def last_step_of_kind(reader: LibraryReader, number: str, kind: ActionKind) -> int | None:
    """Return the number of the entry to take back so that the last step of a kind of a box stands no more; or None."""
    steps = (ledger.c.name == kind.value) & (ledger.c.subject == number)
    reversals = undone(reader)
    seqs = reader.connection.scalars(select(ledger.c.seq).where(steps).order_by(ledger.c.seq.desc()))
    standing = (seq for seq in seqs if reversals.stands(seq))
    return next((seq if seq not in reversals.undone_by else reversals.later(seq)[-1] for seq in standing), None)


def reversing_changes(reader: LibraryReader, seq: int) -> tuple[Change, ...]:
    """Return the changes that take an entry back; applying them, with `Action(undoes=seq)`, is the caller's part.

    Taking back an entry that itself took one back does the first again.

    Raises:
        RefusedError: the entry does not exist, it changed nothing, it was taken back already, something that it touched
            was altered since, or something that was recorded since refers to what it made.
    """
    entry = ledger_entry(reader, seq)
    if entry is None:
        raise RefusedError(f"Entry {seq}", "is not in the ledger", "list the latest entries and name one of them")
    reversals = undone(reader)
    if later := reversals.later(seq):
        what = "was taken back already" if len(later) % 2 else "was taken back and done again"
        raise RefusedError(f"Entry {seq}", f"{what} by entry {later[-1]}", f"take back entry {later[-1]} instead")
    if not entry.changes:
        raise RefusedError(f"Entry {seq}", "changed no record", "name an entry that did")
    _refuse_if_altered_since(reader, entry, reversals)
    _refuse_if_referred_to(reader, entry)
    return tuple(_change_of(change).reversed() for change in reversed(entry.changes))


def _refuse_if_altered_since(reader: LibraryReader, entry: LedgerEntry, reversals: Undone) -> None:
    """Refuse if a later entry touched the same record, and was not taken back itself.

    A later entry and the one that took it back leave everything as it was, so that steps can be taken back one after
    the other, the latest first.
    """
    if entry.seq in (since := altered_since(reader, [entry.seq], reversals)):
        seq, table, key = since[entry.seq]
        why = f"cannot be taken back: {table_words(table)} {key} was altered since by entry {seq}"
        raise RefusedError(f"Entry {entry.seq}", why, f"take back entry {seq} first")


def _refuse_if_referred_to(reader: LibraryReader, entry: LedgerEntry) -> None:
    """Refuse to take away what an entry made while a record of a later entry refers to it."""
    made: dict[str, list[str]] = {}
    for change in entry.changes:
        if change.before is None:
            made.setdefault(change.table, []).append(change.key)
    latest = (0, "", "")
    for name, to in REFERENCES.items():
        (table, field), (of, key) = name.split("."), to.split(".")
        columns = metadata.tables[table].c
        own = next(iter(metadata.tables[table].primary_key))
        wanted = metadata.tables[of].c[key]
        later = (
            select(ledger_change.c.seq, ledger_change.c.record_key)
            .where(ledger_change.c.record_table == table, ledger_change.c.seq > entry.seq)
            .order_by(ledger_change.c.seq.desc())
            .limit(1)
        )
        for lot in in_lots(made.get(of, ())):
            values = [int(one) for one in lot] if wanted.type.python_type is int else lot
            referring = select(cast(own, String)).where(columns[field].in_(values))
            if row := reader.connection.execute(later.where(ledger_change.c.record_key.in_(referring))).first():
                latest = max(latest, (row[0], table, row[1]))
    if latest[0]:
        seq, table, key = latest
        why = f"cannot be taken back: {table_words(table)} {key} of entry {seq} needs what it made"
        raise RefusedError(f"Entry {entry.seq}", why, f"take back entry {seq} first, then what else was built on it")


def altered_since(reader: LibraryReader, seqs: Iterable[int], reversals: Undone) -> dict[int, tuple[int, str, str]]:
    """Return, of entries on which a later one was built, the latest of those that stands, and the record it altered."""
    own, other = ledger_change.alias("own"), ledger_change.alias("other")
    same = (other.c.record_table == own.c.record_table) & (other.c.record_key == own.c.record_key)
    statement = (
        select(own.c.seq, other.c.seq, other.c.record_table, other.c.record_key)
        .select_from(own.join(other, same))
        .where(other.c.seq > own.c.seq)
        .order_by(other.c.seq.desc())
    )
    found: dict[int, tuple[int, str, str]] = {}
    for lot in in_lots(seqs):
        for seq, later, table, key in reader.connection.execute(statement.where(own.c.seq.in_(lot))):
            took_back_a_later_one = reversals.undoes.get(later, 0) > seq
            if not took_back_a_later_one and reversals.stands(later):
                found.setdefault(seq, (later, table, key))
    return found


def _change_of(change: RowChange) -> Change:
    kind = KINDS[change.table]
    before = None if change.before is None else from_plain(kind, change.before)
    after = None if change.after is None else from_plain(kind, change.after)
    return Change(before, after)
