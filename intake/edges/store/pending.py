"""Changes made ready for the database: one for each record, in an order that its references allow.

Pure: nothing is read or written here.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter

from intake.edges.store.chain import ChangeText, canonical
from intake.edges.store.derived import derived
from intake.edges.store.rows import key_of, table_name, title_of, to_plain
from intake.edges.store.tables import TABLES, metadata
from intake.errors import ChangedMeanwhileError, RefusedError
from intake.model.changes import Change, Record, RowChange
from intake.model.places import Place

Key = tuple[type[Record], int | str]
_ABSENT = object()

# Every table after those that it refers to.
KINDS_IN_ORDER: tuple[type[Record], ...] = tuple(
    kind for table in metadata.sorted_tables for kind, own in TABLES.items() if own is table
)


@dataclass(frozen=True, slots=True)
class Pending:
    """One record's change, with the plain values that the tables and the ledger will get.

    Attributes:
        row: the row of the table as it will be, worked out before the writing lock is taken; empty where there is none.
    """

    kind: type[Record]
    key: int | str
    before: Record | None
    after: Record | None
    entry: RowChange
    text: ChangeText
    row: Mapping[str, object]

    @property
    def is_altered(self) -> bool:
        """Return whether a stored record gets other values."""
        return self.before is not None and self.after is not None and self.before != self.after

    def altered_columns(self) -> tuple[str, ...]:
        """Return the columns that get another value; those that are worked out from the record go with all of it."""
        before, after = self.entry.before or {}, self.entry.after or {}
        return tuple(name for name in self.row if name not in after or before.get(name, _ABSENT) != after[name])


def changed_meanwhile(record: Record) -> ChangedMeanwhileError:
    """Return the error for a record that is not as the change supposes."""
    why = "was changed meanwhile by another station, so nothing was booked"
    return ChangedMeanwhileError(title_of(record), why, "look at it again and repeat the step")


def inside_itself(place: str) -> RefusedError:
    """Return the error for a place that would be inside itself."""
    return RefusedError(f"Place {place}", "would be inside itself", "name another place for it to be in")


def prepare(changes: Iterable[Change]) -> list[Pending]:
    """Make changes ready; several of one record become one.

    Returns:
        One for each record, also where it only supposes that the record is still so.

    Raises:
        RefusedError: two changes of one record contradict each other; a value that cannot be stored; a place that
            would be inside itself.
    """
    joined: dict[Key, Change] = {}
    for change in changes:
        key = _key(change)
        earlier = joined.get(key)
        joined[key] = change if earlier is None else _follow(earlier, change)
    return _in_order([_pending(key, change) for key, change in joined.items()])


def _key(change: Change) -> Key:
    record = change.after if change.after is not None else change.before
    if record is None:
        raise ValueError("a change of nothing into nothing")
    key = (type(record), key_of(record))
    if change.before is not None and (type(change.before), key_of(change.before)) != key:
        raise ValueError("a change of one record into another")
    return key


def _follow(earlier: Change, later: Change) -> Change:
    if earlier.after != later.before:
        raise changed_meanwhile(next(record for record in (earlier.after, later.before) if record is not None))
    return Change(earlier.before, later.after)


def _pending(key: Key, change: Change) -> Pending:
    kind, value = key
    try:
        before = None if change.before is None else to_plain(change.before)
        after = None if change.after is None else to_plain(change.after)
        text = ChangeText(
            table_name(kind),
            str(value),
            None if before is None else canonical(before),
            None if after is None else canonical(after),
        )
        "\0".join(filter(None, (text.before, text.after))).encode()
    except ValueError as error:
        name = title_of(next(record for record in (change.after, change.before) if record is not None))
        raise RefusedError(name, f"has a value that cannot be stored ({error})", "correct it") from error
    entry = RowChange(text.table, text.key, before, after)
    row = {} if change.after is None else {**(after or {}), **derived(change.after)}
    return Pending(kind, value, change.before, change.after, entry, text, row)


def _in_order(ready: list[Pending]) -> list[Pending]:
    rank = {kind: nth for nth, kind in enumerate(KINDS_IN_ORDER)}
    depth = _depths(ready)
    return sorted(
        ready, key=lambda change: (rank[change.kind], depth.get(change.key, 0) if change.kind is Place else 0)
    )


def _depths(ready: list[Pending]) -> dict[int | str, int]:
    """Number the places so that each comes after the one it is in."""
    places = [change.after or change.before for change in ready if change.kind is Place]
    parents = {place.number: [place.parent] if place.parent else [] for place in places if isinstance(place, Place)}
    try:
        return {number: nth for nth, number in enumerate(TopologicalSorter(parents).static_order())}
    except CycleError as error:
        raise inside_itself(error.args[1][0]) from error
