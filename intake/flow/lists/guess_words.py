"""The sentences in which a guess about a list, and a question about it, are shown to a person."""

from collections.abc import Iterator, Mapping, Sequence

from intake.edges.exchange.table_cells import TableFacts, TableKind, column_letters
from intake.edges.exchange.text_encoding import other_codecs
from intake.errors import FileError
from intake.flow.lists.column_survey import WORDS_KEPT
from intake.flow.lists.field_forms import UNITS, form_of, own_unit
from intake.flow.lists.headings import Unused
from intake.flow.lists.list_guess import (
    ColumnReading,
    LeftOut,
    LeftOutReason,
    ListGuess,
    ListQuestion,
    QuestionKind,
    QuestionOption,
    Remark,
)
from intake.model.valuations import Basis
from intake.units.advice import Advice, advice, worded
from intake.units.counts import counted

MOST_LISTED = 40
MOST_CHARACTERS = 100
MOST_WORDS = 24
SEPARATORS = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "bars"}
CODEC_NAMES = {
    "utf-8-sig": "UTF-8",
    "cp1252": "Windows-1252, Western European",
    "cp1250": "Windows-1250, Central European",
    "cp1251": "Windows-1251, Cyrillic",
    "cp1253": "Windows-1253, Greek",
    "cp1254": "Windows-1254, Turkish",
    "cp1255": "Windows-1255, Hebrew",
    "cp1257": "Windows-1257, Baltic",
    "iso8859_15": "ISO 8859-15, Western European",
    "iso8859_2": "ISO 8859-2, Central European",
    "mac_roman": "Macintosh Roman",
    "mac_latin2": "Macintosh Central European",
    "cp932": "Windows-932, Japanese",
    "gb18030": "GB 18030, Chinese",
    "cp850": "DOS 850, Western European",
    "cp852": "DOS 852, Central European",
    "cp437": "DOS 437",
}
_LEFT_OUT = {
    LeftOutReason.ABOVE: "above the headings",
    LeftOutReason.HEADINGS_AGAIN: "the headings again",
    LeftOutReason.TOTALS: "a row of totals",
    LeftOutReason.NOTE: "a note below the table",
}
_REMARKS: Mapping[Remark, str | Advice] = {
    Remark.ZERO_RESTORED: "{count} short of a leading zero, restored as the check digit proves (line {line}: {text})",
    Remark.UNIT_ASSUMED: (
        "no unit is stated (line {line}: {text}); if it is another, give --unit {field}=UNIT",
        "no unit is stated (line {line}: {text}); if it is another, choose it below",
    ),
    Remark.DECIMALS_OF_OTHERS: "{text} on line {line} is read with a decimal {decimals}, as other columns have it",
    Remark.DATES_OF_OTHERS: "{text} on line {line} is read {dates}, as other columns have it",
    Remark.BESIDE_NUMBER: "{count} with more than a number, of which the number alone is read (line {line}: {text})",
    Remark.YEAR_READ: "{count} with more than a year, of which the (first) year is read (line {line}: {text})",
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
    Remark.LINE_BREAKS: "{count} with line breaks, which are taken out (line {line}: {text})",
    Remark.SHEET_NAMED: "{count} named as sheets of ISO 216 and taken for upright ones (line {line}: {text})",
    Remark.PAGES_ADDED: "{count} of several sequences, added up (line {line}: {text})",
    Remark.TEXT_OF_FORMULA: "{count} written as a formula and read as text (line {line}: {text})",
}
_ORDERS = {"dmy": "day before month", "mdy": "month before day"}
_OPTIONS = {
    QuestionKind.ENCODING: "--encoding",
    QuestionKind.DECIMALS: "--decimal",
    QuestionKind.DATES: "--dates",
    QuestionKind.UNIT: "--unit",
    QuestionKind.SIZE_ORDER: "--size-order",
}
_SIDES = {"h": "height", "w": "width", "t": "thickness"}


def codec_name(codec: str) -> str:
    """Return how an encoding is called; its Python name where no other is known."""
    return CODEC_NAMES.get(codec, codec.upper().replace("_", "-"))


