"""The sentences that a person is shown of a list: what its rows change or why not, which boxes a consignment gets."""

from collections.abc import Mapping, Sequence
from dataclasses import fields
from enum import StrEnum

from intake.flow.lists.lot_plan import RowOutcome
from intake.flow.lists.reasons import BadRow, RowReason
from intake.model.boxes import Box
from intake.model.changes import Change, Record, is_provisional
from intake.model.condition import ConditionReport
from intake.model.editions import BookSet, Copy
from intake.model.valuations import Valuation
from intake.units.advice import Advice, advice, worded
from intake.units.counts import counted

NAMED_BOXES = 24

_SENTENCES: Mapping[RowReason, str | Advice] = {
    RowReason.TOO_MANY_CELLS: "has {cells} cells under {columns} column names",
    RowReason.EMPTY: "{field} is empty",
    RowReason.NO_EDITION_NAMED: (
        "key and isbn are empty: name the edition, also by its title (--map key=HEADING)",
        "key and isbn are empty: name the edition, also by its title (say below which column is its key)",
    ),
    RowReason.NOT_WHOLE: "{field} {text!r} is not a whole number",
    RowReason.NOT_A_NUMBER: "{field} {text!r} is not a number",
    RowReason.NOT_A_SIZE: "{field} {text!r} is not a size that a book, box or shelf has",
    RowReason.NOT_AN_AMOUNT: "{field} {text!r} is not an amount such as 120.00",
    RowReason.AMOUNT_IMPOSSIBLE: "{field} {amount} {why}; check the decimal point",
    RowReason.NOT_A_DATE: "{field} {text!r} is not a date such as 2026-03-31",
    RowReason.DAY_MISSING: "{field} {text!r} does not say which day; write one, such as 2018-03-31, or empty the cell",
    RowReason.NOT_YES_OR_NO: "{field} {text!r} is neither yes nor no",
    RowReason.NOT_A_WORD: "{field} {text!r} is not one of {words}",
    RowReason.COLLECTS_NOT_UNDERSTOOD: "collects {text!r}: {why}",
    RowReason.CURRENCY_UNKNOWN: "currency {text!r} is not one of ISO 4217; write its three letters, such as EUR",
    RowReason.CURRENCY_MISSING: (
        (
            "{field} {amount} has no currency; write its three letters beside it or in a column, head its column "
            "'{field} (EUR)', or give --unit {field}=EUR"
        ),
        (
            "{field} {amount} has no currency; write its three letters beside it or in a column, head its column "
            "'{field} (EUR)', or name it below"
        ),
    ),
    RowReason.CURRENCY_SIGN_UNKNOWN: "{field} {text!r}: {sign!r} is no currency that is known; write its three letters "
    "(ISO 4217), such as EUR, and the amount in a currency of today",
    RowReason.FUTURE_VALUE: "valued_on {day} is in the future",
    RowReason.ADD_ON_ALONE: "add_on {text!r} has no number beside it",
    RowReason.OWN_NUMBER: "number {text!r} is one of this library's own numbers, not a publisher's",
    RowReason.NUMBER_REJECTED: "number {text!r}: {why}",
    RowReason.NUMBER_REPAIRABLE: "number {text!r}: {why} (perhaps {repair}: {how})",
    RowReason.NUMBER_NOT_ALONE: "number {text!r} holds another beside {number}, which is none: {beside}; "
    "correct it or put it into a column of its own",
    RowReason.NUMBER_ROUNDED: "number {text!r} has lost its digits in a spreadsheet; format the column there as text, "
    "enter the number anew and save the list again",
    RowReason.DAY_FOR_TEXT: "{field} is the day {text} in the file, perhaps made of a text such as 1-2 by the "
    "spreadsheet; format the column there as text and enter it anew",
    RowReason.DAY_BEFORE_SERIALS: "{field} {text} cannot be trusted, for spreadsheets count days wrongly before "
    "1 March 1900; write it as text",
    RowReason.LONE_CELL: (
        (
            "has one cell, {text!r}: a heading between the rows, or a book of which no more is known; take it with "
            "--as-is {line}"
        ),
        "has one cell, {text!r}: a heading between the rows, or a book of which no more is known; take it as it is",
    ),
    RowReason.YEAR_IMPOSSIBLE: "year {text!r} is not one from {first} to {last}",
    RowReason.YEAR_UNLIKELY: (
        "year {text!r} is before printing with movable type; if it is right, take the row with --as-is {line}",
        "year {text!r} is before printing with movable type; if it is right, take the row as it is",
    ),
    RowReason.SIZE_UNLIKELY: (
        "{field} {text!r} would be {size}, which is unlikely; if it is right, take the row with --as-is {line}",
        "{field} {text!r} would be {size}, which is unlikely; if it is right, take the row as it is",
    ),
    RowReason.SIZE_TWICE: "{field} is {size} mm in one column and {other} mm in another; correct one of them",
    RowReason.SIZE_OF_FOLD: "{field} {text!r} says how the sheet was folded, not how large the book is; measure it, or "
    "empty the cell",
    RowReason.SIZE_FOR_BINDING: (
        "binding {text!r} is a size; name its column with --map size=HEADING",
        "binding {text!r} is a size; say below that its column is the size",
    ),
    RowReason.JACKET_TWICE: "jacket is {text!r} in its column, and {other!r} beside the grade; correct one of them",
    RowReason.GRADE_UNKNOWN: (
        (
            "{field} {text!r} is none of the trade's grades ({words}), nor their letters or a word that says the same; "
            "correct it, or keep it as text with --map condition=HEADING"
        ),
        (
            "{field} {text!r} is none of the trade's grades ({words}), nor their letters or a word that says the same; "
            "correct it, or say below that its column is the condition, to keep it as text"
        ),
    ),
    RowReason.CURRENCY_DIFFERS: (
        (
            "{field} {text!r} is in {sign} by its cell, and in {currency} by its column, heading or --unit; correct "
            "one of them"
        ),
        (
            "{field} {text!r} is in {sign} by its cell, and in {currency} by its column, heading or unit; correct one "
            "of them"
        ),
    ),
    RowReason.CURRENCY_SHARED: (
        (
            "{field} {text!r} is in {sign}, a sign of several currencies; write the three letters of the currency "
            "beside it or in a column, or give --unit {field}=USD, for example"
        ),
        (
            "{field} {text!r} is in {sign}, a sign of several currencies; write the three letters of the currency "
            "beside it or in a column, or name it below"
        ),
    ),
    RowReason.NOT_WITH_UNIT: "{field} {text!r}: {why}",
    RowReason.BOX_NUMBER_REJECTED: "box {text!r} is not a box number: {why}",
    RowReason.BOX_NUMBER_UNDIVIDED: "box {text!r} may be box {digits}, or another with its check digits; "
    "write {digits} alone, or the hyphen before the check digits",
    RowReason.COPY_NUMBER_REJECTED: (
        (
            "copy {text!r} is not a copy's number: {why}; correct it, or give --map copy= to leave the column out, "
            "--map note=HEADING to keep it as a note"
        ),
        "copy {text!r} is not a copy's number: {why}; correct it, or say below that its column is not used, or a note",
    ),
    RowReason.COPY_UNKNOWN: (
        (
            "copy {copy} is not in the library; name its edition to record it (key, isbn, or its title with "
            "--map key=HEADING)"
        ),
        "copy {copy} is not in the library; name its edition to record it (key, isbn, or its title as its key)",
    ),
    RowReason.COPY_OF_ANOTHER_EDITION: "copy {copy} is a copy of {title!r}, not of edition {text!r}",
    RowReason.COPY_NOT_MOVABLE: "copy {copy} is {state}; a list moves only copies at hand or in an open box",
    RowReason.SAME_COPY: "is copy {copy}, like {unit} {earlier}",
    RowReason.NUMBER_OF_ANOTHER_TITLE: "number {number} is recorded with the title {title!r}; "
    "correct one of them, or give the row a key of its own if it is another book",
    RowReason.CELL_UNREADABLE: "{field} {text!r} is not what an export writes there",
    RowReason.NOT_AN_OWN_NUMBER: "{field} {text!r} is not an own number with its check digits",
    RowReason.SAME_RECORD: "has the {field} {text!r} again",
    RowReason.REFERENCE_MISSING: "{field} {text!r} is in no row of {file}",
    RowReason.REFERENCE_IN_A_CIRCLE: "{field} {text!r} leads back to the row itself",
    RowReason.SAME_EDITION: "is the same edition as {unit} {earlier} and says something else of it; correct one of "
    "them, or give the row a key of its own if it is another edition",
    RowReason.SAME_BOX: "names box {box} again, after line {earlier}",
    RowReason.SAME_SHELF: "names shelf {shelf} of {bookcase} again, after line {earlier}",
    RowReason.EDITION_NOT_A_NUMBER: "edition {text!r} is neither a key nor a title of the catalog, and no valid "
    "number: {why}",
    RowReason.EDITION_UNKNOWN: "edition {text} is not in the catalog; import it first",
    RowReason.EDITION_AMBIGUOUS: "edition {text} means {count} editions ({keys}); name it by its key",
    RowReason.EDITION_NAMED_TWICE: "key {key!r} is {title_0!r}, but isbn {number!r} is {title_1!r}; correct one",
    RowReason.PRINTING_UNKNOWN: "printing {printing} of {title!r} is not recorded; import the printings first",
    RowReason.BOX_UNKNOWN: "box {box} is not recorded; import it first",
    RowReason.BOX_IN_ANOTHER: "box {box} travels in consignment {reference} already; a box is in one at a time",
    RowReason.CONSIGNMENT_UNKNOWN: "consignment {text!r} is not recorded; import it first",
    RowReason.BOX_NOT_OPEN: "box {box} is {state}; only an open box takes another copy",
    RowReason.GROSS_NOT_ABOVE_TARE: "gross_g {gross} is not more than the empty box, which weighs {least}",
    RowReason.GROSS_BELOW_BOOKS: "gross_g {gross} is less than its books alone, which weigh {least} by the catalog",
    RowReason.DELIVERED_BEFORE_DISPATCH: "is dispatched on {dispatched}, after box {box} was delivered on {delivered}",
    RowReason.RECORD_TRUNCATED: "breaks off before its end; fetch the file again",
    RowReason.RECORD_NOT_A_RECORD: "is not a MARC record (it begins {start!r}); export it again",
    RowReason.RECORD_DIRECTORY: "has a directory that does not fit ({where}); export it again, or as MARCXML",
    RowReason.RECORD_ENCODING: "has characters that are not in the encoding it states ({byte}); export it as UTF-8",
    RowReason.RECORD_MIXED_ENCODINGS: "has fields in different encodings ({byte}); export it as UTF-8",
    RowReason.RECORD_TOO_LONG: "has no end within {millions} million bytes; export the file again",
    RowReason.RECORD_DELETED: "is a notice of deletion and describes no edition; leave it out",
    RowReason.RECORD_NOT_BIBLIOGRAPHIC: "is of type {type!r}, which describes no edition; leave it out",
    RowReason.RECORD_BROKEN_XML: "breaks the XML on line {at} ({why}), and nothing after it can be read; "
    "export the file again",
    RowReason.RECORD_UNKNOWN_ENTITY: "has the abbreviation {entity}, which only the file itself explains; "
    "export it with the characters themselves",
}
"""Predicates of the row, with the facts of the reason in braces."""


