"""Box lists: one row for each copy, the box it lies in, its condition and its value.

Which recorded copy a row means, and what it changes of it, is told by `copy_planner`.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from intake.edges.exchange.heading_table import ENGLISH, PRICE, PURCHASE, PURCHASE_DAY
from intake.edges.exchange.outgoing import JACKET, NO_JACKET
from intake.flow.lists.columns import Cells, ListColumn
from intake.flow.lists.editions import ISBN_HEADINGS, parse_price
from intake.flow.lists.reasons import CellError, RowReason
from intake.identifiers import own
from intake.model.editions import Grade
from intake.model.identifiers import OwnKind, Rejection
from intake.model.valuations import Basis

VALUATIONS = (
    *("insurance value", "insured value", "replacement value", "valuation", "appraisal", "appraised value"),
    *("worth", "worth today", "current value", "estimated value"),
)
"""Before a price: what a copy is worth is insured, not what was paid for it."""
OWN_NUMBER_HEADINGS = (
    "accession number",
    "accession no",
    "copy number",
    "copy no",
    "inventory number",
    "inventory no",
    "own number",
)
COPY_COLUMNS = (
    ListColumn("key", ("reference", "ref", "number", "id"), required=True, instead=("isbn", "copy")),
    ListColumn("isbn", ISBN_HEADINGS, words_of="number"),
    ListColumn("copy", ("accession", *OWN_NUMBER_HEADINGS)),
    ListColumn("box", ("box number", "box no", "which box", "in box", "carton", "carton number", "carton no")),
    ListColumn("room", ("destination room",)),
    ListColumn("printing", ("impression",)),
    ListColumn("grade", ("condition grade",)),
    ListColumn("jacket", ("dust jacket", "jacket grade", "dj", "dust wrapper")),
    ListColumn("wrapped", ()),
    ListColumn("condition", ("cond", "defects")),
    ListColumn("note", ("notes", "comments", "comment", "remarks")),
    ListColumn("kept", ("keep",)),
    ListColumn("why", ("why kept",)),
    ListColumn("value", (*VALUATIONS, *ENGLISH[PRICE], *ENGLISH[PURCHASE])),
    ListColumn("currency", ()),
    ListColumn("basis", ("value basis",)),
    ListColumn("valued_on", ("value date", "valued", "date valued", "valuation date", *ENGLISH[PURCHASE_DAY])),
    ListColumn("source", ("value source",)),
)


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
    """One row of a box list, as read; None and an empty text say nothing.

    Attributes:
        names: of the edition, its key and its number, or one of these; none where the copy is named.
        copy: the copy's own number, canonical.
        may_be_numbered: whether the list has a column of own numbers, though this row may have none.
    """

    names: tuple[str, ...]
    box: str
    room: str
    printing: int | None
    grade: Grade | None
    jacket: Grade | None
    has_jacket: bool | None
    wrapped: bool | None
    condition: str
    note: str
    amount: ListedValue | None
    copy: str = ""
    may_be_numbered: bool = False
    kept: bool | None = None
    why: str = ""


def parse_copy(cells: Cells) -> CopyRow:
    """Read one row of a box list.

    Raises:
        CellError: a grade, basis, date, amount or copy's number that is not one; an amount without a currency.
    """
    jacket = cells.text("jacket").casefold()
    names = tuple(filter(None, (cells.text("key"), cells.text("isbn"))))
    if not names and not cells.text("copy"):
        raise CellError(RowReason.NO_EDITION_NAMED)
    return CopyRow(
        names=names,
        box=cells.text("box"),
        room=cells.text("room"),
        printing=cells.whole("printing"),
        grade=cells.word(Grade, "grade"),
        jacket=cells.word(Grade, "jacket") if jacket not in (NO_JACKET, JACKET) else None,
        has_jacket=jacket != NO_JACKET if jacket else None,
        wrapped=cells.yes("wrapped") if cells.text("wrapped") else None,
        condition=cells.text("condition"),
        note=cells.text("note"),
        amount=cells.attempt("value", lambda: _amount(cells)),
        copy=cells.attempt("copy", lambda: _copy_number(cells.text("copy"))) or "",
        may_be_numbered=cells.has("copy"),
        kept=cells.yes("kept") if cells.text("kept") else None,
        why=cells.text("why"),
    )


def _copy_number(text: str) -> str:
    if not text:
        return ""
    number = own.read(text, expect=OwnKind.COPY)
    if isinstance(number, Rejection):
        raise CellError(RowReason.COPY_NUMBER_REJECTED, text=text, why=number.reason)
    return number.number


def _amount(cells: Cells) -> ListedValue | None:
    basis, on = Basis.REPLACEMENT, None
    if cells.text("value"):
        basis, on = cells.word(Basis, "basis") or basis, cells.day("valued_on")
    amount, currency = parse_price(cells, "value")
    if amount is None:
        return None
    return ListedValue(amount, currency, basis, on, cells.text("source"))
