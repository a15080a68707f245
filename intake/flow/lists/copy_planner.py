"""What box lists change: new copies, their boxes and values, and what a corrected list says anew of recorded copies.

A row means the copy whose own number it has; else one of its edition of which this list said, or of which is recorded,
all that the row says (`copy_matches`); else, of those that are left, the one that is likeliest in its box, or in no
box; else one that an earlier import of the same list made, and that the list moves to another box. A row that agrees
with none of these in anything is a new copy. What the list said
before and still says changes nothing, whatever was recorded since.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date

from intake.edges.store.queries.lists import valuations_of_copies
from intake.edges.store.reader import LibraryReader
from intake.flow.lists.copies import CopyRow
from intake.flow.lists.copy_changes import CopyChanges, ListedCopyRow
from intake.flow.lists.copy_lookups import RowLookups, look_up
from intake.flow.lists.copy_matches import CopyMatches
from intake.flow.lists.earlier_import import EarlierImport
from intake.flow.lists.lot_plan import NO_NOTES, LeftRoom, LotPlan, UnlistedCopy
from intake.flow.lists.merged_editions import MergedEditions
from intake.flow.lists.reasons import CellError, RowReason, bad_row
from intake.flow.lists.rest_matches import match_rest
from intake.model.boxes import Box
from intake.model.changes import Change, made, supposing
from intake.model.editions import Copy, CopyState, Edition
from intake.model.valuations import Valuation


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
        self._boxes: dict[str, Box] = {}
        self._lines_of_rooms: dict[str, int] = {}
        self._merged = MergedEditions(reader)
        self._earlier = EarlierImport(reader, file, self._merged)
        self._matches = CopyMatches(reader, self._earlier)
        self._changes = CopyChanges(self._earlier, today)
        self._deferred: list[ListedCopyRow] = []

    def plan(self, rows: Iterable[tuple[int, CopyRow]]) -> LotPlan:
        """Plan the next rows; one that may mean a copy that another row means as well waits for the last row."""
        lot = LotPlan()
        listed = list(rows)
        lookups = look_up(self._reader, [row for _, row in listed], self._merged)
        self._matches.load(lookups.boxes, lookups.unboxed(row for _, row in listed))
        understood: list[tuple[ListedCopyRow, Copy | None]] = []
        for line, row in listed:
            try:
                understood.append((self._understand(line, row, lookups), self._named(line, row, lookups)))
            except CellError as error:
                lot.bad.append(bad_row(line, error))
                continue
            lot.merged += self._merged.told(line, row.names, understood[-1][0].edition)
            lot.rooms += self._left_room(understood[-1][0])
            lot.changes += understood[-1][0].changes  # a box is made before any copy in it, though its row may wait
        same = self._matches.same({one.line: one.content for one, _ in understood if not one.row.copy})
        matched: list[tuple[ListedCopyRow, Copy | None]] = []
        for one, named in understood:
            copy = named or same.get(one.line)
            if copy is None and self._must_wait(one):
                self._deferred.append(one)
            else:
                matched.append((one, copy))
        self._plan_matched(matched, lot)
        return lot

    def _must_wait(self, row: ListedCopyRow) -> bool:
        """Tell whether only the whole list tells what a row means that says what is recorded of no copy.

        A copy that gets the library's next number is made after all that the list numbers, so that none of those is
        given to it.
        """
        if row.row.copy:
            return False
        has_candidates = self._earlier.names(row.edition.id) or bool(self._matches.in_box(*row.place))
        return has_candidates or row.row.may_be_numbered

    def finish(self) -> LotPlan:
        """Plan the rows that wait, and name the copies of an earlier import that no row means."""
        lot = LotPlan()
        known = len(self._earlier.copies)
        remaining = self._earlier.remaining(self._matches.claimed)
        # A list of the same name that has few of the copies is taken for another list, not for one of moved copies.
        is_corrected = 2 * (known - len(remaining)) >= known
        matched = self._match_rest(remaining, is_corrected=is_corrected)
        self._plan_matched([(row, matched.get(row.line)) for row in self._deferred], lot)
        for copy in matched.values():
            remaining.pop(copy.accession, None)
        editions = self._reader.get_many(Edition, {copy.edition_id for copy in remaining.values()})
        lot.unlisted = tuple(
            UnlistedCopy(copy.accession, editions[copy.edition_id].title, copy.box) for copy in remaining.values()
        )
        return lot

    def _match_rest(self, remaining: Mapping[str, Copy], *, is_corrected: bool) -> dict[int, Copy]:
        """Return which of the copies that are left the rows that wait mean, by line."""
        by_edition: dict[int, list[Copy]] = {}
        for copy in remaining.values():
            by_edition.setdefault(copy.edition_id, []).append(copy)

        def listed_there(row: ListedCopyRow) -> list[Copy]:
            """The copies that the list put into the row's box before; then the others that lie in it."""
            edition, box = row.place
            listed = [
                copy for copy in by_edition.get(edition, ()) if self._earlier.copies[copy.accession].said("box", box)
            ]
            known = {copy.accession for copy in listed}
            return [*listed, *(copy for copy in self._matches.in_box(edition, box) if copy.accession not in known)]

        def may_be_there(row: ListedCopyRow, copy: Copy) -> bool:
            return self._matches.may_mean(row.content, copy, is_moved=False)

        def may_be_moved(row: ListedCopyRow, copy: Copy) -> bool:
            return copy.accession not in taken and self._matches.may_mean(row.content, copy, is_moved=True)

        def moved(row: ListedCopyRow) -> list[Copy]:
            return by_edition.get(row.edition.id, []) if is_corrected and row.box is not None else []

        candidates = {copy.accession: copy for row in self._deferred for copy in listed_there(row)}
        says_nothing = self._says_nothing_new(candidates.values())
        matched = match_rest(self._deferred, listed_there, (says_nothing, *_LIKENESSES, may_be_there))
        taken = {copy.accession for copy in matched.values()}
        rest = [row for row in self._deferred if row.line not in matched]
        return matched | match_rest(rest, moved, (may_be_moved,))

    def _says_nothing_new(self, copies: Iterable[Copy]) -> Callable[[ListedCopyRow, Copy], bool]:
        """Return the test whether a row changes nothing of one of the copies."""
        of_all = list(copies)
        recorded = self._valuations([copy.accession for copy in of_all])
        boxes = self._boxes_of(of_all)

        def says_nothing_new(row: ListedCopyRow, copy: Copy) -> bool:
            try:
                changes, _ = self._changes.altered(row, copy, boxes, recorded.get(copy.accession, ()))
            except CellError:
                return False
            return not changes

        return says_nothing_new

    def _understand(self, line: int, row: CopyRow, lookups: RowLookups) -> ListedCopyRow:
        if row.amount is not None and row.amount.on is not None and row.amount.on > self._today:
            raise CellError(RowReason.FUTURE_VALUE, day=row.amount.on.isoformat())
        edition = lookups.edition(row)
        printing_id = lookups.printing_id(row.printing, edition)
        box, changes = self._box(line, row, lookups)
        return ListedCopyRow(line, row, edition, printing_id, box, changes)

    def _box(self, line: int, row: CopyRow, lookups: RowLookups) -> tuple[Box | None, tuple[Change, ...]]:
        """Return the row's box; the plan makes it where it is new, and supposes that it stays as it is otherwise.

        A box without a room gets that of the first row that names one for it.
        """
        if not row.box:
            return None, ()
        number = lookups.box_numbers[row.box]
        if isinstance(number, CellError):
            raise number
        known = self._boxes.get(number) or lookups.boxes.get(number)
        box = known or Box(number=number)
        if row.room and not box.room:
            box = replace(box, room=row.room)
            self._lines_of_rooms[number] = line
        changes: tuple[Change, ...] = ()
        if known is None:
            changes = made(box)
        elif box != known:
            changes = (Change(known, box),)
        elif number not in self._boxes:
            changes = supposing(box)
        self._boxes[number] = box
        return box, changes

    def _left_room(self, listed: ListedCopyRow) -> tuple[LeftRoom, ...]:
        """Return the room of a row that no box gets; none where its box has it, or the row names none."""
        room, box = listed.row.room, listed.box
        if not room or (box is not None and box.room.casefold() == room.casefold()):
            return ()
        if box is None:
            return (LeftRoom(listed.line, room),)
        return (LeftRoom(listed.line, room, box.number, box.room, self._lines_of_rooms.get(box.number)),)

    def _named(self, line: int, row: CopyRow, lookups: RowLookups) -> Copy | None:
        """Return the copy whose own number a row has; None where the row makes it, or has no number."""
        if not row.copy:
            return None
        self._matches.claim(row.copy, line)
        return lookups.copies.get(row.copy)

    def _valuations(self, accessions: Iterable[str]) -> Mapping[str, Sequence[Valuation]]:
        recorded: dict[str, list[Valuation]] = {}
        for valuation in valuations_of_copies(self._reader, accessions):
            recorded.setdefault(valuation.copy, []).append(valuation)
        return recorded

    def _boxes_of(self, copies: Iterable[Copy | None]) -> Mapping[int | str, Box]:
        return self._reader.get_many(Box, {copy.box for copy in copies if copy is not None and copy.box})

    def _plan_matched(self, matched: Sequence[tuple[ListedCopyRow, Copy | None]], lot: LotPlan) -> None:
        valued = [copy.accession for row, copy in matched if copy is not None and row.row.amount is not None]
        recorded = self._valuations(valued)
        boxes = self._boxes_of(copy for _, copy in matched)
        for understood, copy in matched:
            try:
                notes = NO_NOTES
                if copy is None:
                    changes = self._changes.made(understood)
                else:
                    changes, notes = self._changes.altered(understood, copy, boxes, recorded.get(copy.accession, ()))
            except CellError as error:
                lot.bad.append(bad_row(understood.line, error))
                continue
            if copy is not None and copy.state is CopyState.WITHDRAWN:
                lot.withdrawn.append((understood.line, copy.accession))
            value = understood.row.amount
            if value is not None and value.on is None:
                new = (change for change in changes if change.before is None)
                lot.undated += [value.basis for change in new if isinstance(change.after, Valuation)]
            lot.book(understood.line, understood.edition.title, changes, understood.changes, notes)


def _same_note(row: ListedCopyRow, copy: Copy) -> bool:
    return bool(row.row.note) and row.row.note == copy.note


def _same_condition(row: ListedCopyRow, copy: Copy) -> bool:
    return bool(row.row.condition) and row.row.condition == copy.condition


_LIKENESSES = (lambda row, copy: _same_note(row, copy) and _same_condition(row, copy), _same_note, _same_condition)
"""What makes it likely that a row means a copy, the likeliest first: people tell copies apart by what they note."""
