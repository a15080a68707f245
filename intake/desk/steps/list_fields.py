"""What a person can say of a list once it was looked at: columns, units, numbers, days, letters, odd rows."""

from collections.abc import Iterator

from intake.desk.steps.step_record import FieldKind, StepField
from intake.flow.lists.field_forms import SOFT_WORDS, UNITS, form_of
from intake.flow.lists.import_list import COLUMNS, ListKind
from intake.flow.lists.list_guess import ListGuess
from intake.flow.lists.size_orders import SizeOrder
from intake.units.written_days import DayOrder
from intake.units.written_numbers import DecimalMark

COLUMN, UNIT, NOT = "column-", "unit-", "not:"
_MARKS = {
    DecimalMark.POINT: "a point (1,234.50)",
    DecimalMark.COMMA: "a comma (1.234,50)",
}
_DAYS = {DayOrder.DMY: "day before month", DayOrder.MDY: "month before day"}


def guess_fields(kind: ListKind, guess: ListGuess | None) -> Iterator[StepField]:
    """Yield what can be said of each column, and of the whole file."""
    if guess is None:
        return
    fields = [(column.field, column.field.replace("_", " ")) for column in COLUMNS[kind]]
    for column in guess.columns:
        letters, heading = column.guess.letters, column.guess.heading.strip()
        used = column.guess.field
        if not (heading or column.filled):
            continue
        now = f"read as: {used.replace('_', ' ')}" if used else "not used"
        none = (f"{NOT}{used}", "not used") if used else None
        yield StepField(
            name=f"{COLUMN}{letters}",
            label=f"Column {letters}{f' “{heading}”' if heading else ''}: {now}",
            kind=FieldKind.CHOICE,
            choices=(*((none,) if none else ()), *((name, words) for name, words in fields if name != used)),
            group="What the columns are, if a guess is wrong",
        )
    for column in guess.columns:
        used = column.guess.field
        if used and form_of(used) in UNITS:
            yield StepField(
                name=f"{UNIT}{used}",
                label=f"Unit of “{column.guess.heading.strip()}”, of numbers without one",
                kind=FieldKind.CHOICE,
                choices=tuple((unit, unit) for unit in UNITS[form_of(used)]),
                group="Units, numbers, days, letters",
            )
        elif used in ("value", "price"):
            yield StepField(
                name=f"{UNIT}{used}",
                label=f"Currency of “{column.guess.heading.strip()}”, of amounts without one",
                hint="Three letters, such as EUR.",
                group="Units, numbers, days, letters",
            )
    yield from _text_fields(guess)


def _text_fields(guess: ListGuess) -> Iterator[StepField]:
    group = "Units, numbers, days, letters"
    if guess.facts.codec:
        yield StepField(
            name="encoding", label="Encoding, if letters are wrong", hint="Such as utf-8, cp1252, cp1250.", group=group
        )
    if guess.facts.other_sheets:
        yield StepField(
            name="sheet",
            label="Another sheet of the workbook",
            kind=FieldKind.CHOICE,
            choices=tuple((name, name) for name in guess.facts.other_sheets),
            group=group,
        )
    yield StepField(
        name="decimals",
        label="Before the decimals stands",
        kind=FieldKind.CHOICE,
        choices=tuple((mark.value, _MARKS[mark]) for mark in _MARKS),
        group=group,
    )
    yield StepField(
        name="dates",
        label="In days comes",
        kind=FieldKind.CHOICE,
        choices=tuple((order.value, _DAYS[order]) for order in _DAYS),
        group=group,
    )
    yield StepField(
        name="size_order",
        label="Several sizes in a cell stand in the order",
        kind=FieldKind.CHOICE,
        choices=tuple((order.value, order.value) for order in SizeOrder),
        hint="h height, w width, t thickness.",
        group=group,
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
        StepField(name="by_row", label="Show row by row what changes", kind=FieldKind.FLAG, group=group),
    )
