"""The sentences that a person is shown of a list: why a row cannot be used, which boxes a consignment gets."""

from collections.abc import Sequence

from intake.flow.lists.reasons import BadRow, RowReason
from intake.units.counts import counted

NAMED_BOXES = 24

_SENTENCES = {
    RowReason.TOO_MANY_CELLS: "has {cells} cells under {columns} column names",
    RowReason.EMPTY: "{field} is empty",
    RowReason.NO_EDITION_NAMED: "key is empty: name the edition of the copy",
    RowReason.NOT_WHOLE: "{field} {text!r} is not a whole number",
    RowReason.NOT_A_NUMBER: "{field} {text!r} is not a number",
    RowReason.NOT_A_SIZE: "{field} {text!r} is not a size that a book, box or shelf has",
    RowReason.NOT_AN_AMOUNT: "{field} {text!r} is not an amount such as 120.00",
    RowReason.AMOUNT_IMPOSSIBLE: "value {amount} {why}; check the decimal point",
    RowReason.NOT_A_DATE: "{field} {text!r} is not a date such as 2026-03-31",
    RowReason.NOT_YES_OR_NO: "{field} {text!r} is neither yes nor no",
    RowReason.NOT_A_WORD: "{field} {text!r} is not one of {words}",
    RowReason.CURRENCY_UNKNOWN: "currency {text!r} is not one of ISO 4217; write its three letters, such as EUR",
    RowReason.CURRENCY_MISSING: "value {amount} has no currency; write its three letters, such as EUR",
    RowReason.FUTURE_VALUE: "valued_on {day} is in the future",
    RowReason.ADD_ON_ALONE: "add_on {text!r} has no number beside it",
    RowReason.OWN_NUMBER: "number {text!r} is one of this library's own numbers, not a publisher's",
    RowReason.NUMBER_REJECTED: "number {text!r}: {why}",
    RowReason.NUMBER_REPAIRABLE: "number {text!r}: {why} (perhaps {repair}: {how})",
    RowReason.BOX_NUMBER_REJECTED: "box {text!r} is not a box number: {why}",
    RowReason.SAME_EDITION: "is the same edition as line {earlier}",
    RowReason.SAME_BOX: "names box {box} again, after line {earlier}",
    RowReason.SAME_SHELF: "names shelf {shelf} of {bookcase} again, after line {earlier}",
    RowReason.EDITION_NOT_A_NUMBER: "edition {text!r} is neither a key of the catalog nor a valid number: {why}",
    RowReason.EDITION_UNKNOWN: "edition {text} is not in the catalog; import it first",
    RowReason.EDITION_AMBIGUOUS: "edition {text} means {count} editions ({keys}); name it by its key",
    RowReason.PRINTING_UNKNOWN: "printing {printing} of {title!r} is not recorded; import the printings first",
    RowReason.BOX_UNKNOWN: "box {box} is not recorded; import it first",
    RowReason.BOX_IN_ANOTHER: "box {box} travels in consignment {reference} already; a box is in one at a time",
    RowReason.CONSIGNMENT_UNKNOWN: "consignment {text!r} is not recorded; import it first",
    RowReason.BOX_NOT_OPEN: "box {box} is {state}; only an open box takes another copy",
    RowReason.GROSS_NOT_ABOVE_TARE: "gross_g {gross} is not more than the empty box, which weighs {least}",
    RowReason.GROSS_BELOW_BOOKS: "gross_g {gross} is less than its books alone, which weigh {least} by the catalog",
    RowReason.DELIVERED_BEFORE_DISPATCH: "is dispatched on {dispatched}, after box {box} was delivered on {delivered}",
}
"""Predicates of the row, with the facts of the reason in braces."""


def bad_row_sentence(bad: BadRow) -> str:
    """Write why a row cannot be used, as a predicate of it.

    >>> bad_row_sentence(BadRow(3, RowReason.EMPTY, {"field": "title"}))
    'title is empty'
    """
    return _SENTENCES[bad.reason].format(**bad.facts)


def consigned_sentence(reference: str, boxes: Sequence[str], *, dry_run: bool) -> str:
    """Write which boxes a list puts into a consignment; of none, how to put some in."""
    if not boxes:
        return (
            f"This list puts no box into {reference}: name them in the column 'boxes', or with "
            f"'intake consign add {reference} BOX …'."
        )
    more = f" and {len(boxes) - NAMED_BOXES} more" if len(boxes) > NAMED_BOXES else ""
    shown = ", ".join(boxes[:NAMED_BOXES]) + more
    return f"{reference} {'would get' if dry_run else 'got'} {counted(len(boxes), 'box', 'boxes')}: {shown}."