def bad_row_sentence(bad: BadRow, unit: str = "line") -> str:
    """Write why a row cannot be used, as a predicate of it; `unit` is what the file's rows are counted in.

    >>> bad_row_sentence(BadRow(3, RowReason.EMPTY, {"field": "title"}))
    'title is empty'
    """
    return worded(_SENTENCES[bad.reason]).format(unit=unit, **bad.facts)


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
    changes += [f"of the set {outcome.of_set!r}"] if outcome.of_set else []
    left = [
        f"{cell.field} stays {_value_words(cell.recorded)}, recorded since, though the list says "
        f"{_value_words(cell.listed)} as before"
        for cell in outcome.notes.left
    ]
    return f"{outcome.name}: {'; '.join([*changes, *left])}"


def overwritten_sentences(outcome: RowOutcome) -> list[str]:
    """Write which cells of a row take the place of what was recorded since the list was last imported.

    >>> from intake.flow.lists.lot_plan import CellNotes, LeftCell
    >>> cell = LeftCell("condition", "mended", "torn badly")
    >>> overwritten_sentences(RowOutcome(5, "Ferns", (), CellNotes(overwritten=(cell,))))
    ["Ferns: condition 'mended', recorded since the list was last imported, gives way to 'torn badly'"]
    """
    since = "recorded since the list was last imported, gives way to"
    return [
        f"{outcome.name}: {cell.field} {_value_words(cell.recorded)}, {since} {_value_words(cell.listed)}"
        for cell in outcome.notes.overwritten
    ]


