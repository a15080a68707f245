"""The sentences that a person is shown for the rows of a list."""

from dataclasses import fields
from enum import StrEnum

from intake.flow.lists.lot_plan import RowOutcome, UnlistedCopy
from intake.flow.lists.reasons import BadRow, RowReason
from intake.model.changes import Change, Record, is_provisional
from intake.model.editions import BookSet
from intake.model.places import Place
from intake.model.valuations import Valuation

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
    RowReason.BOX_NUMBER_UNDIVIDED: "box {text!r} may be box {digits}, or another with its check digits; "
    "write {digits} alone, or the hyphen before the check digits",
    RowReason.COPY_NUMBER_REJECTED: "copy {text!r} is not a copy's number: {why}",
    RowReason.COPY_UNKNOWN: "copy {copy} is not in the library; leave the cell empty to record a new copy",
    RowReason.COPY_OF_ANOTHER_EDITION: "copy {copy} is a copy of {title!r}, not of edition {text!r}",
    RowReason.COPY_NOT_MOVABLE: "copy {copy} is {state}; a list moves only copies at hand or in an open box",
    RowReason.SAME_COPY: "is copy {copy}, like line {earlier}",
    RowReason.NUMBER_OF_ANOTHER_TITLE: "number {number} is recorded with the title {title!r}; "
    "correct one of them, or give the row a key of its own if it is another book",
    RowReason.CELL_UNREADABLE: "{field} {text!r} is not what an export writes there",
    RowReason.NOT_AN_OWN_NUMBER: "{field} {text!r} is not an own number with its check digits",
    RowReason.SAME_RECORD: "has the {field} {text!r} again",
    RowReason.REFERENCE_MISSING: "{field} {text!r} is in no row of {file}",
    RowReason.REFERENCE_IN_A_CIRCLE: "{field} {text!r} leads back to the row itself",
    RowReason.SAME_EDITION: "is the same edition as line {earlier}",
    RowReason.SAME_BOX: "names box {box} again, after line {earlier}",
    RowReason.SAME_SHELF: "names shelf {shelf} of {bookcase} again, after line {earlier}",
    RowReason.EDITION_NOT_A_NUMBER: "edition {text!r} is neither a key of the catalog nor a valid number: {why}",
    RowReason.EDITION_UNKNOWN: "edition {text} is not in the catalog; import it first",
    RowReason.EDITION_AMBIGUOUS: "edition {text} means {count} editions ({keys}); name it by its key",
    RowReason.PRINTING_UNKNOWN: "printing {printing} of {title!r} is not recorded; import the printings first",
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


def outcome_words(outcome: RowOutcome) -> str:
    """Write what a row changes.

    >>> from intake.model.boxes import Box
    >>> box = Box(number="B2-47")
    >>> outcome_words(RowOutcome(4, "B2-47", (Change(box, Box(number="B2-47", room="Study")),)))
    "B2-47: box B2-47: room none -> 'Study'"
    >>> outcome_words(RowOutcome(5, "B2-47", ()))
    'B2-47: unchanged'
    """
    changes = [_change_words(change) for change in outcome.changes] or ["unchanged"]
    left = [
        f"{cell.field} stays {_value_words(cell.recorded)}, recorded since, though the list says "
        f"{_value_words(cell.listed)} as before"
        for cell in outcome.left
    ]
    return f"{outcome.name}: {'; '.join([*changes, *left])}"


def unlisted_sentence(copy: UnlistedCopy) -> str:
    """Write that a list no longer has a copy that it had.

    >>> unlisted_sentence(UnlistedCopy("A5-12", "Ferns", None))
    "A5-12 'Ferns', in no box, came from an earlier import of this list, which no longer has it; it stays as it is"
    """
    where = f"box {copy.box}" if copy.box else "in no box"
    why = "came from an earlier import of this list, which no longer has it; it stays as it is"
    return f"{copy.accession} {copy.title!r}, {where}, {why}"


_NOUNS: dict[type[Record], str] = {BookSet: "set", Place: "place", Valuation: "value"}
_SILENT = {"id", "edition_id", "copy", "set_id", "printing_id", "parent", "position"}
"""Fields that are references or orders of the library's own: another record of the row, or its name, says it."""


def _change_words(change: Change) -> str:
    record = change.after or change.before
    if record is None:
        return ""
    noun = _NOUNS.get(type(record), type(record).__name__.lower())
    key = getattr(record, fields(record)[0].name)
    name = f"{noun} {key}" if isinstance(key, str) and not is_provisional(key) else noun
    if change.before is None:
        said = [f"{field} {_value_words(value)}" for field, value in _said(record) if value != key]
        return f"new {name}" + (f" ({', '.join(said)})" if said else "")
    before, after = dict(_said(change.before, all_fields=True)), dict(_said(record, all_fields=True))
    differ = [
        f"{field} {_value_words(old)} -> {_value_words(after[field])}"
        for field, old in before.items()
        if after[field] != old
    ]
    return f"{name}: {', '.join(differ) or 'altered'}"


def _said(record: Record, *, all_fields: bool = False) -> list[tuple[str, object]]:
    named = ((field.name, getattr(record, field.name), field.default) for field in fields(record))
    return [
        (name, value)
        for name, value, default in named
        if name not in _SILENT and (all_fields or value not in (default, None, "", ()))
    ]


def _value_words(value: object) -> str:
    if value in (None, "", ()):
        return "none"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return repr("; ".join(value))
    return repr(value) if isinstance(value, str) and not isinstance(value, StrEnum) else str(value)
