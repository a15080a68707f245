"""Box lists: one row for each copy, the box it lies in, its state and its value.

Rows are matched against the copies that are recorded in the box already, so that a list can be imported again after a
line was added, and no copy is made twice.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from intake.edges.store.queries.copies import copies_in_boxes
from intake.edges.store.queries.lists import printings_of_editions
from intake.edges.store.reader import LibraryReader
from intake.flow.lists.boxes import box_number
from intake.flow.lists.columns import Cells, ListColumn, word
from intake.flow.lists.lot_plan import LotPlan
from intake.flow.lists.named_editions import name_editions
from intake.flow.lists.reasons import CellError, RowReason, bad_row
from intake.model.boxes import Box, BoxState
from intake.model.changes import Change, Provisional, made, supposing
from intake.model.currencies import amount_fault, currency_codes
from intake.model.editions import Copy, CopyState, Edition, Grade
from intake.model.identifiers import OwnKind
from intake.model.valuations import Basis, Valuation

COPY_COLUMNS = (
    ListColumn("key", ("reference", "ref", "number", "isbn"), required=True),
    ListColumn("box", ("box number", "carton")),
    ListColumn("room", ("destination room",)),
    ListColumn("printing", ("impression",)),
    ListColumn("grade", ("condition grade",)),
    ListColumn("jacket", ("dust jacket", "jacket grade")),
    ListColumn("wrapped", ()),
    ListColumn("condition", ("defects",)),
    ListColumn("note", ("notes",)),
    ListColumn("value", ("amount", "price")),
    ListColumn("currency", ()),
    ListColumn("basis", ("value basis",)),
    ListColumn("valued_on", ("value date", "valued")),
    ListColumn("source", ("value source",)),
)

NO_JACKET = "none"


@dataclass(frozen=True, slots=True)
class ListedValue:
    """The value cells of one row."""

    amount: Decimal
    currency: str
    basis: Basis
    on: date | None
    source: str


@dataclass(frozen=True, slots=True)
class CopyRow:
    """One row of a box list, as read."""

    name: str
    box: str
    room: str
    printing: int | None
    grade: Grade | None
    jacket: Grade | None
    has_jacket: bool | None
    wrapped: bool
    condition: str
    note: str
    amount: ListedValue | None


def parse_copy(cells: Cells) -> CopyRow:
    """Read one row of a box list.

    Raises:
        CellError: a grade, basis, date or amount that is not one; an amount without a currency.
    """
    grade, jacket = cells.text("grade"), cells.text("jacket")
    no_jacket = jacket.casefold() == NO_JACKET
    if not cells.text("key"):
        raise CellError(RowReason.NO_EDITION_NAMED)
    return CopyRow(
        name=cells.text("key"),
        box=cells.text("box"),
        room=cells.text("room"),
        printing=cells.whole("printing"),
        grade=word(Grade, grade, "grade") if grade else None,
        jacket=word(Grade, jacket, "jacket") if jacket and not no_jacket else None,
        has_jacket=not no_jacket if jacket else None,
        wrapped=cells.yes("wrapped"),
        condition=cells.text("condition"),
        note=cells.text("note"),
        amount=_amount(cells),
    )


def _amount(cells: Cells) -> ListedValue | None:
    amount = cells.amount("value")
    if amount is None:
        return None
    currency = cells.text("currency").upper()
    if currency not in currency_codes():
        if not currency:
            raise CellError(RowReason.CURRENCY_MISSING, amount=str(amount))
        raise CellError(RowReason.CURRENCY_UNKNOWN, text=currency)
    if why := amount_fault(amount, currency):
        raise CellError(RowReason.AMOUNT_IMPOSSIBLE, amount=str(amount), why=why)
    basis = word(Basis, cells.text("basis") or Basis.REPLACEMENT, "basis")
    return ListedValue(amount, currency, basis, cells.day("valued_on"), cells.text("source"))


@dataclass(frozen=True, slots=True)
class _Lookups:
    """The records that a lot of rows names, or why a name matches none."""

    editions: Mapping[str, Edition | CellError]
    printings: Mapping[tuple[int, int | None], int]
    box_numbers: Mapping[str, str | CellError]
    boxes: Mapping[int | str, Box]

    def edition(self, name: str) -> Edition:
        """Return the edition of a name; raise `CellError` if it matches none or several."""
        edition = self.editions[name]
        if isinstance(edition, CellError):
            raise edition
        return edition

    def printing_id(self, ordinal: int | None, edition: Edition) -> int | None:
        """Return the id of the printing that a row names."""
        if ordinal is None:
            return None
        if (edition.id, ordinal) not in self.printings:
            raise CellError(RowReason.PRINTING_UNKNOWN, printing=ordinal, title=edition.title)
        return self.printings[edition.id, ordinal]


class CopyPlanner:
    """Plans the copies, boxes and values that box lists make.

    Args:
        reader: of the library as it is.
        today: the day of values that name none.
    """

    def __init__(self, reader: LibraryReader, today: date) -> None:
        self._reader = reader
        self._today = today
        self._new = Provisional()
        self._boxes: dict[str, Box] = {}
        self._recorded: dict[str, Counter[int]] = {}

    def plan(self, rows: Iterable[tuple[int, CopyRow]]) -> LotPlan:
        """Plan the next rows; one whose copy is recorded in its box already changes nothing."""
        lot = LotPlan()
        listed = list(rows)
        lookups = self._look_up([row for _, row in listed])
        for line, row in listed:
            try:
                self._plan_row(row, lookups, lot)
            except CellError as error:
                lot.bad.append(bad_row(line, error))
        return lot

    def finish(self) -> LotPlan:
        """Plan nothing more."""
        return LotPlan()

    def _look_up(self, rows: Sequence[CopyRow]) -> _Lookups:
        """Ask the library at once for all that a lot of rows names."""
        editions = name_editions(self._reader, (row.name for row in rows))
        printed = {
            edition.id
            for row in rows
            if row.printing is not None and isinstance(edition := editions[row.name], Edition)
        }
        numbers = {text: _box_number_or_error(text) for text in {row.box for row in rows if row.box}}
        unseen = {number for number in numbers.values() if isinstance(number, str)} - self._boxes.keys()
        stored = self._reader.get_many(Box, unseen)
        self._recorded |= {number: Counter() for number in unseen}
        for copy in copies_in_boxes(self._reader, unseen & stored.keys()):
            self._recorded[copy.box or ""][copy.edition_id] += 1
        return _Lookups(
            editions,
            {(row.edition_id, row.ordinal): row.id for row in printings_of_editions(self._reader, printed)},
            numbers,
            stored,
        )

    def _plan_row(self, row: CopyRow, lookups: _Lookups, lot: LotPlan) -> None:
        if row.amount is not None and row.amount.on is not None and row.amount.on > self._today:
            raise CellError(RowReason.FUTURE_VALUE, day=row.amount.on.isoformat())
        edition = lookups.edition(row.name)
        printing_id = lookups.printing_id(row.printing, edition)
        box = self._box(row, lookups, lot)
        if box is not None and self._recorded[box.number][edition.id] > 0:
            self._recorded[box.number][edition.id] -= 1
            lot.unchanged += 1
        elif box is not None and box.state is not BoxState.OPEN:
            raise CellError(RowReason.BOX_NOT_OPEN, box=box.number, state=box.state.value)
        else:
            lot.changes += self._made_copy(row, edition, printing_id, box)

    def _box(self, row: CopyRow, lookups: _Lookups, lot: LotPlan) -> Box | None:
        """Return the row's box; the plan makes it where it is new, and supposes that it stays as it is otherwise."""
        if not row.box:
            return None
        number = lookups.box_numbers[row.box]
        if isinstance(number, CellError):
            raise number
        if number not in self._boxes:
            stored = lookups.boxes.get(number)
            self._boxes[number] = stored or Box(number=number, room=row.room)
            lot.changes += made(self._boxes[number]) if stored is None else supposing(stored)
        return self._boxes[number]

    def _made_copy(
        self, row: CopyRow, edition: Edition, printing_id: int | None, box: Box | None
    ) -> tuple[Change, ...]:
        copy = Copy(
            accession=self._new.number(OwnKind.COPY),
            edition_id=edition.id,
            printing_id=printing_id,
            state=CopyState.PACKED if box else CopyState.AT_HAND,
            box=box.number if box else None,
            grade=row.grade,
            jacket=row.jacket,
            has_jacket=row.has_jacket,
            wrapped=row.wrapped,
            condition=row.condition,
            note=row.note,
        )
        if row.amount is None:
            return made(copy)
        valuation = Valuation(
            id=self._new.id(),
            copy=copy.accession,
            amount=row.amount.amount,
            currency=row.amount.currency,
            on=row.amount.on or self._today,
            basis=row.amount.basis,
            source=row.amount.source,
        )
        return made(copy, valuation)


def _box_number_or_error(text: str) -> str | CellError:
    try:
        return box_number(text)
    except CellError as error:
        return error
