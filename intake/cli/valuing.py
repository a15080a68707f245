"""`intake value …`, `rates …`, `sets`, `average`, `number-line`: what copies are worth."""

from datetime import date
from decimal import Decimal, InvalidOperation

import click

from intake.cli import startup
from intake.cli.context import SHOW_ALL, CommandContext, pass_context
from intake.errors import UsageError
from intake.flow.condition.number_lines import read_number_line
from intake.flow.lookup.wording import counted, title_words
from intake.flow.values import value_copies
from intake.flow.values.average import pays_under_average
from intake.flow.values.like_copies import outlier_words
from intake.flow.values.value_copies import Figure
from intake.model.currencies import amount_text
from intake.model.editions import Copy, Edition
from intake.model.valuations import Basis

SHOWN = 20


class DecimalType(click.ParamType[Decimal]):
    """An exact decimal number with a decimal point."""

    name = "amount"

    def convert(self, value: object, param: click.Parameter | None, ctx: click.Context | None) -> Decimal:
        """Return the number; a decimal comma could be a thousands comma and is refused."""
        try:
            number = value if isinstance(value, Decimal) else Decimal(str(value))
        except InvalidOperation:
            self.fail(f"{value!r} is not an amount such as 120.00", param, ctx)
        if not number.is_finite():
            self.fail(f"{value!r} is not an amount such as 120.00", param, ctx)
        return number


AMOUNT = DecimalType()
DAY = click.DateTime(["%Y-%m-%d"])
BASIS = click.Choice([basis.value for basis in Basis])
on_option = click.option("--on", type=DAY, help="Day (of the value, or of the rates), as 2026-03-31; else today.")
basis_option = click.option("--basis", type=BASIS, default=Basis.REPLACEMENT.value, show_default=True)
source_option = click.option("--source", default="", help="Who states it.")
note_option = click.option("--note", default="")


def day_of(on: object) -> date:
    """Return the day that was named, or today."""
    return on.date() if hasattr(on, "date") else startup.today()


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


@value_group.command("set")
@click.argument("set_id", type=int)
@click.argument("amount", type=AMOUNT)
@click.argument("currency")
@click.option("--lacking", default="", help="Missing volume; without it the value is of the complete set.")
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
    """Record what a set (its number is in 'intake sets') is worth as a whole, or without a volume."""
    figure = Figure(amount=amount, currency=currency, on=day_of(on), basis=Basis(basis), source=source, note=note)
    with context.library() as library:
        made = value_copies.value_set(
            library, set_id, figure, lacking=lacking, station=context.settings.station, today=startup.today()
        )
    without = f" without volume {lacking}" if lacking else ""
    context.say(f"Set {set_id}{without} is worth {amount_text(made.amount, made.currency)}, {made.basis}, {made.on}.")


@value_group.command("total")
@click.argument("currency")
@on_option
@click.option("--basis", type=BASIS, help="Only values on this basis; else the latest on any.")
@SHOW_ALL
@pass_context
def total_command(context: CommandContext, currency: str, on: object, basis: str | None, *, show_all: bool) -> None:
    """Add up what all copies are worth, in one CURRENCY at the rates of one day."""
    with context.library() as library, library.reading() as records:
        added = value_copies.worth(records, currency, on=day_of(on), basis=Basis(basis) if basis else None)
    context.say(
        f"{amount_text(added.amount, added.currency)} on {added.on}, {counted(added.counted, 'copy', 'copies')}"
    )
    for (code, on_basis), (amount, count) in value_copies.recorded_sums(added).items():
        context.say(f"  recorded: {amount_text(amount, code)}, {on_basis}, {count}")
    for words in (*added.rates, value_copies.ROUNDING):
        context.say(f"  {words}")
    if added.unvalued:
        context.say(
            f"{counted(len(added.unvalued), 'copy without a value is', 'copies without a value are')} "
            f"not in the total; see 'intake value review {added.currency}'"
        )
    left_out = [worth for worth in added.worths if worth.valuation is not None and worth.amount is None]
    most = None if show_all else SHOWN
    for worth in left_out[:most]:
        context.say(f"  {worth.copy} not included: {worth.why}", style="yellow")
    context.say_left_out(len(left_out), most)


@value_group.command("review")
@click.argument("currency")
@click.option("--years", type=click.IntRange(1, 200), default=3, show_default=True, help="Values older than this.")
@on_option
@SHOW_ALL
@pass_context
def review_command(context: CommandContext, currency: str, years: int, on: object, *, show_all: bool) -> None:
    """List old values, values unlike those of like copies, and a range for copies without a value."""
    most = None if show_all else SHOWN
    with context.library() as library, library.reading() as records:
        review = value_copies.review(records, currency, on=day_of(on), years=years)
        code = review.added.currency
        context.say(f"Values more than {years} years old: {len(review.old)}")
        for old in review.old[:most]:
            context.say(f"  {old.copy}  {amount_text(old.amount, old.currency)}, {old.basis}, {old.on}")
        context.say_left_out(len(review.old), most)
        context.say(f"Values unlike those of like copies: {len(review.unlike)}")
        for unlike in review.unlike[:most]:
            context.say(f"  {unlike.copy}  {outlier_words(unlike, code)}")
        context.say_left_out(len(review.unlike), most)
        context.say(f"Copies without a value: {len(review.estimates) + len(review.alone)}")
        shown = list(review.estimates.values())[:most]
        copies = records.get_many(Copy, (worth.copy for worth in shown))
        editions = records.get_many(Edition, (copy.edition_id for copy in copies.values()))
        for worth in shown:
            title = editions[copies[worth.copy].edition_id]
            spread = f"{amount_text(worth.low, code)} to {amount_text(worth.high, code)}"
            context.say(f"  {worth.copy}  {spread} ({worth.count} of the same {worth.alike})  "
                        f"{title_words(title)}")  # fmt: skip
        context.say_left_out(len(review.estimates), most)
        if review.alone:
            context.say(f"  too few like copies for a range: {', '.join(review.alone[:most])}")
            context.say_left_out(len(review.alone), most)


@click.command("sets")
@pass_context
def sets_command(context: CommandContext) -> None:
    """List the sets: which volumes are missing, duplicated or still in a box, and what the loss of one costs."""
    with context.library() as library, library.reading() as records:
        states = value_copies.set_states(records)
        losses = value_copies.losses_by_set(records, states, today=startup.today())
        for state in states:
            complete = {True: "complete", False: f"{', '.join(state.gaps)} missing", None: "no gap known"}[
                state.complete
            ]
            context.say(f"Set {state.set.id}  {state.set.title}: {counted(len(state.volumes), 'volume')}, {complete}")
            if state.doubles:
                context.say(f"  duplicated: {', '.join(state.doubles)}")
            for name, box in state.boxed.items():
                context.say(f"  volume {name} is in box {box}")
            if state.set.id not in losses:
                continue
            whole, of_volumes = losses[state.set.id]
            for loss in of_volumes:
                amount = amount_text(loss.difference, whole.currency)
                context.say(f"  loss of volume {loss.volume}: {amount} ({loss.method})")


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
