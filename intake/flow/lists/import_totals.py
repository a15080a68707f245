"""What the lots of a list give together, beside what they change."""

from collections import Counter
from collections.abc import Iterable, Sequence

from intake.flow.lists.lot_plan import (
    LeftRoom,
    ListDoubts,
    LotPlan,
    MergedName,
    RowOutcome,
    UnlistedCopy,
    UnlistedEdition,
)
from intake.flow.lists.reasons import BadRow
from intake.model.boxes import Box, Consignment
from intake.model.changes import Change
from intake.model.editions import Edition
from intake.model.places import Place
from intake.model.valuations import Basis
from intake.shelving.boards import board_of


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
        self._without_set: list[int] = []
        self._materials: dict[str, list[int]] = {}

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
        for row in lot.rows:
            for change in row.changes:
                self._doubt(row.line, change)
        if self._by_row:
            self.rows += lot.rows
        return lot.changes

    @property
    def doubts(self) -> ListDoubts:
        """Return what is taken as it stands, though less follows from it than the person may think."""
        return ListDoubts(tuple(self._without_set), self._materials)

    def _doubt(self, line: int, change: Change) -> None:
        before, after = change.before, change.after
        if isinstance(after, Edition) and after.volume and after.set_id is None:
            if not isinstance(before, Edition) or not before.volume:
                self._without_set.append(line)
        elif isinstance(after, Place) and after.material and board_of(after.material) is None:
            is_new = not isinstance(before, Place) or before.material != after.material
            if is_new:
                self._materials.setdefault(after.material, []).append(line)

    def note_consigned(self, changes: Iterable[Change]) -> None:
        """Note which boxes are put into each consignment that is made or gets boxes."""
        for after in (change.after for change in changes):
            if isinstance(after, Consignment):
                self.consigned.setdefault(after.reference, [])
            elif isinstance(after, Box) and after.consignment is not None:
                self.consigned.setdefault(after.consignment, []).append(after.number)