def guess_lines(file: str, guess: ListGuess, *, show_all: bool = False) -> Iterator[str]:
    """Yield what was found and guessed, one line for each column and row; of many only the first and a count."""
    most = max(len(guess.columns), len(guess.left_out)) if show_all else MOST_LISTED
    yield f"{file}: {form_words(guess.facts)}, headings on line {guess.header_line}, {counted(guess.rows, 'row')}"
    yield from (f"  {fact}" for fact in _facts(guess.facts))
    used = [column for column in guess.columns if column.guess.field]
    has_bases = any(column.guess.field == "basis" for column in used)
    unused = [column for column in guess.columns if not column.guess.field and (column.filled or column.guess.heading)]
    for column in used:
        basis = "" if has_bases or column.guess.field != "value" else column.guess.basis or Basis.REPLACEMENT
        yield f"  {column.guess.heading.strip()} → {column.guess.field}{_how(column, basis)}"
        yield from (f"    {remark}" for remark in _remarks(column))
    for column in unused[:most]:
        yield f"  {_unused(column)}"
    if len(unused) > most:
        yield f"  … and {len(unused) - most} more columns are not used; --all shows them"
    for row in guess.left_out[:most]:
        yield f"  left out, {left_out_words(row)}"
    if len(guess.left_out) > most:
        rest = counted(len(guess.left_out) - most, "more row is", "more rows are")
        yield f"  … and {rest} left out; --all shows them"


def left_out_words(row: LeftOut) -> str:
    """Return why a row is left out, its line and its text."""
    return f"{_LEFT_OUT[row.reason]}: line {row.line}, {row.text!r}"


def question_words(question: ListQuestion) -> str:
    """Return a question as a sentence."""
    if question.kind is QuestionKind.ENCODING:
        return f"{question.file}: the letters of these lines can be read in more than one way. Which is right?"
    place = f"{question.file}, column {question.heading.strip()!r}"
    if question.kind is QuestionKind.DECIMALS:
        return f"{place}: what stands before the decimals?"
    if question.kind is QuestionKind.DATES:
        return f"{place}: which comes first, day or month?"
    if question.kind is QuestionKind.SIZE_ORDER:
        return f"{place}: in which order do the sizes stand?"
    return f"{place}: no unit is stated. Which is it?"


def option_words(question: ListQuestion, option: QuestionOption) -> str:
    """Return an option with what it would make of the file."""
    if question.kind is QuestionKind.ENCODING:
        return "; ".join([codec_name(option.value), *(f"line {line}: {text}" for line, text in option.samples)])
    if question.kind is QuestionKind.SIZE_ORDER:
        name = " x ".join(_SIDES[letter] for letter in option.value)
    else:
        name = _ORDERS.get(option.value, option.value)
    samples = ", ".join(f"{text} on line {line}" for line, text in option.samples)
    return f"{name} ({samples})" if samples else name


def unanswered(question: ListQuestion) -> FileError:
    """Return the error for a question that nobody answered: it names the option that answers it."""
    values = [option.value for option in question.options]
    shown = "|".join(values)
    if question.kind is QuestionKind.ENCODING:
        lines = "; ".join(
            f"as {option.value}, line {line}: {text}"
            for option in question.options
            for line, text in option.samples[:1]
        )
        why = f"can be read in more than one way ({lines})"
        return FileError(question.file, why, f"say which with --encoding {shown}")
    option, column = _OPTIONS[question.kind], question.heading.strip()
    samples = next((found.samples for found in question.options if found.samples), ())
    cells = ", ".join(f"{text!r} on line {line}" for line, text in samples)
    if question.kind is QuestionKind.UNIT:
        why = f"states no unit for column {column!r} ({cells})"
        return FileError(question.file, why, f"say which with --unit {question.field}={shown}")
    if question.kind is QuestionKind.SIZE_ORDER:
        why = f"does not tell in which order the sizes of column {column!r} stand ({cells})"
        cure = f"say with {option} {shown}, h for height, w for width, t for thickness"
        return FileError(question.file, why, cure)
    seen = [f"{text!r} on line {line}" for found in question.options for line, text in found.samples]
    what = "decimals" if question.kind is QuestionKind.DECIMALS else "days"
    why = f"has {what} in column {column!r} that can be read in two ways ({', '.join(dict.fromkeys(seen))})"
    return FileError(question.file, why, f"say which with {option} {shown}")


