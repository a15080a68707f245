"""Open a person's list of any form: the file told by its content, its columns guessed, its cells ready to be imported.

The file is read twice: once to see where the list is and what its cells prove, once for its rows. What cannot be told
is asked through `choose`; nothing is stored by a silent guess.
"""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from intake.edges.exchange.list_file import open_table, table_kind, text_encoding
from intake.edges.exchange.table_cells import RawRow, RawTable, TableKind
from intake.errors import FileError, UsageError
from intake.flow.lists.cell_conversion import ConvertedRows
from intake.flow.lists.column_survey import ColumnSurvey
from intake.flow.lists.columns import ListColumn
from intake.flow.lists.conventions import Conventions
from intake.flow.lists.guess_words import form_words, letters_cure, unanswered
from intake.flow.lists.headings import ColumnGuess, Unused, check_required, guess_columns
from intake.flow.lists.list_guess import (
    ChooseReading,
    LeftOut,
    LeftOutReason,
    ListGuess,
    ListQuestion,
    ListReading,
    QuestionKind,
    QuestionOption,
    SeeColumns,
)
from intake.flow.lists.table_layout import BodySurvey, Headings, find_headings, is_filled, left_out
from intake.flow.lists.told_by_cells import is_free, other_field
from intake.flow.lists.unused_columns import with_other_list, with_second_imports
from intake.units.advice import advice

MOST_ROWS = 1_048_576
"""As many as a sheet of a workbook has; what is known of each row of a list is kept until the last."""
SINGLE_CELLS_ODD = "editions"
"""The list in which a row of one cell is odd; a box or a copy may well be known by its number alone."""


@dataclass(frozen=True, slots=True)
class OpenedList:
    """A list that is ready to be imported: what was guessed of it, and its rows by field."""

    guess: ListGuess
    rows: ConvertedRows


OtherList = tuple[str, Sequence[ListColumn]]
"""The name of a list, and its fields."""


def nobody(_question: ListQuestion) -> str | None:
    """Answer no question: the default where no person is there."""
    return None


@contextmanager
def open_list(
    path: Path,
    kind: str,
    columns: Sequence[ListColumn],
    *,
    reading: ListReading | None = None,
    choose: ChooseReading = nobody,
    see: SeeColumns | None = None,
    beside: OtherList | None = None,
    today: date,
) -> Iterator[OpenedList]:
    """Open a list until the end of the block.

    Args:
        path: the file.
        kind: of the list, such as "editions".
        columns: the fields that it may have.
        reading: what the person has said of it.
        choose: asks the person.
        see: is told the columns, before it is known whether the list can be used.
        beside: the list that is often kept in the same table, for the columns that are understood there.
        today: for years that are yet to come.

    Raises:
        FileError: the file cannot be read, has no column for a required field, or something has to be asked and nobody
            answers.
        UsageError: a field, heading, unit or encoding was named that does not exist.
    """
    reading = reading or ListReading()
    form = table_kind(path)
    codec = _encoding(path, columns, reading, choose) if form is TableKind.TEXT else ""
    with open_table(path, form, codec=codec, sheet=reading.sheet) as table:
        yield _prepare(table, kind, columns, reading, choose, see=see, beside=beside, today=today)


def _encoding(path: Path, columns: Sequence[ListColumn], reading: ListReading, choose: ChooseReading) -> str:
    found = text_encoding(path, reading.encoding)
    if isinstance(found, str):
        return found
    known = {choice.codec: _known_headings(path, choice.codec, columns, reading) for choice in found}
    ranked = sorted(found, key=lambda choice: known[choice.codec], reverse=True)
    options = tuple(QuestionOption(choice.codec, choice.lines) for choice in ranked)
    question = ListQuestion(QuestionKind.ENCODING, path.name, "", "", options)
    answer = choose(question)
    if answer is None:
        raise unanswered(question)
    codec = text_encoding(path, answer)
    assert isinstance(codec, str)  # noqa: S101 - an encoding that is named is never in doubt
    return codec


def _known_headings(path: Path, codec: str, columns: Sequence[ListColumn], reading: ListReading) -> int:
    """Return how many headings are understood in one decoding: a reason to offer it first, none to take it."""
    try:
        with open_table(path, TableKind.TEXT, codec=codec) as table:
            headings = find_headings(table, columns, file=path.name, mapping=reading.mapping)
            guesses = guess_columns(headings.texts, columns, file=path.name, mapping=reading.mapping)
    except (FileError, UsageError):
        return 0
    return sum(bool(guess.field) for guess in guesses)


