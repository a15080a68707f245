"""The sentences about one column of a list: how it is read, what is assumed of its cells, why it is not used."""

from collections.abc import Iterator, Mapping
from shlex import quote

from intake.edges.exchange.table_cells import column_letters
from intake.flow.lists.column_survey import WORDS_KEPT
from intake.flow.lists.field_forms import UNITS, form_of, own_unit
from intake.flow.lists.headings import Unused
from intake.flow.lists.list_guess import ColumnReading, Remark
from intake.units.advice import Advice, advice, worded
from intake.units.counts import counted

MOST_WORDS = 24
_REMARKS: Mapping[Remark, str | Advice] = {
    Remark.ZERO_RESTORED: "{count} short of a leading zero, restored as the check digit proves (line {line}: {text})",
    Remark.UNIT_ASSUMED: (
        "no unit is stated (line {line}: {text}); if it is another, give --unit {field}=UNIT",
        "no unit is stated (line {line}: {text}); if it is another, choose it below",
    ),
    Remark.DECIMALS_MIXED: "mixes decimal commas and points ({text}): each is read by its own mark",
    Remark.DATES_MIXED: "mixes days before months and months before days ({text}): each is read as it alone can be",
    Remark.DECIMALS_OF_OTHERS: "{text} on line {line} is read with a decimal {decimals}, as other columns have it",
    Remark.DATES_OF_OTHERS: "{text} on line {line} is read {dates}, as other columns have it",
    Remark.BESIDE_NUMBER: "{count} with more than a number, of which the number alone is read (line {line}: {text})",
    Remark.NUMBERS_IN_KEYS: (
        (
            "{count} valid as ISBN or EAN (line {line}: {text}), taken as number too, for no column is one of numbers; "
            "--map number= leaves number empty"
        ),
        "{count} valid as ISBN or EAN (line {line}: {text}), taken as number too, for no column is one of numbers",
    ),
    Remark.KEYS_ALONE: "{count} not valid as ISBN or EAN (line {line}: {text}), taken as key alone",
    Remark.YEAR_READ: "{count} with more than a year, of which the (first) year is read (line {line}: {text})",
    Remark.YEAR_OTHERWISE: "{count} in Roman figures or of an era of Japan (line {line}: {text})",
    Remark.YEAR_UNTOLD: "{count} without a year, left empty (line {line}: {text})",
    Remark.ORDER_ASSUMED: (
        (
            "taken as height x width x thickness, as books are described (line {line}: {text}); if the order is "
            "another, give --size-order"
        ),
        (
            "taken as height x width x thickness, as books are described (line {line}: {text}); if the order is "
            "another, choose it below"
        ),
    ),
    Remark.LANGUAGE_KEPT: "{count} not known as name or code of one language, kept as written (line {line}: {text})",
    Remark.LINE_BREAKS: "{count} with line breaks, which are taken out (line {line}: {text})",
    Remark.SHEET_NAMED: "{count} named as sheets of ISO 216 and taken for upright ones (line {line}: {text})",
    Remark.GRADES_AS_TEXT: (
        (
            "{count} of {filled} are grades of the trade, kept as text; none, first on line {line}: {text}; to keep "
            "them as grades, correct these and give --map {grade}"
        ),
        (
            "{count} of {filled} are grades of the trade, kept as text; none, first on line {line}: {text}; to keep "
            "them as grades, correct these and say below that the column is the grade"
        ),
    ),
    Remark.ORDINALS: "{count} written as ordinals (line {line}: {text})",
    Remark.PAGES_ADDED: "{count} of several sequences, added up (line {line}: {text})",
    Remark.TEXT_OF_FORMULA: "{count} written as a formula and read as text (line {line}: {text})",
}
ORDERS = {"dmy": "day before month", "mdy": "month before day"}
SIDES = {"h": "height", "w": "width", "t": "thickness"}


def column_words(column: ColumnReading, basis: str) -> str:
    """Return how a column is read, in brackets; empty where there is nothing to say."""
    parts = ["as its cells are"] if column.guess.by_cells else []
    if column.unit and column.unit != own_unit(column.guess.field):
        parts.append(f"from {column.unit}")
    elif Remark.UNIT_ASSUMED in column.remarks and form_of(column.guess.field) in UNITS:
        parts.append(f"taken as {column.unit}")
    if column.decimals is not None and column.decimals.value == "comma":
        parts.append("decimal comma")
    if column.dates is not None:
        parts.append(ORDERS[column.dates.value])
    if column.order is not None:
        parts.append(" x ".join(SIDES[letter] for letter in column.order))
    if column.guess.currency:
        parts.append(f"in {column.guess.currency}")
    if basis:
        parts.append(f"as the {basis} value")
    return f" ({', '.join(parts)})" if parts else ""


def remark_words(column: ColumnReading) -> Iterator[str]:
    """Yield what was done to cells of a column, or assumed of them."""
    if column.currencies:
        signs = ", ".join(f"{sign} {count}" for sign, count in sorted(column.currencies.items()))
        yield f"currencies in which cells are formatted: {signs}"
    if column.words:
        shown = [f"{text} as {read or 'empty'}" for text, read in column.words.items()]
        least = "at least " if len(shown) >= WORDS_KEPT else ""
        more = f" and {least}{len(shown) - MOST_WORDS} more" if len(shown) > MOST_WORDS else ""
        yield f"read: {', '.join(shown[:MOST_WORDS])}{more}"
    for remark, (line, text) in column.remarks.items():
        yield worded(_REMARKS[remark]).format(
            line=line,
            text=text,
            count=column.counts.get(remark, 1),
            filled=column.filled,
            grade=quote(f"grade={column.guess.heading.strip()}"),
            field=column.guess.field,
            decimals=column.decimals.value if column.decimals else "",
            dates=ORDERS[column.dates.value] if column.dates else "",
        )


def unused_words(column: ColumnReading) -> str:
    """Return why a column is not used."""
    guess = column.guess
    name = f"column {column_letters(guess.place)}" if not guess.heading.strip() or guess.is_duplicate else ""
    heading = " ".join(filter(None, (guess.heading.strip(), f"({name})" if name and guess.heading.strip() else name)))
    cells = counted(column.filled, "cell")
    if guess.unused is Unused.FIELD_TAKEN:
        why = f"the field is taken from {guess.other.strip()!r}" if guess.other else "as asked"
        if guess.again:
            options = " ".join(f"--map {quote(pair)}" for pair in guess.again)
            columns = " and ".join(
                pair.replace("=", " from ") if pair[-1] != "=" else f"no {pair[:-1]}" for pair in guess.again
            )
            how = advice(f"with {options}", f"and take {columns} below")
            why += f"; to keep both, import the file again {how}"
    elif guess.unused is Unused.DAY_OF_PURCHASE:
        why = "it is the day of a purchase, and the value is not what was paid"
    elif guess.unused is Unused.OTHER_LIST:
        why = f"it is a column of a list of {guess.other}: import the file as {guess.other} too"
    elif guess.unused is Unused.AMBIGUOUS:
        why = f"it may be {guess.other}; " + advice(
            f"say which with --map FIELD={guess.heading.strip()}", "say which below"
        )
    elif guess.unused is Unused.NO_HEADING:
        why = "it has no heading"
    else:
        why = "its heading is not understood; " + advice(
            "--map FIELD=HEADING says what it is", "choose below what it is, if one of the choices fits"
        )
    return f"{heading}: NOT USED ({cells}), {why}"
