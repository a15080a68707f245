"""Box lists: one row for each copy, the box it lies in, its state and its value.

Rows are matched against the copies that are recorded in the box already, so that a list can be imported again after a
line was added, and no copy is made twice.
"""

from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from intake.flow.lists.columns import BadRow, CellError, Cells, ListColumn, word
from intake.model.boxes import Box, BoxState
from intake.model.changes import Change, made
from intake.model.currencies import CODES
from intake.model.editions import Copy, CopyState, Edition, Grade, Printing
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
        raise CellError("key is empty: say which edition the copy is of")
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
    if currency not in CODES:
        said = f"currency {currency!r} is not one of ISO 4217" if currency else f"value {amount} has no currency"
        raise CellError(f"{said}; write its three letters, such as EUR")
    basis = word(Basis, cells.text("basis") or Basis.REPLACEMENT, "basis")
    return ListedValue(amount, currency, basis, cells.day("valued_on"), cells.text("source"))


@dataclass(frozen=True, slots=True)
class CopySources:
    """What the planner asks the library: look-ups, and the next free numbers.

    `find_edition` and `box_number` raise `CellError` where a name means nothing or several things.
    """

    find_edition: Callable[[str], Edition]
    box_number: Callable[[str], str]
    box: Callable[[str], Box | None]
    copies_in_box: Callable[[str], Iterable[Copy]]
    printings_of: Callable[[int], Iterable[Printing]]
    new_accession: Callable[[], str]
    new_valuation: Callable[[], int]


def plan_copies(
    rows: Iterable[tuple[int, CopyRow]], *, sources: CopySources, today: date
) -> tuple[list[Change], list[BadRow], int]:
    """Plan the copies, boxes and values that box lists make.

    Returns:
        The changes, the rows that cannot be used, and the count of rows whose copy was recorded already.
    """
    changes: list[Change] = []
    bad: list[BadRow] = []
    unchanged = 0
    boxes: dict[str, Box] = {}
    recorded: dict[str, Counter[int]] = {}
    for line, row in rows:
        try:
            if row.amount is not None and row.amount.on is not None and row.amount.on > today:
                raise CellError(f"valued_on {row.amount.on.isoformat()} is a day to come")
            edition = sources.find_edition(row.name)
            printing_id = _printing_id(row, edition, sources)
            box = _box(row, sources, boxes, changes, recorded)
        except CellError as reason:
            bad.append(BadRow(line, str(reason)))
            continue
        if box is not None and recorded[box.number][edition.id] > 0:
            recorded[box.number][edition.id] -= 1
            unchanged += 1
        elif box is not None and box.state is not BoxState.OPEN:
            bad.append(BadRow(line, f"box {box.number} is {box.state}; only an open box takes another copy"))
        else:
            changes += _made_copy(row, edition, printing_id, box, sources, today)
    return changes, bad, unchanged


def _made_copy(
    row: CopyRow, edition: Edition, printing_id: int | None, box: Box | None, sources: CopySources, today: date
) -> tuple[Change, ...]:
    copy = Copy(
        accession=sources.new_accession(),
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
        id=sources.new_valuation(),
        copy=copy.accession,
        amount=row.amount.amount,
        currency=row.amount.currency,
        on=row.amount.on or today,
        basis=row.amount.basis,
        source=row.amount.source,
    )
    return made(copy, valuation)


def _printing_id(row: CopyRow, edition: Edition, sources: CopySources) -> int | None:
    if row.printing is None:
        return None
    for printing in sources.printings_of(edition.id):
        if printing.ordinal == row.printing:
            return printing.id
    raise CellError(f"printing {row.printing} of {edition.title!r} is not recorded; import the printings first")


def _box(
    row: CopyRow,
    sources: CopySources,
    boxes: dict[str, Box],
    changes: list[Change],
    recorded: dict[str, Counter[int]],
) -> Box | None:
    """Find the row's box, planning it where it is new, and count once what lies in it already."""
    if not row.box:
        return None
    number = sources.box_number(row.box)
    if number not in boxes:
        held = sources.box(number)
        boxes[number] = held or Box(number=number, room=row.room)
        if held is None:
            changes += made(boxes[number])
        recorded[number] = Counter(copy.edition_id for copy in sources.copies_in_box(number))
    return boxes[number]
