"""Exchange rates, by which values are added up: entered, imported from a bank's table, looked at."""

from collections.abc import Mapping

from intake.desk.steps.shared_fields import SEVERAL
from intake.desk.steps.step_record import (
    DeskStep,
    FieldKind,
    StepContext,
    StepField,
    StepGroup,
    StepOutcome,
    StepTable,
    fixed,
)
from intake.errors import UsageError
from intake.flow.values import exchange_rates
from intake.units.amounts import parse_amount
from intake.units.counts import counted

RATES_SHOWN = 100


def _rate(context: StepContext) -> StepOutcome:
    per_base = context.amount("rate")
    if per_base is None:
        raise UsageError("The rate", "is missing", "write it, such as 1.0842")
    rate = exchange_rates.checked_rate(
        context.text("base"),
        context.text("currency"),
        per_base,
        on=context.day("on") or context.today,
        source=context.text("source"),
        today=context.today,
    )
    with context.library.reading() as records:
        before = exchange_rates.rate_before(records, rate)
    if before is not None:
        context.ask(f"On {before.on}, {rate.base} 1 was {rate.currency} {before.per_base}")
    exchange_rates.record_rate(context.library, rate, station=context.station)
    return StepOutcome(lines=(f"{rate.base} 1 = {rate.currency} {rate.per_base} on {rate.on}.",))


def _import_rates(context: StepContext) -> StepOutcome:
    files = context.files.get("file", ())
    if not files:
        raise UsageError("The file with rates", "is missing", "choose it")
    read = exchange_rates.read_rates(
        files[0], base=context.text("base") or "EUR", source=context.text("source") or "European Central Bank"
    )
    taken = exchange_rates.import_rates(
        context.library,
        read,
        name=files[0].name,
        currencies=[exchange_rates.currency_code(code) for code in context.words("currencies")],
        since=context.day("since"),
        station=context.station,
        today=context.today,
    )
    gaps = [f"{currency}: none between {before} and {after}" for currency, before, after in taken.gaps]
    count = f"{counted(taken.made, 'new rate')}, {taken.altered} corrected, {taken.unchanged} unchanged."
    without = (f"{counted(read.without, 'cell')} of the file without a rate.",) if read.without else ()
    return StepOutcome(lines=(count, *without, *gaps), cautions=tuple(map(str, read.faults)))


def _rates(context: StepContext) -> StepOutcome:
    with context.library.reading() as records:
        rates = exchange_rates.known_rates(records, context.text("currency"))
    shown = list(reversed(rates))[:RATES_SHOWN]
    rows = [exchange_rates.rate_row(rate) for rate in shown]
    more = len(rates) - len(shown)
    lines = (f"{counted(more, 'earlier rate is', 'earlier rates are')} not shown.",) if more > 0 else ()
    return StepOutcome(
        lines=lines if rates else ("No rate of it is recorded.",),
        tables=(StepTable("The latest rates", ("Day", "Of", "Is", "Source"), rows),),
    )


def _rates_word(_values: Mapping[str, str]) -> str:
    return "record exchange rates, by which values are added up"


RATE_STEPS = (
    DeskStep(
        name="rate",
        title="Enter an exchange rate",
        group=StepGroup.VALUES,
        verb="Record it",
        run=_rate,
        word=_rates_word,
        summary=exchange_rates.HOW_LONG,
        fields=fixed(
            StepField(name="base", label="One of", required=True, value="EUR", reads=exchange_rates.currency_code),
            StepField(name="currency", label="is in", required=True, reads=exchange_rates.currency_code),
            StepField(name="rate", label="so much", required=True, hint="Such as 1.0842.", reads=parse_amount),
            StepField(name="on", label="Day of the rate, if not today", kind=FieldKind.DAY),
            StepField(name="source", label="Who published it"),
        ),
    ),
    DeskStep(
        name="rates-file",
        title="Import a bank's table of rates",
        group=StepGroup.VALUES,
        verb="Record them",
        run=_import_rates,
        summary="A CSV file in the European Central Bank's form: a row a day, a column a currency.",
        word=_rates_word,
        fields=fixed(
            StepField(name="file", label="File", kind=FieldKind.FILE, required=True),
            StepField(name="base", label="Every rate converts one", value="EUR", reads=exchange_rates.currency_code),
            StepField(name="source", label="Who publishes it", value="European Central Bank"),
            StepField(name="currencies", label="Only these currencies", hint=SEVERAL),
            StepField(name="since", label="Only from this day on", kind=FieldKind.DAY),
        ),
    ),
    DeskStep(
        name="rates",
        title="Recorded rates",
        group=StepGroup.VALUES,
        is_question=True,
        run=_rates,
        summary="The latest rates of a currency.",
        fields=fixed(StepField(name="currency", label="Currency", required=True, reads=exchange_rates.currency_code)),
    ),
)
