"""The sentences that a person is shown of a row of a list that cannot be used."""

from collections.abc import Mapping

from intake.flow.lists.field_words import KEY_OR_TITLE
from intake.flow.lists.reasons import BadRow, RowReason
from intake.units.advice import Advice, worded

_SENTENCES: Mapping[RowReason, str | Advice] = {
    RowReason.TOO_MANY_CELLS: "has {cells} cells under {columns} column names",
    RowReason.EMPTY: "{field} is empty",
    RowReason.NO_EDITION_NAMED: (
        "key and isbn are empty: name the edition, also by its title (--map key=HEADING)",
        f"names no edition: choose “{KEY_OR_TITLE}” below for the column that says which book it is",
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
    RowReason.NUMBER_AMBIGUOUS: "number {text!r}: {why} ({numbers}); write the one that is meant",
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
            "has one cell, {text!r}: a heading between the rows, or a book of which no more is known; leave a heading "
            "out with --leave-out {line}, take a title with --as-is {line}"
        ),
        (
            "has one cell, {text!r}: a heading between the rows, or a book of which no more is known; take it as it "
            "is, or leave the row out"
        ),
    ),
    RowReason.CUT_SHORT: (
        (
            "breaks off: the file ends in it, without a line end, after {cells} of {columns} cells; fetch or save the "
            "file again, or if the row is whole, take it with --as-is {line}"
        ),
        (
            "breaks off: the file ends in it, without a line end, after {cells} of {columns} cells; fetch or save the "
            "file again, or if the row is whole, take it as it is"
        ),
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
            'correct it, or keep the column as text with --map "{spare}={heading}"'
        ),
        (
            "{field} {text!r} is none of the trade's grades ({words}), nor their letters or a word that says the same; "
            "correct it, or say below that its column is the {spare}, to keep it as text"
        ),
    ),
    RowReason.GRADE_NOT_KEPT: (
        (
            "{field} {text!r} is none of the trade's grades ({words}), nor their letters or a word that says the same; "
            "correct it, or leave such cells empty with --empty-bad-cells, the column out with --map {field}="
        ),
        (
            "{field} {text!r} is none of the trade's grades ({words}), nor their letters or a word that says the same; "
            "correct it, or say below that such cells are left empty, or that its column is not used"
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
    RowReason.BOX_NUMBER_REJECTED: "box {text!r}: {why}",
    RowReason.BOX_NUMBER_NONE: "box {text!r} is not a box number; write its digits, such as 12, or its number, B1-56",
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
        "copy {copy} is not in the library; name its edition to record it (key, isbn, or its title: choose “"
        + KEY_OR_TITLE
        + "” below for that column)",
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
    RowReason.SAME_EDITION: "is the same edition as {unit} {earlier}, but says {field} {text!r} where that says "
    "{other!r}; correct one of them, or give the row a key of its own if it is another edition",
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
    RowReason.FUTURE_DISPATCH: "dispatched {day} is in the future",
    RowReason.DELIVERED_BEFORE_DISPATCH: "is dispatched on {dispatched}, after box {box} was delivered on {delivered}",
    RowReason.RECORD_TRUNCATED: "breaks off before its end; fetch the file again",
    RowReason.RECORD_NOT_A_RECORD: "is not a MARC record (it begins {start!r}); export it again",
    RowReason.RECORD_DIRECTORY: "cannot be taken apart: its list of fields does not fit what follows ({where}); "
    "export it again, or as MARCXML",
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
