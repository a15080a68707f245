"""`intake value …`, `rates …`, `sets`, `average`, `number-line`: what copies are worth."""

from datetime import date
from decimal import Decimal

import click

from intake.cli import startup
from intake.cli.context import CommandContext, pass_context
from intake.errors import UsageError
from intake.flow.condition.number_lines import read_number_line
from intake.flow.lookup.wording import volumes_words
from intake.flow.values import exchange_rates as rate_flow
from intake.flow.values import value_copies, value_sets
from intake.flow.values.average import pays_under_average
from intake.flow.values.figures import Figure, question_about_day, question_about_nothing, refuse_future
from intake.flow.values.like_copies import outlier_words
from intake.flow.values.set_words import set_lines
from intake.flow.values.value_words import loss_lines, review_lines, total_lines
from intake.model.currencies import amount_text
from intake.model.valuations import Basis
from intake.model.volumes import split_volumes
from intake.units.amounts import parse_amount

SHOWN = 20


class DecimalType(click.ParamType[Decimal]):
    """An exact amount from 0 on (`parse_amount`)."""

    name = "amount"

    def convert(self, value: object, param: click.Parameter | None, ctx: click.Context | None) -> Decimal:  # noqa: ARG002 - given by click
        """Return the number; a comma that may be one of thousands is refused, and so is a minus."""
        return value if isinstance(value, Decimal) else parse_amount(str(value))


AMOUNT = DecimalType()
DAY = click.DateTime(["%Y-%m-%d"])
BASIS = click.Choice([basis.value for basis in Basis])
on_option = click.option("--on", type=DAY, help="Day of the value, as 2026-03-31; else today.")
rates_on_option = click.option(
    "--on", type=DAY, help=f"Day of the rates, as 2026-03-31; else today. {rate_flow.how_old()}"
)
basis_option = click.option("--basis", type=BASIS, default=Basis.REPLACEMENT.value, show_default=True)
source_option = click.option("--source", default="", help="Who states it.")
note_option = click.option("--note", default="")


limit_option = click.option(
    "--limit", type=click.IntRange(1, 1_000_000), default=SHOWN, show_default=True, help="Lines of each list."
)


def day_of(on: object) -> date:
    """Return the day that was named, or today."""
    return on.date() if hasattr(on, "date") else startup.today()


def rates_day_of(on: object) -> date:
    """Return the day of the rates: the one that was named, or today.

    Raises:
        UsageError: it is in the future.
    """
    day = day_of(on)
    refuse_future(day, startup.today(), "give a day of which there are rates")
    return day


def ask_about(context: CommandContext, figure: Figure) -> None:
    """Ask about a value in a currency that was not in use on its day, and about one of nothing."""
    for question in filter(None, (question_about_day(figure), question_about_nothing(figure))):
        context.say(f"Is that right? {question}; 'intake undo' takes it back.", style="yellow")


@click.group("value")
def value_group() -> None:
    """Record what copies and sets are worth, add it up, and review it."""


@value_group.command("copy")
@click.argument("copy_text", metavar="COPY")
@click.argument("amount", type=AMOUNT)
@click.argument("currency")
@basis_option
@on_option
@source_option
@note_option
@pass_context
def value_copy_command(
    context: CommandContext,
    copy_text: str,
    amount: Decimal,
    currency: str,
    *,
    basis: str,
    on: object,
    source: str,
    note: str,
) -> None:
    """Record that a COPY is worth AMOUNT of CURRENCY (ISO 4217), beside the values that it has."""
    figure = Figure(amount=amount, currency=currency, on=day_of(on), basis=Basis(basis), source=source, note=note)
    with context.library() as library:
        made, unlike = value_copies.value_copy(
            library, copy_text, figure, station=context.settings.station, today=startup.today()
        )
    context.say(f"Copy {made.copy} is worth {amount_text(made.amount, made.currency)}, {made.basis}, {made.on}.")
    if unlike:
        context.say(f"Is that right? {outlier_words(unlike, made.currency)}", style="yellow")
    ask_about(context, figure)


