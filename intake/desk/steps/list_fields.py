"""What a person can say of a list once it was looked at: columns, units, numbers, days, letters, odd rows."""

from collections.abc import Iterator, Mapping, Sequence

from intake.desk.steps.step_record import FieldKind, StepField
from intake.flow.lists.field_forms import SOFT_WORDS, UNITS, form_of
from intake.flow.lists.field_words import field_words
from intake.flow.lists.import_list import COLUMNS, ListKind
from intake.flow.lists.list_guess import ColumnReading, ListGuess
from intake.flow.lists.size_orders import SizeOrder
from intake.units.written_days import DayOrder
from intake.units.written_numbers import DecimalMark

COLUMN, UNIT, NOT = "column-", "unit-", "not:"
_FORMS = "Units, numbers, days, letters"
_MARKS = {
    DecimalMark.POINT: "a point (1,234.50)",
    DecimalMark.COMMA: "a comma (1.234,50)",
}
_DAYS = {DayOrder.DMY: "day before month", DayOrder.MDY: "month before day"}


def guess_fields(
    kind: ListKind, columns: Sequence[ColumnReading], guess: ListGuess | None, said: Mapping[str, str]
) -> Iterator[StepField]:
    """Yield what can be said of each column, and of the whole file.

    Args:
        kind: what the rows are.
        columns: of the file, as far as they were understood.
        guess: all that was guessed of the file; None where it could not be used.
        said: what the person has said before, by field: all of it can be said again, and be taken back.
    """
    for column in columns:
        if column.guess.heading.strip() or column.filled or f"{COLUMN}{column.guess.letters}" in said:
            yield _column_field(kind, column, said)
    headings = {column.guess.field: column.guess.heading.strip() for column in columns if column.guess.field}
    told = (name.removeprefix(UNIT) for name in said if name.startswith(UNIT))
    for field in dict.fromkeys((*headings, *told)):
        yield from _unit_field(
            field, f"“{headings[field]}”" if field in headings else f"“{field_words(field)}”, which no column is"
        )
    yield from _text_fields(guess, said)


def _column_field(kind: ListKind, column: ColumnReading, said: Mapping[str, str]) -> StepField:
    """Return the choice of what a column is; a choice that was made is among those that are offered."""
    letters, heading, used = column.guess.letters, column.guess.heading.strip(), column.guess.field
    before = said.get(f"{COLUMN}{letters}", "")
    none = f"{NOT}{used}" if used else before if before.startswith(NOT) else ""
    now = f"read as: {field_words(used, kind)}" if used else "not used"
    return StepField(
        name=f"{COLUMN}{letters}",
        label=f"Column {letters}{f' “{heading}”' if heading else ''}: {now}",
        kind=FieldKind.CHOICE,
        choices=(
            *(((none, "not used"),) if none else ()),
            *((column.field, field_words(column.field, kind)) for column in COLUMNS[kind]),
        ),
        group="What the columns are, if a guess is wrong",
    )


def _unit_field(field: str, of: str) -> Iterator[StepField]:
    """Yield the field for the unit of a column's numbers, or for the currency of its amounts; none for texts."""
    if units := UNITS.get(form_of(field)):
        first = {size: unit for unit, size in reversed(list(units.items()))}  # of the spellings of a unit the first
        yield StepField(
            name=f"{UNIT}{field}",
            label=f"Unit of {of}, of numbers without one",
            kind=FieldKind.CHOICE,
            choices=tuple((unit, unit) for unit in reversed(first.values())),
            group=_FORMS,
        )
    elif field in ("value", "price"):
        hint = "Three letters, such as EUR."
        yield StepField(
            name=f"{UNIT}{field}", label=f"Currency of {of}, of amounts without one", hint=hint, group=_FORMS
        )


def _text_fields(guess: ListGuess | None, said: Mapping[str, str]) -> Iterator[StepField]:
    if said.get("encoding") or (guess is not None and guess.facts.codec):
        yield StepField(
            name="encoding", label="Encoding, if letters are wrong", hint="Such as utf-8, cp1252, cp1250.", group=_FORMS
        )
    sheets = (said.get("sheet", ""), *(guess.facts.other_sheets if guess is not None else ()))
    if any(sheets):
        yield StepField(
            name="sheet",
            label="Another sheet of the workbook",
            kind=FieldKind.CHOICE,
            choices=tuple((name, name) for name in dict.fromkeys(sheets) if name),
            group=_FORMS,
        )
    yield StepField(
        name="decimals",
        label="Before the decimals stands",
        kind=FieldKind.CHOICE,
        choices=tuple((mark.value, _MARKS[mark]) for mark in _MARKS),
        group=_FORMS,
    )
    yield StepField(
        name="dates",
        label="In days comes",
        kind=FieldKind.CHOICE,
        choices=tuple((order.value, _DAYS[order]) for order in _DAYS),
        group=_FORMS,
    )
    yield StepField(
        name="size_order",
        label="Several sizes in a cell stand in the order",
        kind=FieldKind.CHOICE,
        choices=tuple((order.value, order.value) for order in SizeOrder),
        hint="h height, w width, t thickness.",
        group=_FORMS,
    )


def row_fields() -> tuple[StepField, ...]:
    """Return what can be said of rows."""
    group = "Rows that are odd or cannot be used"
    return (
        StepField(
            name="skip_bad_rows", label="Leave out the rows that cannot be used", kind=FieldKind.FLAG, group=group
        ),
        StepField(
            name="empty_bad_cells",
            label="Leave a cell empty that cannot be read, where a record can do without it",
            kind=FieldKind.FLAG,
            hint=f"That is {SOFT_WORDS} (it is today then).",
            group=group,
        ),
        StepField(name="all_as_is", label="Take odd rows as they are", kind=FieldKind.FLAG, group=group),
        StepField(name="as_is", label="Only these odd rows, by their lines", hint="Such as 14, 27.", group=group),
        StepField(
            name="leave_out", label="Leave out these rows, which are none of the list", hint="Such as 7.", group=group
        ),
        StepField(name="by_row", label="Show row by row what changes", kind=FieldKind.FLAG, group=group),
    )
