"""What everything is worth: added up, reviewed, of sets; what a loss pays under average; number lines."""

from collections.abc import Callable, Iterable, Mapping
from datetime import date

from intake.desk.steps.step_record import (
    DeskStep,
    FieldKind,
    StepContext,
    StepField,
    StepGroup,
    StepOutcome,
    address,
    choices_of,
    fixed,
    whole,
)
from intake.desk.steps.value_steps import CURRENCY
from intake.errors import UsageError
from intake.flow.condition.number_lines import read_number_line
from intake.flow.values import exchange_rates, value_copies, value_sets
from intake.flow.values.average import pays_under_average
from intake.flow.values.figures import refuse_future
from intake.flow.values.set_words import set_lines
from intake.flow.values.value_words import loss_lines, review_lines, total_lines
from intake.model.valuations import Basis
from intake.units.amounts import parse_amount

EVERY = 1_000_000
"""Lines of each list: a page can be scrolled."""
MOST_YEARS = 200
POLICY = "The policy decides whether average applies."
EVIDENCE = "A number line is evidence, not proof."

RATES_ON = StepField(
    name="on", label="Day of the rates, if not today", kind=FieldKind.DAY, hint=exchange_rates.how_old()
)


def _sets(context: StepContext) -> StepOutcome:
    day = _rates_day(context)
    lines: list[str] = []
    with context.library.reading() as records:
        states = value_sets.set_states(records)
        losses = value_sets.losses_by_set(records, states, on=day)
        for state in states:
            lines += set_lines(state)
            lines += loss_lines(losses[state.set.id]) if state.set.id in losses else ()
    return StepOutcome(lines=lines or ("No set is recorded.",), links=(("/steps/value-set", "Value a set"),))


def _rates_day(context: StepContext) -> date:
    day = context.day("on") or context.today
    refuse_future(day, context.today, "give a day of which there are rates")
    return day


def _missing_rates(
    missing: Iterable[tuple[str, str, str, date]],
) -> tuple[tuple[str, ...], tuple[tuple[str, str], ...]]:
    """Return what is said of rates that are missing, and where each is entered."""
    rates = tuple(missing)
    cautions = tuple(f"Missing rate: {words}." for words, *_ in rates)
    links = tuple(
        (address("/steps/rate", base=base, currency=currency, on=on.isoformat()), f"Enter {base} in {currency}")
        for _, base, currency, on in rates
    )
    return cautions, links


def _total(context: StepContext) -> StepOutcome:
    currency, only = context.needed("currency", "The currency"), context.choice("basis", Basis)
    with context.library.reading() as records:
        added = value_copies.worth(records, currency, on=_rates_day(context), basis=only)
    cautions, links = _missing_rates(exchange_rates.rates_to_enter(added.missing))
    return StepOutcome(
        lines=tuple(total_lines(added, limit=EVERY, basis=only)),
        cautions=cautions,
        links=(
            *links,
            (address("/steps/review", currency=currency), "What to look at again"),
            ("/papers?paper=insurance#chosen", "Schedule for the insurer"),
        ),
    )


def _review(context: StepContext) -> StepOutcome:
    currency, years = context.needed("currency", "The currency"), context.count("years", least=1, most=MOST_YEARS) or 3
    with context.library.reading() as records:
        review = value_copies.review(records, currency, on=_rates_day(context), years=years)
        lines = tuple(review_lines(records, review, years=years, limit=EVERY))
    cautions, links = _missing_rates(exchange_rates.rates_to_enter(review.added.missing))
    return StepOutcome(lines=lines, cautions=cautions, links=links)


def _average(context: StepContext) -> StepOutcome:
    loss, insured, at_risk = (context.amount(name) for name in ("loss", "insured", "at_risk"))
    waived = context.amount("waived_from")
    if loss is None or insured is None or at_risk is None:
        raise UsageError("An amount", "is missing", "fill in all three")
    if waived is not None and not 0 < waived <= 1:
        raise UsageError(f"The share {waived}", "is not one", "give a number from 0 to 1, such as 0.75")
    result = pays_under_average(loss, insured, at_risk, context.needed("currency", "The currency"), waived_from=waived)
    return StepOutcome(lines=(*result.working, POLICY))


def _number_line(context: StepContext) -> StepOutcome:
    read = read_number_line(context.text("line"))
    if read.printing is None:
        return StepOutcome(lines=(f"The line {read.why}.",))
    year = f", {read.year}" if read.year else ""
    return StepOutcome(lines=(f"Printing {read.printing}{year}; the line runs: {read.form}. {EVIDENCE}",))


def _seen(what: str) -> Callable[[Mapping[str, str]], str]:
    return lambda _values: f"see {what}, which lists values"


WORTH_STEPS = (
    DeskStep(
        name="total",
        title="What everything is worth",
        group=StepGroup.VALUES,
        is_question=True,
        run=_total,
        summary="Added up in one currency at the rates of one day; what is lost stands apart.",
        word=_seen("what everything is worth"),
        fields=fixed(
            CURRENCY,
            RATES_ON,
            StepField(
                name="basis", label="Only values on this basis", kind=FieldKind.CHOICE, choices=choices_of(Basis)
            ),
        ),
    ),
    DeskStep(
        name="review",
        title="Values to look at again",
        group=StepGroup.VALUES,
        is_question=True,
        run=_review,
        summary="Old values, values unlike those of like copies, and ranges for copies without one.",
        word=_seen("the values to look at again"),
        fields=fixed(
            CURRENCY,
            StepField(name="years", label="Older than so many years", value="3", reads=whole(1, MOST_YEARS)),
            RATES_ON,
        ),
    ),
    DeskStep(
        name="sets",
        title="Sets",
        group=StepGroup.VALUES,
        is_question=True,
        run=_sets,
        fields=fixed(RATES_ON),
        word=_seen("the sets"),
        summary="Which volumes are missing, there twice or still in a box, and what the loss of one costs.",
    ),
    DeskStep(
        name="average",
        title="What a loss pays under average",
        group=StepGroup.VALUES,
        is_question=True,
        run=_average,
        summary="The sum insured against the value at risk.",
        fields=fixed(
            StepField(name="loss", label="Loss", required=True, reads=parse_amount),
            StepField(name="insured", label="Sum insured", required=True, reads=parse_amount),
            StepField(name="at_risk", label="Value at risk", required=True, reads=parse_amount),
            CURRENCY,
            StepField(
                name="waived_from",
                label="Share of the value from which the policy waives average",
                hint="Such as 0.75.",
                reads=parse_amount,
            ),
        ),
    ),
    DeskStep(
        name="number-line",
        title="Read a number line",
        group=StepGroup.VALUES,
        is_question=True,
        run=_number_line,
        summary="A printer's key as printed, to the printing and the year.",
        fields=fixed(
            StepField(name="line", label="Number line, as printed", required=True, hint="Such as 10 9 8 7 6 5 4 3.")
        ),
    ),
)
