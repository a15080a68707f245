"""What one row of a box list changes: the copy that it makes, or what it says anew of a recorded one."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from intake.flow.lists.copies import CopyRow
from intake.flow.lists.copy_matches import CopyContent
from intake.flow.lists.earlier_import import DESCRIBING, EarlierImport
from intake.flow.lists.listed_values import instead_of, value_changes
from intake.flow.lists.lot_plan import COLUMN_OF, CellNotes, LeftCell, OutdatedValue
from intake.flow.lists.reasons import CellError, RowReason
from intake.model.boxes import Box, BoxState
from intake.model.changes import Change, Provisional, made
from intake.model.editions import Copy, CopyState, Edition
from intake.model.identifiers import OwnKind
from intake.model.valuations import Valuation


@dataclass(frozen=True, slots=True)
class ListedCopyRow:
    """A row whose names are understood, and what makes its box where it is new."""

    line: int
    row: CopyRow
    edition: Edition
    printing_id: int | None
    box: Box | None
    changes: tuple[Change, ...]

    @property
    def place(self) -> tuple[int, str | None]:
        """Return the edition, and the number of the box or None."""
        return self.edition.id, self.box.number if self.box is not None else None

    @property
    def cells(self) -> dict[str, Any]:
        """Return what the row says of each field of a copy; None or an empty text where it says nothing."""
        named = {field: getattr(self.row, field) for field in DESCRIBING if field != "printing_id"}
        return {"printing_id": self.printing_id, **named, "box": self.place[1]}

    @property
    def described(self) -> dict[str, Any]:
        """Return the fields of a copy of which is known what the row says, and nothing else."""
        return {**self.cells, "wrapped": bool(self.row.wrapped), "kept": bool(self.row.kept)}

    @property
    def content(self) -> CopyContent:
        """Return all that the row says of its copy."""
        described, value = self.described, self.row.amount
        worth = (value.amount, value.currency, value.basis.value) if value is not None else None
        return CopyContent(*self.place, tuple(described[field] for field in DESCRIBING), worth)


class CopyChanges:
    """What rows change of copies.

    Args:
        earlier: what earlier imports of the list said.
        today: the day of values that name none.
    """

    def __init__(self, earlier: EarlierImport, today: date) -> None:
        self._earlier = earlier
        self._today = today
        self._new = Provisional()

    def made(self, listed: ListedCopyRow) -> tuple[Change, ...]:
        """Return what makes the new copy of a row.

        Raises:
            CellError: its box is not open.
        """
        row, box = listed.row, listed.box
        if box is not None and box.state is not BoxState.OPEN:
            raise CellError(RowReason.BOX_NOT_OPEN, box=box.number, state=box.state.value)
        copy = Copy(
            accession=row.copy or self._new.number(OwnKind.COPY),
            edition_id=listed.edition.id,
            state=CopyState.PACKED if box else CopyState.AT_HAND,
            **listed.described,
        )
        return (*made(copy), *self._value(row, copy, ()))

    def altered(
        self, listed: ListedCopyRow, copy: Copy, boxes: Mapping[int | str, Box], recorded: Sequence[Valuation]
    ) -> tuple[tuple[Change, ...], CellNotes]:
        """Return what a row says anew of a recorded copy, and of which cells the person is told.

        Raises:
            CellError: it names another box, and the copy cannot be put there.
        """
        row, box = listed.row, listed.box
        cells = listed.cells
        filled = {field: value for field, value in cells.items() if value not in (None, "")}
        said = self._earlier.of(copy.accession)
        old = {field for field, value in filled.items() if said is not None and said.said(field, value)}
        new = {field: value for field, value in filled.items() if field not in old | {"box"}}
        if new.get("has_jacket") is False:
            new["jacket"] = None
        after = replace(copy, **new)
        if box is not None and "box" not in old and box.number != copy.box:
            after = _moved_to(after, box, boxes.get(copy.box or ""))
        altered = () if after == copy else (Change(copy, after),)
        values = self._value(row, copy, recorded)
        instead = self._instead(row, copy, recorded, values)
        left = _differing(copy, {field: filled[field] for field in filled if field in old})
        notes = CellNotes(
            left=(*left, instead) if isinstance(instead, LeftCell) else left,
            overwritten=self._overwritten(copy, {field: filled[field] for field in filled if field not in old}),
            emptied=_emptied(cells, copy, has_value=row.amount is None and said is not None and said.worth is not None),
            outdated=instead if isinstance(instead, OutdatedValue) else None,
        )
        return (*altered, *values), notes

    def _overwritten(self, copy: Copy, cells: Mapping[str, object]) -> tuple[LeftCell, ...]:
        """Return those of the new cells in whose place something was recorded since the list was last imported."""
        said = self._earlier.copies.get(copy.accession)
        if said is None:
            return ()
        differing = _differing(copy, cells)
        return tuple(
            cell
            for cell in differing
            if cell.recorded not in (None, "", False) and not said.said(cell.field, cell.recorded)
        )

    def _value(self, row: CopyRow, copy: Copy, recorded: Sequence[Valuation]) -> tuple[Change, ...]:
        if row.amount is None:
            return ()
        said = self._earlier.of(copy.accession)
        before = said.value_ids.get(row.amount.basis.value) if said is not None else None
        return value_changes(
            row.amount, copy.accession, recorded, listed_before=before, new=self._new, today=self._today
        )

    def _instead(
        self, row: CopyRow, copy: Copy, recorded: Sequence[Valuation], changes: Sequence[Change]
    ) -> LeftCell | OutdatedValue | None:
        """Return why another value counts than that of a row; None where it counts, or the row has none."""
        if row.amount is None:
            return None
        said = self._earlier.of(copy.accession)
        listed = () if said is None else said.value_ids.values()
        return instead_of(row.amount, recorded, changes, listed=listed)


def _differing(copy: Copy, cells: Mapping[str, object]) -> tuple[LeftCell, ...]:
    recorded = ((field, getattr(copy, field), value) for field, value in cells.items())
    return tuple(LeftCell(field, now, value) for field, now, value in recorded if now != value)


def _emptied(cells: Mapping[str, object], copy: Copy, *, has_value: bool) -> tuple[str, ...]:
    """Return the columns of the cells that are empty though something is recorded there."""
    empty = (field for field, value in cells.items() if value in (None, "") and field != "has_jacket")
    emptied = [COLUMN_OF.get(field, field) for field in empty if getattr(copy, field) not in (None, "", False)]
    return (*emptied, "value") if has_value else tuple(emptied)


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
