"""What was recorded since a list was imported stays, where the list only says again what it said before.

Without this, an old list would take back whatever was corrected, measured or weighed in the library meanwhile. What a
list said before is in the ledger: what its earlier imports changed, field by field. (Copies are compared in
`copy_planner`, where the earlier list also tells which copy a row means.)
"""

from collections.abc import Mapping, Sequence
from dataclasses import fields, replace
from typing import Any

from intake.edges.store.queries.lists import changes_of_list_of
from intake.edges.store.reader import LibraryReader
from intake.edges.store.rows import key_of, to_plain
from intake.flow.lists.lot_plan import NO_NOTES, CellNotes, LeftCell, LotPlan, RowOutcome
from intake.model.changes import ActionKind, Change, Record
from intake.model.editions import Copy
from intake.model.valuations import Valuation

RecordKey = tuple[type[Record], int | str]
Said = Mapping[str, object]


class RecordedSince:
    """Takes out of the plan of a list what only repeats an earlier import of the same list.

    Args:
        reader: of the library.
        action: the kind of the import.
        file: the name of the list's file.
    """

    def __init__(self, reader: LibraryReader, action: ActionKind, file: str) -> None:
        self._reader = reader
        self._action = action
        self._file = file
        self._planned: dict[RecordKey, tuple[Record, Record]] = {}

    def leave(self, lot: LotPlan) -> LotPlan:
        """Return the plan of a lot without what stays as it was recorded since."""
        altered = [change for change in lot.changes if _alters(change)]
        if not altered:
            return lot
        said = self._said(altered)
        by_change: dict[int, tuple[Change | None, CellNotes]] = {
            id(change): self._left(change, said) for change in altered
        }
        kept = [by_change[id(change)][0] if id(change) in by_change else change for change in lot.changes]
        return replace(
            lot,
            changes=[change for change in kept if change is not None],
            rows=[_outcome(row, by_change) for row in lot.rows],
        )

    def _said(self, altered: Sequence[Change]) -> Mapping[RecordKey, Said]:
        """Return what the list said before of the records that are altered, by field."""
        keys: dict[type[Record], list[int | str]] = {}
        for change in altered:
            if change.before is not None:
                keys.setdefault(type(change.before), []).append(key_of(change.before))
        said: dict[RecordKey, dict[str, object]] = {}
        for kind, of_kind in keys.items():
            real = {str(key): key for key in of_kind}
            for entry in changes_of_list_of(self._reader, self._action, self._file, kind, of_kind):
                old, after = entry.before or {}, entry.after or {}
                new = {field: value for field, value in after.items() if not old or old.get(field) != value}
                said.setdefault((kind, real[entry.key]), {}).update(new)
        return said

    def _left(self, change: Change, said: Mapping[RecordKey, Said]) -> tuple[Change | None, CellNotes]:
        before, after = change.before, change.after
        if before is None or after is None:
            return change, NO_NOTES
        key = (type(before), key_of(before))
        planned, kept = self._planned.get(key, (before, before))
        start = kept if planned == before else before
        plain, known = to_plain(after), said.get(key, {})
        values: dict[str, Any] = {}
        left: list[LeftCell] = []
        overwritten: list[LeftCell] = []
        for field in (one.name for one in fields(after)):
            listed = getattr(after, field)
            if listed == getattr(before, field):
                continue
            cell = LeftCell(field, getattr(start, field), listed)
            if field in known and known[field] == plain[field]:
                left.append(cell)
                continue
            values[field] = listed
            if field in known and cell.recorded not in (None, "", ()) and known[field] != to_plain(start)[field]:
                overwritten.append(cell)
        result = replace(start, **values)
        if result != after:
            self._planned[key] = (after, result)
        return None if result == start else Change(start, result), CellNotes(tuple(left), tuple(overwritten))


def _alters(change: Change) -> bool:
    return (
        change.before is not None
        and change.after is not None
        and change.before != change.after
        and not isinstance(change.before, Copy | Valuation)
    )


def _outcome(row: RowOutcome, by_change: Mapping[int, tuple[Change | None, CellNotes]]) -> RowOutcome:
    kept = [by_change.get(id(change), (change, NO_NOTES)) for change in row.changes]
    return replace(
        row,
        changes=tuple(change for change, _ in kept if change is not None),
        notes=replace(
            row.notes,
            left=(*row.notes.left, *(cell for _, notes in kept for cell in notes.left)),
            overwritten=(*row.notes.overwritten, *(cell for _, notes in kept for cell in notes.overwritten)),
        ),
    )