def _prepare(
    table: RawTable,
    kind: str,
    columns: Sequence[ListColumn],
    reading: ListReading,
    choose: ChooseReading,
    *,
    see: SeeColumns | None,
    beside: OtherList | None,
    today: date,
) -> OpenedList:
    file = table.path.name
    headings = find_headings(table, columns, file=file, mapping=reading.mapping)
    if see is not None:
        see([ColumnGuess(place, heading) for place, heading in enumerate(headings.texts)])

    def surveyed(told: Mapping[str, str]) -> _Survey:
        """Guess the columns, some of them as told by their cells, and look at the rows."""
        mapping = {**reading.mapping, **told}
        guesses = guess_columns(headings.texts, columns, file=file, mapping=mapping)
        guesses = tuple(replace(guess, by_cells=guess.field in told) for guess in guesses)
        if see is not None:
            see(guesses)
        check_required(guesses, columns, file=file, form=form_words(table.facts), letters=letters_cure(table.facts))
        guesses = with_second_imports(guesses)
        if beside is not None:
            guesses = with_other_list(guesses, *beside)
        survey = _Survey(headings, guesses, columns, reading, has_loose_columns=table.facts.kind is not TableKind.TEXT)
        survey.read(table)
        return survey

    survey = surveyed({})
    if told := _told_by_cells(survey.columns, columns, reading):
        survey = surveyed(told)
    readings = Conventions(survey.columns, reading, choose, file=file, kind=kind).decide()
    rows = ConvertedRows(
        table,
        readings,
        header_line=headings.line,
        width=len(headings.texts),
        skipped=frozenset(survey.left_out),
        lone=survey.lone if kind == SINGLE_CELLS_ODD else frozenset(),
        reading=reading,
        cut=survey.cut_line() if table.facts.ends_in_line else None,
        kind=kind,
        today=today,
    )
    left_out = (*headings.above, *sorted(survey.left_out.values(), key=lambda row: row.line))
    return OpenedList(ListGuess(table.facts, headings.line, readings, left_out, survey.rows), rows)


def _told_by_cells(
    surveys: Sequence[ColumnSurvey], columns: Sequence[ListColumn], reading: ListReading
) -> Mapping[str, str]:
    """Return the columns whose cells tell another field than their headings, by that field, as a person names them."""
    fields = {column.field for column in columns} - reading.mapping.keys()
    used = {survey.guess.field for survey in surveys}
    told: dict[str, str] = {}
    for survey in surveys:
        guess = survey.guess
        other = other_field(guess.field, survey.of_other, survey.filled)
        if guess.field not in reading.mapping and is_free(other, fields, used):
            told[other] = f"column {guess.letters}"
    return told


class _Survey:
    """The first reading of a table, from its headings on."""

    def __init__(
        self,
        headings: Headings,
        guesses: Sequence[ColumnGuess],
        columns: Sequence[ListColumn],
        reading: ListReading,
        *,
        has_loose_columns: bool,
    ) -> None:
        self.columns = [ColumnSurvey(guess) for guess in guesses]
        self.lone: frozenset[int] = frozenset()
        self.left_out: dict[int, LeftOut] = {}
        self.rows = 0
        self._widths: Counter[int] = Counter()
        self._last = (0, 0)
        self._places_alone: dict[int, int] = {}
        self._headings = headings
        self._reading = reading
        self._has_loose_columns = has_loose_columns
        required = {column.field for column in columns if column.required}
        self._required = {guess.place for guess in guesses if guess.field in required}
        self._number_place = next((guess.place for guess in guesses if guess.field in ("number", "isbn")), None)

    def read(self, table: RawTable) -> None:
        """Look at every row below the headings."""
        body = BodySurvey(self._headings, self._number_place, self._required)
        width = len(self._headings.texts)
        for row in table:
            if row.line <= self._headings.line:
                continue
            if row.line in self._reading.leave_out:
                self.left_out[row.line] = left_out(row, LeftOutReason.ASKED)
            elif body.add(row) or self._reading.takes(row.line):
                width = self._take(row, width, table)
        self._check_asked(table)
        self.lone = body.finish()
        self.left_out |= {line: row for line, row in body.left_out.items() if not self._reading.takes(line)}
        notes = [row for row in body.notes if row.line in self.left_out]
        self.rows -= len(notes)
        of_notes = Counter(self._places_alone.get(note.line) for note in notes)
        for column in self.columns:
            column.filled -= of_notes[column.guess.place]

    def _check_asked(self, table: RawTable) -> None:
        """Refuse a line to be left out that has no row."""
        if unseen := sorted(self._reading.leave_out - self.left_out.keys()):
            cure = advice("write for example --leave-out 14, with a line that has a row", "name a line that has a row")
            raise UsageError(f"Line {unseen[0]}", f"is no row of the list in {table.path.name}", cure)

    def cut_line(self) -> int | None:
        """Return the line of the last row where it has fewer cells than the headings and most other rows."""
        line, cells = self._last
        others = self._widths - Counter([cells])
        usual = max(others, key=lambda width: (others[width], width), default=cells + 1)
        is_short = cells < min(usual, len(self._headings.texts)) and line not in self.left_out
        return line if is_short else None

    def _take(self, row: RawRow, width: int, table: RawTable) -> int:
        """Look at a row of the list; return the count of columns that are known by now."""
        self.rows += 1
        self._widths[len(row.cells)] += 1
        self._last = (row.line, len(row.cells))
        if self.rows > MOST_ROWS:
            cure = "divide it into several files, each with the headings, and give them in turn"
            raise FileError(str(table.path), f"has more than {MOST_ROWS:,} rows", cure)
        if self._has_loose_columns:
            for place in range(width, len(row.cells)):
                self.columns.append(ColumnSurvey(ColumnGuess(place, "", unused=Unused.NO_HEADING)))
            width = max(width, len(row.cells))
        places: set[int] = set()  # a column may fill several fields
        for column in self.columns:
            place = column.guess.place
            if place < len(row.cells) and is_filled(cell := row.cells[place]):
                column.add(row.line, cell, row.signs.get(place, ""))
                places.add(place)
        if len(places) == 1:  # perhaps a note, which only the rows below tell
            self._places_alone[row.line] = places.pop()
        return width