@value_group.command("set")
@click.argument("set_id", type=int)
@click.argument("amount", type=AMOUNT)
@click.argument("currency")
@click.option("--lacking", default="", help="Missing volumes, as '2, 4'; else the complete set.")
@basis_option
@on_option
@source_option
@note_option
@pass_context
def value_set_command(
    context: CommandContext,
    set_id: int,
    amount: Decimal,
    currency: str,
    *,
    lacking: str,
    basis: str,
    on: object,
    source: str,
    note: str,
) -> None:
    """Record what a set (its number is in 'intake sets') is worth as a whole, or without some volumes.

    In totals that value counts once in place of its volumes' values, as long as just these volumes are missing.
    """
    figure = Figure(amount=amount, currency=currency, on=day_of(on), basis=Basis(basis), source=source, note=note)
    with context.library() as library:
        made = value_sets.value_set(
            library, set_id, figure, lacking=lacking, station=context.settings.station, today=startup.today()
        )
    without = f" without {volumes_words(split_volumes(made.lacking))}" if made.lacking else ""
    context.say(f"Set {set_id}{without} is worth {amount_text(made.amount, made.currency)}, {made.basis}, {made.on}.")
    ask_about(context, figure)


@value_group.command("total")
@click.argument("currency", default="")
@rates_on_option
@click.option(
    "--basis",
    type=BASIS,
    help="Only values on this basis; else the latest valuation, or a price paid.",
)
@limit_option
@pass_context
def total_command(context: CommandContext, currency: str, on: object, basis: str | None, limit: int) -> None:
    """Add up what all copies are worth, in one CURRENCY at the rates of one day; what is lost stands apart."""
    day = rates_day_of(on)
    with context.library() as library, library.reading() as records:
        only = Basis(basis) if basis else None
        if not currency:
            raise value_copies.currency_missing(records)
        added = value_copies.worth(records, currency, on=day, basis=only)
    for line in total_lines(added, limit=limit, basis=only):
        context.say(line)
    for notice in rate_flow.notices_of(added.missing):
        context.say(notice, style="yellow")


@value_group.command("review")
@click.argument("currency")
@click.option("--years", type=click.IntRange(1, 200), default=3, show_default=True, help="Values older than this.")
@rates_on_option
@limit_option
@pass_context
def review_command(context: CommandContext, currency: str, years: int, on: object, limit: int) -> None:
    """List old values, values unlike those of like copies, missing rates, and ranges for copies without a value."""
    with context.library() as library, library.reading() as records:
        review = value_copies.review(records, currency, on=rates_day_of(on), years=years)
        for line in review_lines(records, review, years=years, limit=limit):
            context.say(line)
    for notice in rate_flow.notices_of(review.added.missing):
        context.say(notice, style="yellow")


@click.command("sets")
@rates_on_option
@pass_context
def sets_command(context: CommandContext, on: object) -> None:
    """List the sets: which volumes are missing, duplicated or still in a box, and what the loss of one costs."""
    day = rates_day_of(on)
    with context.library() as library, library.reading() as records:
        states = value_sets.set_states(records)
        losses = value_sets.losses_by_set(records, states, on=day)
        for state in states:
            for line in (*set_lines(state), *(loss_lines(losses[state.set.id]) if state.set.id in losses else ())):
                context.say(line)


@click.command("average")
@click.argument("loss", type=AMOUNT)
@click.argument("insured", type=AMOUNT)
@click.argument("at_risk", type=AMOUNT)
@click.argument("currency")
@click.option("--waived-from", type=AMOUNT, help="Share of the value from which the policy waives average, as 0.75.")
@pass_context
def average_command(
    context: CommandContext,
    loss: Decimal,
    insured: Decimal,
    at_risk: Decimal,
    currency: str,
    waived_from: Decimal | None,
) -> None:
    """Compute what a LOSS pays under average: the sum INSURED against the value AT_RISK."""
    if waived_from is not None and not 0 < waived_from <= 1:
        raise UsageError(f"--waived-from {waived_from}", "is not a share", "give a number from 0 to 1, such as 0.75")
    for line in pays_under_average(loss, insured, at_risk, currency, waived_from=waived_from).working:
        context.say(line)
    context.say("The policy decides whether average applies.")


@click.command("number-line")
@click.argument("line", nargs=-1, required=True)
@pass_context
def number_line_command(context: CommandContext, line: tuple[str, ...]) -> None:
    """Read a printer's key as printed ("10 9 8 7 6 5 4 3") to the printing and the year."""
    read = read_number_line(" ".join(line))
    if read.printing is None:
        context.say(f"The line {read.why}.")
    else:
        year = f", {read.year}" if read.year else ""
        context.say(
            f"Printing {read.printing}{year}; the line runs: {read.form}. A number line is evidence, not proof."
        )


COMMANDS = (value_group, sets_command, average_command, number_line_command)