def emptied_sentence(emptied: Mapping[str, int]) -> str:
    """Write how many cells are empty where something is recorded, by column.

    >>> emptied_sentence({"condition": 2, "value": 1})
    '3 empty cells: what is recorded stays (condition 2, value 1)'
    """
    by_column = ", ".join(f"{column} {count}" for column, count in emptied.items())
    return f"{counted(sum(emptied.values()), 'empty cell')}: what is recorded stays ({by_column})"


def record_counts(counts: Mapping[type[Record], int]) -> str:
    """Write how many records there are of each kind.

    >>> record_counts({BookSet: 2, Valuation: 1}), record_counts({})
    ('2 sets and 1 value', 'nothing')
    """
    words = [counted(count, _noun(kind), _PLURALS.get(kind, "")) for kind, count in counts.items() if count]
    *first, last = words or ["nothing"]
    return f"{', '.join(first)} and {last}" if first else last


_NOUNS: dict[type[Record], str] = {BookSet: "set", ConditionReport: "condition report", Valuation: "value"}
_PLURALS: dict[type[Record], str] = {Copy: "copies", Box: "boxes"}
_SILENT = {"id", "edition_id", "copy", "set_id", "printing_id", "parent", "position"}
"""Fields that are references or orders of the library's own: another record of the row, or its name, says it."""


def _change_words(change: Change) -> str:
    record = change.after or change.before
    if record is None:
        return ""
    noun = _noun(type(record))
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


def _noun(kind: type[Record]) -> str:
    return _NOUNS.get(kind, kind.__name__.lower())


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


def consigned_sentence(reference: str, boxes: Sequence[str], *, dry_run: bool) -> str:
    """Write which boxes a list puts into a consignment; of none, how to put some in."""
    if not boxes:
        how = advice(f"with 'intake consign add {reference} BOX …'", "put them into it on the page of the consignment")
        return f"This list puts no box into {reference}: name them in the column 'boxes', or {how}."
    more = f" and {len(boxes) - NAMED_BOXES} more" if len(boxes) > NAMED_BOXES else ""
    shown = ", ".join(boxes[:NAMED_BOXES]) + more
    return f"{reference} {'would get' if dry_run else 'got'} {counted(len(boxes), 'box', 'boxes')}: {shown}."