def _facts(facts: TableFacts) -> Iterator[str]:
    """Yield what was found in the file beside the list."""
    if facts.letters:
        how = advice("give --encoding", "name the encoding below")
        yield f"if these letters are wrong, {how}: {facts.letters[:MOST_CHARACTERS]}"
    if facts.other_sheets:
        others = ", ".join(repr(name) for name in facts.other_sheets)
        how = advice("name one with --sheet", "choose one below")
        yield f"not read: sheets {others}; {how} to read it instead"
    if computed := facts.formulas - facts.without_value:
        yield f"formulas: {computed}, of which the values last computed are read"
    if facts.without_value:
        cure = "open the file in a spreadsheet program and save it there"
        yield f"formulas without a value: {_cells(facts.without_value, facts.uncomputed)}, read as empty; {cure}"
    if facts.errors:
        yield f"failed formulas: {_cells(facts.errors, facts.failed)}, read as empty"
    if facts.merged:
        more = " …" if facts.merged_count > len(facts.merged) else ""
        yield f"merged cells, the text counts for the first only: {', '.join(facts.merged)}{more}"
    elif facts.merged_count:
        yield f"merged cells: {facts.merged_count} in all sheets, the text counts for the first of each only"


def _cells(count: int, named: Sequence[str]) -> str:
    """Return a count of cells with their names, and a mark where there are others, also in other sheets.

    >>> _cells(2, ["B2", "C2"]), _cells(3, ["B2"]), _cells(1, [])
    ('2 (B2, C2)', '3 (B2 …)', '1')
    """
    more = " …" if count > len(named) else ""
    return f"{count} ({', '.join(named)}{more})" if named else f"{count}"


def form_words(facts: TableFacts) -> str:
    """Return what a file was read as."""
    if facts.kind is TableKind.TEXT:
        return f"CSV in {codec_name(facts.codec)}, separated by {SEPARATORS[facts.delimiter]}"
    return f"{facts.kind.value}, sheet {facts.sheet!r}"


def letters_cure(facts: TableFacts) -> str:
    """Return what to do if the letters of a text file are wrong; empty where its encoding is certain.

    >>> letters_cure(TableFacts(TableKind.TEXT, codec="gb18030", delimiter=","))
    '; if these letters are wrong, name the encoding, such as --encoding cp932, big5, euc_jp or cp949'
    """
    others = other_codecs(facts.codec) if facts.kind is TableKind.TEXT else ()
    if not others:
        return ""
    option = advice("--encoding ", "")
    return f"; if these letters are wrong, name the encoding, such as {option}{', '.join(others[:-1])} or {others[-1]}"


def _how(column: ColumnReading, basis: str) -> str:
    parts = []
    if column.unit and column.unit != own_unit(column.guess.field):
        parts.append(f"from {column.unit}")
    elif Remark.UNIT_ASSUMED in column.remarks and form_of(column.guess.field) in UNITS:
        parts.append(f"taken as {column.unit}")
    if column.decimals is not None and column.decimals.value == "comma":
        parts.append("decimal comma")
    if column.dates is not None:
        parts.append(_ORDERS[column.dates.value])
    if column.order is not None:
        parts.append(" x ".join(_SIDES[letter] for letter in column.order))
    if column.guess.currency:
        parts.append(f"in {column.guess.currency}")
    if basis:
        parts.append(f"as the {basis} value")
    return f" ({', '.join(parts)})" if parts else ""


def _remarks(column: ColumnReading) -> Iterator[str]:
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
            field=column.guess.field,
            decimals=column.decimals.value if column.decimals else "",
            dates=_ORDERS[column.dates.value] if column.dates else "",
        )


def _unused(column: ColumnReading) -> str:
    guess = column.guess
    name = f"column {column_letters(guess.place)}" if not guess.heading.strip() or guess.is_duplicate else ""
    heading = " ".join(filter(None, (guess.heading.strip(), f"({name})" if name and guess.heading.strip() else name)))
    cells = counted(column.filled, "cell")
    if guess.unused is Unused.FIELD_TAKEN:
        why = f"the field is taken from {guess.other.strip()!r}" if guess.other else "as asked"
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
        why = "its heading is not understood; " + advice("--map FIELD=HEADING says what it is", "say below what it is")
    return f"{heading}: NOT USED ({cells}), {why}"
