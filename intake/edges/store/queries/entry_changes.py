"""What the steps of the ledger changed; a step is one entry, or the entries of a plan that was applied in parts."""

from collections import defaultdict
from collections.abc import Sequence

from sqlalchemy import ColumnElement, func, or_, select

from intake.edges.store.chain import ChangeText
from intake.edges.store.queries.ledger_entries import row_change
from intake.edges.store.reader import LibraryReader
from intake.edges.store.tables import ledger_change
from intake.model.changes import RowChange

_CHANGE = ledger_change.c
Span = tuple[int, int]


def count_changes(reader: LibraryReader, steps: Sequence[Span]) -> dict[int, int]:
    """Count the changes of each of these steps, by the number of its last entry; one that changed nothing is left out.

    Args:
        reader: of the library.
        steps: the first and the last entry of each.
    """
    if not steps:
        return {}
    counted = select(_CHANGE.seq, func.count()).where(_in_any(steps)).group_by(_CHANGE.seq)
    last = _last_of(steps)
    counts: dict[int, int] = defaultdict(int)
    for seq, count in reader.connection.execute(counted):
        counts[last[seq]] += count
    return dict(counts)


def changes_of_steps(
    reader: LibraryReader, steps: Sequence[Span], begin: int, count: int
) -> dict[int, list[RowChange]]:
    """Return some changes of each of these steps, by the number of its last entry, in their order; one statement.

    Args:
        reader: of the library.
        steps: the first and the last entry of each.
        begin: how many changes of each are left out at the beginning.
        count: most changes of each.
    """
    if not steps:
        return {}
    last = _last_of(steps)
    # The first entry of a step has its first changes: no other is looked at for them.
    rows = (
        select(_CHANGE.seq, _CHANGE.record_table, _CHANGE.record_key, _CHANGE.before, _CHANGE.after)
        .where(or_(*(_some_of(step, begin, count) for step in steps)))
        .order_by(_CHANGE.seq, _CHANGE.nth)
    )
    changes: dict[int, list[RowChange]] = defaultdict(list)
    for row in reader.connection.execute(rows):
        of_step = changes[last[row.seq]]
        of_step.append(row_change(ChangeText(row.record_table, row.record_key, row.before, row.after)))
    return changes


def _some_of(step: Span, begin: int, count: int) -> ColumnElement[bool]:
    return (_CHANGE.seq == step[0]) & _CHANGE.nth.between(begin, begin + count - 1)


def _in_any(steps: Sequence[Span]) -> ColumnElement[bool]:
    return or_(*(_CHANGE.seq.between(*step) for step in steps))


def _last_of(steps: Sequence[Span]) -> dict[int, int]:
    return {seq: last for first, last in steps for seq in range(first, last + 1)}
