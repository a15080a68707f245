"""The sentences in which a guess about a list, and a question about it, are shown to a person."""

from collections.abc import Iterator, Sequence

from intake.edges.exchange.table_cells import TableFacts, TableKind
from intake.edges.exchange.text_encoding import other_codecs
from intake.errors import FileError
from intake.flow.lists.column_words import ORDERS, SIDES, column_words, remark_words, unused_words
from intake.flow.lists.field_words import field_words
from intake.flow.lists.list_guess import (
    LeftOut,
    LeftOutReason,
    ListGuess,
    ListQuestion,
    QuestionKind,
    QuestionOption,
)
from intake.model.valuations import Basis
from intake.units.advice import advice
from intake.units.counts import counted

MOST_LISTED = 40
MOST_CHARACTERS = 100
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
    "big5": "Big5, Chinese",
    "euc_jp": "EUC-JP, Japanese",
    "cp949": "Windows-949, Korean",
    "cp850": "DOS 850, Western European",
    "cp852": "DOS 852, Central European",
    "cp437": "DOS 437",
}
_LEFT_OUT = {
    LeftOutReason.ABOVE: "above the headings",
    LeftOutReason.HEADINGS_AGAIN: "the headings again",
    LeftOutReason.TOTALS: "a row of totals",
    LeftOutReason.NOTE: "a note below the table",
    LeftOutReason.ASKED: "as asked",
}
_OPTIONS = {
    QuestionKind.ENCODING: "--encoding",
    QuestionKind.DECIMALS: "--decimal",
    QuestionKind.DATES: "--dates",
    QuestionKind.UNIT: "--unit",
    QuestionKind.SIZE_ORDER: "--size-order",
}


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
        field = advice(column.guess.field, field_words(column.guess.field))
        yield f"  {column.guess.heading.strip()} → {field}{column_words(column, basis)}"
        yield from (f"    {remark}" for remark in remark_words(column))
    for column in unused[:most]:
        yield f"  {unused_words(column)}"
    if len(unused) > most:
        yield f"  … and {len(unused) - most} more columns are not used{advice('; --all shows them', '')}"
    for row in guess.left_out[:most]:
        yield f"  left out, {left_out_words(row)}"
    if len(guess.left_out) > most:
        rest = counted(len(guess.left_out) - most, "more row is", "more rows are")
        yield f"  … and {rest} left out{advice('; --all shows them', '')}"


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
    return f"{place}: numbers have no unit. Which is it?"


def option_words(question: ListQuestion, option: QuestionOption) -> str:
    """Return an option with what it would make of the file."""
    if question.kind is QuestionKind.ENCODING:
        return "; ".join([codec_name(option.value), *(f"line {line}: {text}" for line, text in option.samples)])
    if question.kind is QuestionKind.SIZE_ORDER:
        name = " x ".join(SIDES[letter] for letter in option.value)
    else:
        name = ORDERS.get(option.value, option.value)
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
        why = f"has numbers without a unit in column {column!r} ({cells})"
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
