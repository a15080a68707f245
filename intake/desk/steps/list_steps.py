"""A person's list brought in: chosen, looked at with every guess and every column not understood, then imported."""

from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path

from intake.desk.desk_startup import LibraryReader
from intake.desk.steps.list_fields import COLUMN, NOT, UNIT, guess_fields, row_fields
from intake.desk.steps.second_list import second_list
from intake.desk.steps.step_record import (
    UPLOAD,
    DeskStep,
    FieldKind,
    StepContext,
    StepField,
    StepGroup,
    StepOutcome,
)
from intake.errors import IntakeError, UsageError
from intake.flow.lists.field_words import field_words
from intake.flow.lists.guess_words import guess_lines, option_words, question_words
from intake.flow.lists.headings import ColumnGuess
from intake.flow.lists.import_file import ListAudience, import_file
from intake.flow.lists.import_list import COLUMNS, ImportResult, ListKind
from intake.flow.lists.import_words import import_lines
from intake.flow.lists.list_guess import ColumnReading, ListGuess, ListQuestion, ListReading, QuestionKind
from intake.flow.lists.reasons import RowReason
from intake.flow.lists.size_orders import SizeOrder
from intake.units.counts import counted
from intake.units.written_days import DayOrder
from intake.units.written_numbers import DecimalMark

ROWS_SHOWN = 200
KINDS = (
    (ListKind.EDITIONS, "A catalog: a row for each edition"),
    (ListKind.COPIES, "Box lists or an inventory: a row for each copy, with its box, state and value"),
    (ListKind.PLACES, "Rooms, bookcases and shelves: a row for each shelf"),
    (ListKind.BOXES, "Sizes, masses and seals of boxes"),
    (ListKind.CONSIGNMENT, "Consignments: who sends which boxes to whom"),
    (ListKind.PRINTINGS, "Printings: what distinguishes the printings of an edition"),
)
THEN = {
    ListKind.EDITIONS: (("/steps/import?kind=copies", "Bring a list of copies"), ("/catalog", "The catalog")),
    ListKind.COPIES: (("/boxes", "Boxes"), ("/start", "First steps")),
    ListKind.PLACES: (
        ("/papers?paper=shelf-labels#chosen", "Print the labels of the shelves"),
        ("/shelves", "Shelves"),
    ),
}


@dataclass
class _Person:
    """Who is shown the guess; a question is kept for the page instead of being answered."""

    guess: ListGuess | None = None
    columns: Sequence[ColumnReading] = ()
    questions: list[ListQuestion] = field(default_factory=list)

    def show(self, guess: ListGuess) -> None:
        self.guess, self.columns = guess, guess.columns

    def see(self, columns: Sequence[ColumnGuess]) -> None:
        self.columns = [ColumnReading(column) for column in columns]

    def choose(self, question: ListQuestion) -> str | None:
        self.questions.append(question)
        return None


def _first_fields(_records: LibraryReader, _values: Mapping[str, str]) -> tuple[StepField, ...]:
    return (
        StepField(
            name="kind",
            label="What the rows of the list are",
            kind=FieldKind.CHOICE,
            choices=tuple((kind.value, words) for kind, words in KINDS),
            required=True,
            hint=(
                "A table of titles that also has boxes, states or values is brought twice, the same file each time: "
                "as a catalog first, then as copies."
            ),
        ),
        StepField(
            name="file",
            label="The file",
            kind=FieldKind.FILE,
            required=True,
            hint="A table (CSV of any kind, XLSX, XLS, ODS), or records of MARC 21, MARCXML or ONIX for Books.",
        ),
    )


def _import(context: StepContext) -> StepOutcome:
    kind, path, person = _kind(context), _file(context), _Person()
    try:
        result = _imported(context, kind, path, person, _reading(context))
    except IntakeError as error:
        if not context.is_look:
            raise
        return _asks(context, kind, person) if person.questions else _refused(context, kind, person, error)
    return _outcome(context, kind, person, result)


def _imported(context: StepContext, kind: ListKind, path: Path, person: _Person, reading: ListReading) -> ImportResult:
    return import_file(
        context.library,
        kind,
        path,
        reading=reading,
        audience=ListAudience(person.choose, person.show, person.see),
        dry_run=context.is_look,
        skip_bad_rows=context.flag("skip_bad_rows"),
        by_row=context.flag("by_row"),
        station=context.station,
        today=context.today,
    )


def _refused(context: StepContext, kind: ListKind, person: _Person, error: IntakeError) -> StepOutcome:
    """Show why a list cannot be used, with everything that can be said of it, and all that was said.

    Raises:
        IntakeError: the error itself, where the file is not even a table.
    """
    if not person.columns:  # what was said is wrong by itself: what the columns are without it
        with suppress(IntakeError):
            _imported(context, kind, _file(context), person, ListReading(sheet=context.text("sheet")))
    if not person.columns:
        raise error
    return StepOutcome(error=error, fields=_all_fields(context, kind, person))


def _kind(context: StepContext) -> ListKind:
    kind = context.choice("kind", ListKind)
    if kind is None:
        raise UsageError("The list", "does not say what its rows are", "choose it")
    return kind


def _file(context: StepContext) -> Path:
    files = context.files.get("file", ())
    if not files:
        raise UsageError("The file", "is missing", "choose it")
    return files[0]


