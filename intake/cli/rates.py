"""`intake rates …`: exchange rates, imported or entered."""

from decimal import Decimal
from pathlib import Path

import click

from intake.cli import startup
from intake.cli.context import CommandContext, PathArgument, pass_context
from intake.cli.valuing import AMOUNT, DAY, SHOWN, day_of, limit_option, source_option
from intake.flow.values import exchange_rates as rate_flow
from intake.flow.values.value_words import cut
from intake.units.counts import counted


@click.group("rates")
def rates_group() -> None:
    """Exchange rates by day: import a central bank's table, or enter one."""


@rates_group.command("import")
@click.argument("file", type=PathArgument)
@click.option("--base", default="EUR", show_default=True, help="The currency of which every rate converts one unit.")
@click.option("--source", default="European Central Bank", show_default=True)
@click.option("--currency", "currencies", multiple=True, help="Only this one; may be given several times.")
@click.option("--since", type=DAY, help="Only from this day on.")
@limit_option
@pass_context
def import_rates_command(
    context: CommandContext,
    file: Path,
    *,
    base: str,
    source: str,
    currencies: tuple[str, ...],
    since: object,
    limit: int,
) -> None:
    """Import the rates of a CSV FILE in the European Central Bank's form: one row per day, one column per currency."""
    read = rate_flow.read_rates(file, base=base, source=source)
    with context.library(create=True) as library:
        taken = rate_flow.import_rates(
            library,
            read,
            name=file.name,
            currencies=[rate_flow.currency_code(code) for code in currencies],
            since=day_of(since) if since else None,
            station=context.settings.station,
            today=startup.today(),
        )
    for line in cut([f"{file.name}: {fault}" for fault in read.faults], limit):
        context.say(line, style="yellow")
    context.say(
        f"{file.name}: {counted(taken.made, 'new rate')}, {taken.altered} corrected, {taken.unchanged} unchanged"
        + (f", {counted(read.without, 'cell')} without a rate" if read.without else "")
    )
    gaps = [f"  {currency}: none between {before} and {after}" for currency, before, after in taken.gaps]
    for line in cut(gaps, limit):
        context.say(line)
    if gaps:
        context.say(f"{rate_flow.HOW_LONG} On later days of a gap nothing is converted.")


@rates_group.command("enter")
@click.argument("base")
@click.argument("currency")
@click.argument("rate", type=AMOUNT)
@click.option("--on", type=DAY, help=f"Day of the rate, as 2026-03-31; else today. {rate_flow.HOW_LONG}")
@source_option
@pass_context
def enter_rate_command(
    context: CommandContext, base: str, currency: str, rate: Decimal, on: object, source: str
) -> None:
    """Record how much of CURRENCY one BASE is on a day."""
    with context.library(create=True) as library:
        made = rate_flow.enter_rate(
            library,
            base,
            currency,
            rate,
            on=day_of(on),
            source=source,
            station=context.settings.station,
            today=startup.today(),
        )
        with library.reading() as records:
            before = rate_flow.rate_before(records, made)
    context.say(f"{made.base} 1 = {made.currency} {made.per_base} on {made.on}.")
    if before is not None:
        words = f"On {before.on}, {made.base} 1 was {made.currency} {before.per_base}"
        context.say(f"Is that right? {words}; 'intake undo' takes the new rate back.", style="yellow")


@rates_group.command("list")
@click.argument("currency")
@click.option("--limit", type=click.IntRange(1, 100_000), default=SHOWN, show_default=True)
@pass_context
def list_rates_command(context: CommandContext, currency: str, limit: int) -> None:
    """List the latest rates of a CURRENCY, and those given for one of it."""
    with context.library() as library, library.reading() as records:
        rates = rate_flow.known_rates(records, currency)
    context.table(("Day", "Of", "Is", "Source"), map(rate_flow.rate_row, reversed(rates[-limit:])))
    if len(rates) > limit:
        earlier = counted(len(rates) - limit, "earlier rate is", "earlier rates are")
        context.say(f"{earlier} not shown: --limit {len(rates)} shows all")


COMMANDS = (rates_group,)
