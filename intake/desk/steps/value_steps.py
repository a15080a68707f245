"""What copies and sets are worth, as it is recorded."""

from collections.abc import Mapping

from intake.desk.desk_startup import LibraryReader
from intake.desk.rendering import id_of
from intake.desk.steps.shared_fields import COPY
from intake.desk.steps.step_record import (
    DeskStep,
    FieldKind,
    StepContext,
    StepField,
    StepGroup,
    StepOutcome,
    choices_of,
    fixed,
)
from intake.errors import UsageError
from intake.flow.lookup.wording import volumes_words
from intake.flow.values import exchange_rates, value_copies, value_sets
from intake.flow.values.figures import Figure, question_about_day, question_about_nothing
from intake.flow.values.like_copies import outlier_words
from intake.model.currencies import amount_text
from intake.model.valuations import Basis
from intake.model.volumes import split_volumes
from intake.units.amounts import parse_amount

AMOUNT = StepField(name="amount", label="Amount", required=True, hint="Such as 120.00 or 120,00.", reads=parse_amount)
CURRENCY = StepField(
    name="currency",
    label="Currency",
    required=True,
    value="EUR",
    hint="Three letters, as ISO 4217 has them.",
    reads=exchange_rates.currency_code,
)
ON = StepField(name="on", label="Day of the value, if not today", kind=FieldKind.DAY)
BASIS = StepField(
    name="basis",
    label="Basis",
    kind=FieldKind.CHOICE,
    choices=choices_of(Basis),
    required=True,
    value=Basis.REPLACEMENT,
)
SOURCE = StepField(name="source", label="Who states it")
NOTE = StepField(name="note", label="Note", kind=FieldKind.LONG)


def _figure(context: StepContext) -> Figure:
    amount = context.amount("amount")
    if amount is None:
        raise UsageError("The amount", "is missing", "write it, such as 120.00")
    return Figure(
        amount=amount,
        currency=context.needed("currency", "The currency"),
        on=context.day("on") or context.today,
        basis=context.choice("basis", Basis) or Basis.REPLACEMENT,
        source=context.text("source"),
        note=context.text("note"),
    )


def _ask_about(context: StepContext, figure: Figure) -> None:
    for question in filter(None, (question_about_day(figure), question_about_nothing(figure))):
        context.ask(question)


def _value_copy(context: StepContext) -> StepOutcome:
    figure = _figure(context)
    with context.library.reading() as records:
        copy, planned, unlike = value_copies.plan_value(records, context.text("copy"), figure, today=context.today)
    if unlike:
        context.ask(outlier_words(unlike, planned.currency))
    _ask_about(context, figure)
    made = value_copies.record_value(context.library, copy, planned, station=context.station)
    return StepOutcome(
        lines=(f"Copy {made.copy} is worth {amount_text(made.amount, made.currency)}, {made.basis}, {made.on}.",),
        links=((f"/copies/{made.copy}", f"Copy {made.copy}"), ("/steps/value", "Value another")),
    )


def _value_word(values: Mapping[str, str]) -> str:
    what = f"copy {values['copy']}" if values.get("copy") else f"set {values.get('set', '')}"
    return f"record that {what} is worth {values.get('amount', '')} {values.get('currency', '')}".rstrip()


def _set_fields(records: LibraryReader, _values: Mapping[str, str]) -> tuple[StepField, ...]:
    sets = [state.set for state in value_sets.set_states(records)]
    return (
        StepField(
            name="set",
            label="Set",
            kind=FieldKind.CHOICE,
            required=True,
            choices=tuple((str(one.id), f"{one.title} (set {one.id})") for one in sets),
        ),
        AMOUNT,
        CURRENCY,
        StepField(name="lacking", label="Volumes that are missing", hint="Such as 2, 4; nothing for the complete set."),
        BASIS,
        ON,
        SOURCE,
        NOTE,
    )


def _value_set(context: StepContext) -> StepOutcome:
    figure, number = _figure(context), id_of(context.text("set"))
    _ask_about(context, figure)
    made = value_sets.value_set(
        context.library,
        number,
        figure,
        lacking=context.text("lacking"),
        station=context.station,
        today=context.today,
    )
    without = f" without {volumes_words(split_volumes(made.lacking))}" if made.lacking else ""
    words = f"Set {number}{without} is worth {amount_text(made.amount, made.currency)}, {made.basis}, {made.on}."
    return StepOutcome(lines=(words,), links=(("/steps/sets", "All sets"),))


VALUE_STEPS = (
    DeskStep(
        name="value",
        title="Value a copy",
        summary="Record what a copy is worth, beside the values that it has.",
        group=StepGroup.VALUES,
        verb="Record it",
        run=_value_copy,
        word=_value_word,
        fields=fixed(COPY, AMOUNT, CURRENCY, BASIS, ON, SOURCE, NOTE),
    ),
    DeskStep(
        name="value-set",
        title="Value a set",
        group=StepGroup.VALUES,
        verb="Record it",
        run=_value_set,
        word=_value_word,
        summary="What it is worth as a whole, or without some volumes; in totals it counts once, for its volumes.",
        fields=_set_fields,
    ),
)
