"""What box lists change: new copies, their boxes and values, and what a corrected list says anew of recorded copies.

A row means the copy whose own number it has; else the next copy of its edition in its box, or in no box; else one that
an earlier import of the same list made, and that lies elsewhere since: moved meanwhile where the list names the box
that it named before, moved by the list where it names another. What the list said before and still says changes
nothing, whatever was recorded since.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from intake.edges.store.queries.lists import valuations_of_copies
from intake.edges.store.reader import LibraryReader
from intake.flow.lists.copies import CopyRow
from intake.flow.lists.copy_lookups import RowLookups, look_up
from intake.flow.lists.copy_matches import CopyMatches
from intake.flow.lists.earlier_import import EarlierImport
from intake.flow.lists.listed_values import value_changes
from intake.flow.lists.lot_plan import LeftCell, LotPlan, UnlistedCopy
from intake.flow.lists.reasons import CellError, RowReason, bad_row
from intake.model.boxes import Box, BoxState
from intake.model.changes import Change, Provisional, made, supposing
from intake.model.editions import Copy, CopyState, Edition
from intake.model.identifiers import OwnKind
from intake.model.valuations import Valuation


@dataclass(frozen=True, slots=True)
class _Understood:
    """A row whose names are understood, and what makes its box where it is new."""

    line: int
    row: CopyRow
    edition: Edition
    printing_id: int | None
    box: Box | None
    changes: tuple[Change, ...]


class CopyPlanner:
    """Plans the copies, boxes and values that box lists make or alter.

    Args:
        reader: of the library as it is.
        today: the day of values that name none.
        file: the name of the list's file, by which its earlier imports are known.
    """

    def __init__(self, reader: LibraryReader, today: date, file: str) -> None:
        self._reader = reader
        self._today = today
        self._new = Provisional()
        self._boxes: dict[str, Box] = {}
        self._matches = CopyMatches(reader)
        self._earlier = EarlierImport(reader, file)
        self._deferred: list[_Understood] = []

    def plan(self, rows: Iterable[tuple[int, CopyRow]]) -> LotPlan:
        """Plan the next rows; one that may mean a copy of an earlier import waits for the last row."""
        lot = LotPlan()
        listed = list(rows)
        lookups = look_up(self._reader, [row for _, row in listed])
        self._matches.load(lookups.boxes, lookups.unboxed(row for _, row in listed))
        matched: list[tuple[_Understood, Copy | None]] = []
        for line, row in listed:
            try:
                understood = self._understand(line, row, lookups)
                copy = self._match(understood, lookups)
            except CellError as error:
                lot.bad.append(bad_row(line, error))
                continue
            lot.changes += understood.changes  # a box is made before any copy in it, though its first row may wait
            if copy is None and self._earlier.names(understood.edition.id):
                self._deferred.append(understood)
            else:
                matched.append((understood, copy))
        self._plan_matched(matched, lot)
        return lot

    def finish(self) -> LotPlan:
        """Plan the rows that wait, and name the copies of an earlier import that no row means."""
        lot = LotPlan()
        known = len(self._earlier.copies)
        remaining = self._earlier.remaining(self._matches.claimed)
        # A list of the same name that has few of the copies is taken for another list, not for one of moved copies.
        is_corrected = 2 * (known - len(remaining)) >= known
        by_edition: dict[int, list[Copy]] = {}
        for copy in remaining.values():
            by_edition.setdefault(copy.edition_id, []).append(copy)
        matched: list[tuple[_Understood, Copy | None]] = []
        for row in self._deferred:
            moved = self._moved(row, by_edition.get(row.edition.id, []), is_corrected=is_corrected)
            if moved is not None:
                del remaining[moved.accession]
                by_edition[row.edition.id].remove(moved)
            matched.append((row, moved))
        self._plan_matched(matched, lot)
        editions = self._reader.get_many(Edition, {copy.edition_id for copy in remaining.values()})
        lot.unlisted = tuple(
            UnlistedCopy(copy.accession, editions[copy.edition_id].title, copy.box) for copy in remaining.values()
        )
        return lot

    def _moved(self, understood: _Understood, copies: Sequence[Copy], *, is_corrected: bool) -> Copy | None:
        """Return the copy of an earlier import that a row means though it lies elsewhere."""
        box = understood.box.number if understood.box is not None else None
        named = [copy for copy in copies if (said := self._earlier.of(copy.accession)) and said.said("box", box)]
        if not named and is_corrected:
            named = [copy for copy in copies if box is not None]
        return named[0] if named else None

    def _understand(self, line: int, row: CopyRow, lookups: RowLookups) -> _Understood:
        if row.amount is not None and row.amount.on is not None and row.amount.on > self._today:
            raise CellError(RowReason.FUTURE_VALUE, day=row.amount.on.isoformat())
        edition = lookups.edition(row)
        printing_id = lookups.printing_id(row.printing, edition)
        box, changes = self._box(row, lookups)
        return _Understood(line, row, edition, printing_id, box, changes)

    def _box(self, row: CopyRow, lookups: RowLookups) -> tuple[Box | None, tuple[Change, ...]]:
        """Return the row's box; the plan makes it where it is new, and supposes that it stays as it is otherwise."""
        if not row.box:
            return None, ()
        number = lookups.box_numbers[row.box]
        if isinstance(number, CellError):
            raise number
        if number in self._boxes:
            return self._boxes[number], ()
        stored = lookups.boxes.get(number)
        box = self._boxes[number] = stored or Box(number=number, room=row.room)
        return box, made(box) if stored is None else supposing(box)

    def _match(self, understood: _Understood, lookups: RowLookups) -> Copy | None:
        row, box = understood.row, understood.box
        if row.copy:
            self._matches.claim(row.copy, understood.line)
            return lookups.copies[row.copy]
        return self._matches.next(understood.edition.id, box.number if box is not None else None, understood.line)

    def _plan_matched(self, matched: Sequence[tuple[_Understood, Copy | None]], lot: LotPlan) -> None:
        valued = [copy.accession for row, copy in matched if copy is not None and row.row.amount is not None]
        recorded: dict[str, list[Valuation]] = {}
        for valuation in valuations_of_copies(self._reader, valued):
            recorded.setdefault(valuation.copy, []).append(valuation)
        boxes = self._reader.get_many(Box, {copy.box for _, copy in matched if copy is not None and copy.box})
        for understood, copy in matched:
            try:
                left: tuple[LeftCell, ...] = ()
                if copy is None:
                    changes = self._made(understood)
                else:
                    changes, left = self._altered(understood, copy, boxes, recorded.get(copy.accession, ()))
            except CellError as error:
                lot.bad.append(bad_row(understood.line, error))
                continue
            lot.book(understood.line, understood.edition.title, changes, understood.changes, left)

    def _made(self, understood: _Understood) -> tuple[Change, ...]:
        row, box = understood.row, understood.box
        if box is not None and box.state is not BoxState.OPEN:
            raise CellError(RowReason.BOX_NOT_OPEN, box=box.number, state=box.state.value)
        copy = Copy(
            accession=self._new.number(OwnKind.COPY),
            edition_id=understood.edition.id,
            printing_id=understood.printing_id,
            state=CopyState.PACKED if box else CopyState.AT_HAND,
            box=box.number if box else None,
            grade=row.grade,
            jacket=row.jacket,
            has_jacket=row.has_jacket,
            wrapped=bool(row.wrapped),
            condition=row.condition,
            note=row.note,
        )
        return (*made(copy), *self._value(row, copy, ()))

    def _altered(
        self, understood: _Understood, copy: Copy, boxes: Mapping[int | str, Box], recorded: Sequence[Valuation]
    ) -> tuple[tuple[Change, ...], tuple[LeftCell, ...]]:
        """Return what a row says anew of a recorded copy, and what it says as before though it was recorded anew."""
        row, box = understood.row, understood.box
        said = self._earlier.of(copy.accession)
        cells: dict[str, Any] = {
            "printing_id": understood.printing_id,
            "grade": row.grade,
            "jacket": row.jacket,
            "has_jacket": row.has_jacket,
            "wrapped": row.wrapped,
            "condition": row.condition,
            "note": row.note,
        }
        listed = {field: value for field, value in cells.items() if value not in (None, "")}
        if box is not None:
            listed["box"] = box.number
        old = {field for field, value in listed.items() if said is not None and said.said(field, value)}
        left = tuple(
            LeftCell(field, getattr(copy, field), value)
            for field, value in listed.items()
            if field in old and getattr(copy, field) != value
        )
        new = {field: value for field, value in listed.items() if field not in old | {"box"}}
        if new.get("has_jacket") is False:
            new["jacket"] = None
        after = replace(copy, **new)
        if box is not None and "box" not in old and box.number != copy.box:
            after = _moved_to(after, box, boxes.get(copy.box or ""))
        altered = () if after == copy else (Change(copy, after),)
        return (*altered, *self._value(row, copy, recorded)), left

    def _value(self, row: CopyRow, copy: Copy, recorded: Sequence[Valuation]) -> tuple[Change, ...]:
        if row.amount is None:
            return ()
        said = self._earlier.of(copy.accession)
        before = said.value_id if said is not None else None
        return value_changes(
            row.amount, copy.accession, recorded, listed_before=before, new=self._new, today=self._today
        )


def _moved_to(copy: Copy, box: Box, now_in: Box | None) -> Copy:
    """Return a copy as it is in the open box that a list names for it.

    Raises:
        CellError: the box is not open; or the copy has left for the move, so that its box is a record of how it went.
    """
    if box.state is not BoxState.OPEN:
        raise CellError(RowReason.BOX_NOT_OPEN, box=box.number, state=box.state.value)
    is_in_open = copy.state is CopyState.PACKED and now_in is not None and now_in.state is BoxState.OPEN
    if copy.state is not CopyState.AT_HAND and not is_in_open:
        raise CellError(RowReason.COPY_NOT_MOVABLE, copy=copy.accession, state=copy.state.value)
    return replace(copy, box=box.number, state=CopyState.PACKED)
