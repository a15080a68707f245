"""What the lots of a list give together, beside what they change."""

from collections import Counter
from collections.abc import Iterable, Sequence

from intake.flow.lists.lot_plan import LeftRoom, LotPlan, MergedName, RowOutcome, UnlistedCopy, UnlistedEdition
from intake.flow.lists.reasons import BadRow
from intake.model.boxes import Box, Consignment
from intake.model.changes import Change
from intake.model.valuations import Basis


class ImportTotals:
    """What the lots of a list give besides their changes; the outcomes of rows only where they are asked for."""

    def __init__(self, *, by_row: bool) -> None:
        self._by_row = by_row
        self.unchanged = 0
        self.left = 0
        self.bad: list[BadRow] = []
        self.left_empty: list[BadRow] = []
        self.rows: list[RowOutcome] = []
        self.overwritten: list[RowOutcome] = []
        self.outdated: list[RowOutcome] = []
        self.emptied: Counter[str] = Counter()
        self.unlisted: tuple[UnlistedCopy, ...] = ()
        self.unlisted_editions: tuple[UnlistedEdition, ...] = ()
        self.repeated: dict[int, list[int]] = {}
        self.undated: Counter[Basis] = Counter()
        self.alike: dict[int, list[int]] = {}
        self.merged: list[MergedName] = []
        self.withdrawn: list[tuple[int, str]] = []
        self.rooms: list[LeftRoom] = []
        self.consigned: dict[str, list[str]] = {}

    def add(self, lot: LotPlan) -> Sequence[Change]:
        """Add those of a lot, and return its changes."""
        self.bad += lot.bad
        self.unchanged += sum(not row.changes for row in lot.rows)
        self.left += sum(len(row.notes.left) for row in lot.rows)
        self.overwritten += (row for row in lot.rows if row.notes.overwritten)
        self.outdated += (row for row in lot.rows if row.notes.outdated is not None)
        self.emptied.update(column for row in lot.rows for column in row.notes.emptied)
        self.unlisted += lot.unlisted
        self.unlisted_editions += lot.unlisted_editions
        for line, first in lot.repeated:
            self.repeated.setdefault(first, []).append(line)
        self.undated.update(lot.undated)
        for line, first in lot.alike:
            self.alike.setdefault(first, []).append(line)
        self.merged += lot.merged
        self.withdrawn += lot.withdrawn
        self.rooms += lot.rooms
        if self._by_row:
            self.rows += lot.rows
        return lot.changes

    def note_consigned(self, changes: Iterable[Change]) -> None:
        """Note which boxes are put into each consignment that is made or gets boxes."""
        for after in (change.after for change in changes):
            if isinstance(after, Consignment):
                self.consigned.setdefault(after.reference, [])
            elif isinstance(after, Box) and after.consignment is not None:
                self.consigned.setdefault(after.consignment, []).append(after.number)