def _reading(context: StepContext) -> ListReading:
    """Return what the person has said of the list on the page."""
    values = context.values
    fields = _fields(context)
    mapping: dict[str, str] = {}
    for name, value in values.items():
        if name.startswith(COLUMN) and value.removeprefix(NOT) in fields:
            if value.startswith(NOT):
                mapping.setdefault(value.removeprefix(NOT), "")
            elif mapping.get(value):
                both = f"is chosen for {mapping[value]} and for column {name.removeprefix(COLUMN)}"
                raise UsageError(f"The field {value!r}", both, "choose it for one of them", field=name)
            else:
                mapping[value] = f"column {name.removeprefix(COLUMN)}"
    return ListReading(
        mapping=mapping,
        units={name.removeprefix(UNIT): value for name, value in values.items() if name.startswith(UNIT)},
        encoding=context.text("encoding"),
        sheet=context.text("sheet"),
        decimals=context.choice("decimals", DecimalMark),
        dates=context.choice("dates", DayOrder),
        size_order=context.choice("size_order", SizeOrder),
        as_is=_lines(context, "as_is"),
        leave_out=_lines(context, "leave_out"),
        all_as_is=context.flag("all_as_is"),
        empty_bad_cells=context.flag("empty_bad_cells"),
    )


def _fields(context: StepContext) -> frozenset[str]:
    return frozenset(column.field for column in COLUMNS[_kind(context)])


def _dropped(context: StepContext) -> Iterator[str]:
    """Yield what was said of columns as another kind of list, and does not hold of this one."""
    for name, value in context.values.items():
        field = value.removeprefix(NOT)
        if name.startswith(COLUMN) and field and field not in _fields(context):
            said = f"What was said of column {name.removeprefix(COLUMN)} (“{field_words(field)}”)"
            yield f"{said} is dropped: this kind of list has no such field."


def _lines(context: StepContext, name: str) -> frozenset[int]:
    lines = context.words(name)
    if bad := next((line for line in lines if not line.isdecimal()), None):
        raise UsageError(f"The line {bad!r}", "is not a number of a line", "write it like 14", field=name)
    return frozenset(map(int, lines))


def _asks(context: StepContext, kind: ListKind, person: _Person) -> StepOutcome:
    """Ask what cannot be told from the file."""
    questions = tuple(_question_field(question) for question in person.questions)
    return StepOutcome(
        lines=("Something cannot be told from the file alone. Nothing is guessed: choose below, and look again.",),
        fields=(*_kept_fields(kind, context), *questions),
    )


def _question_field(question: ListQuestion) -> StepField:
    names = {
        QuestionKind.ENCODING: "encoding",
        QuestionKind.DECIMALS: "decimals",
        QuestionKind.DATES: "dates",
        QuestionKind.SIZE_ORDER: "size_order",
    }
    return StepField(
        name=names.get(question.kind, f"{UNIT}{question.field}"),
        label=question_words(question),
        kind=FieldKind.CHOICE,
        choices=(("", "—"), *((option.value, option_words(question, option)) for option in question.options)),
        required=True,
    )


def _outcome(context: StepContext, kind: ListKind, person: _Person, result: ImportResult) -> StepOutcome:
    name = _file(context).name
    refused = bool(result.bad_rows) and not context.flag("skip_bad_rows")
    lines = list(
        import_lines(name, result, today=context.today, dry_run=context.is_look, refused=refused, most=ROWS_SHOWN)
    )
    said, onward = second_list(kind, person.columns, context.text(f"{UPLOAD}file"))
    if not context.is_look:
        then = THEN.get(kind, (("/start", "First steps"),))
        is_first = kind is ListKind.EDITIONS
        return StepOutcome(lines=lines, cautions=said if is_first else (), links=onward + then if is_first else then)
    guessed = list(guess_lines(name, person.guess, show_all=True)) if person.guess is not None else []
    cautions = [*said, *_dropped(context)]
    if refused:
        cautions += [
            (
                f"{counted(len(result.bad_rows), 'row')} cannot be used, and nothing is imported while that is so: "
                "correct the list and choose it again, or leave these rows out (below)."
            )
        ]
    return StepOutcome(
        lines=(*guessed, *lines),
        cautions=cautions,
        links=(*onward, *_first(result)),
        is_plan=not refused and bool(result.made or result.altered),
        fields=_all_fields(context, kind, person),
    )


def _first(result: ImportResult) -> tuple[tuple[str, str], ...]:
    """Return the way to what has to be brought before the rows that cannot be used."""
    faults = (fault.reason for bad in result.bad_rows for fault in bad.faults)
    if RowReason.PRINTING_UNKNOWN in faults:
        return (("/steps/import?kind=printings", "Bring a list of printings first"),)
    return ()


def _all_fields(context: StepContext, kind: ListKind, person: _Person) -> tuple[StepField, ...]:
    """Return everything that can be said of a list, once it was looked at."""
    guessed = guess_fields(kind, person.columns, person.guess, context.values)
    return (*_kept_fields(kind, context), *guessed, *row_fields())


def _kept_fields(kind: ListKind, context: StepContext) -> tuple[StepField, ...]:
    with context.library.reading() as records:
        return _first_fields(records, {"kind": kind})


LIST_STEPS = (
    DeskStep(
        name="import",
        title="Bring a list",
        summary="A table or records of your own. What is guessed of it is shown before anything changes.",
        group=StepGroup.LISTS,
        verb="Import it",
        fields=_first_fields,
        run=_import,
        looks_twice=False,
        word=lambda values: f"import a list of {values.get('kind', '')}, which may hold values",
    ),
)
