"""`intake run …`: what is known, held and missing of a serial; what to look for; which copies could go."""

from __future__ import annotations

import json

import click

from intake.cli import startup
from intake.cli.context import SHOW_ALL, CommandContext, pass_context
from intake.cli.run_answers import answer_object, gaps_object, say_answer, spare_object, view_object
from intake.errors import UsageError
from intake.flow.runs.named_serial import alike_titles
from intake.flow.runs.run_view import RunView, none_collects, run_view
from intake.flow.runs.serial_map import collected_parts
from intake.units.amounts import parse_priced

SHOWN = 20
AS_JSON = click.option("--json", "as_json", is_flag=True, help="Print one JSON object.")
SECONDS = click.option(
    "--seconds",
    default=5.0,
    show_default=True,
    type=click.FloatRange(min=0.1),
    help="How long to search for a proof; after that the best so far is shown with its bound.",
)


@click.group("run")
def run_group() -> None:
    """Serials that editions collect: what is held, what is missing, what to look for, what could go.

    One issue with two numbers, written 45/46, counts once and is held where either number is. What 'show --published'
    prints may be given as what an edition collects, behind the serial's title.
    """


def _print_json(shown: object) -> None:
    click.echo(json.dumps(shown, ensure_ascii=False))


@run_group.command("show")
@click.argument("serial")
@SHOW_ALL
@click.option("--published", is_flag=True, help="What is held as libraries publish it (ANSI/NISO Z39.71), no more.")
@AS_JSON
@pass_context
def show_command(context: CommandContext, serial: str, *, show_all: bool, published: bool, as_json: bool) -> None:
    """Show what is known of a SERIAL, what is held and where, the gaps, and an order to read it in."""
    with context.library() as library, library.reading() as reader:
        view = run_view(reader, serial)
    if as_json:
        _print_json(view_object(view))
        return
    if published:
        context.say(view.published)
        return
    context.say(f"{view.serial}: {view.counts}")
    context.say(f"  known    {view.known or 'nothing'}")
    context.say(f"  held     {view.held or 'nothing'}")
    _say_gaps(context, view, show_all=show_all)
    if view.longest:
        context.say(f"  longest unbroken stretch  {view.longest}")
    shown = None if show_all else SHOWN
    context.say("Editions")
    context.table(
        ("Edition", "Title", "Collects", "In no other", "Held", "Where"),
        (
            (one.key, one.name, one.collects, one.alone, one.holding.words, ", ".join((*one.where, *one.gone)))
            for one in view.editions[:shown]
        ),
        wraps=("Title", "Collects", "In no other", "Where"),
    )
    context.say_left_out(len(view.editions), shown)
    if view.reading:
        context.say("To read it with the fewest changes of volume")
        steps = enumerate(view.reading[:shown], 1)
        context.table(
            ("", "Parts", "Volume", "Copy"),
            ((str(nth), step.parts, step.name, step.where) for nth, step in steps),
            wraps=("Parts", "Volume", "Copy"),
        )
        context.say_left_out(len(view.reading), shown)
    for remark in view.remarks:
        context.say(remark, style="yellow")


def _say_gaps(context: CommandContext, view: RunView, *, show_all: bool) -> None:
    shown = None if show_all else SHOWN
    context.say(f"  missing  {'; '.join(view.gaps[:shown]) or 'nothing'}")
    context.say_left_out(len(view.gaps), shown)


@run_group.command("gaps")
@click.argument("serial")
@SHOW_ALL
@AS_JSON
@pass_context
def gaps_command(context: CommandContext, serial: str, *, show_all: bool, as_json: bool) -> None:
    """Show which parts of a SERIAL are missing."""
    with context.library() as library, library.reading() as reader:
        view = run_view(reader, serial)
    if as_json:
        _print_json(gaps_object(view))
        return
    context.say(f"{view.serial}: {view.counts}")
    _say_gaps(context, view, show_all=show_all)
    for remark in view.remarks:
        context.say(remark, style="yellow")


@run_group.command("extent")
@click.argument("serial")
@click.argument("extent", required=False, default="")
@click.option("--clear", is_flag=True, help="Take back what was given.")
@pass_context
def extent_command(context: CommandContext, serial: str, extent: str, *, clear: bool) -> None:
    """Record the whole EXTENT of a SERIAL, such as "1-120, annual 1-4"."""
    from intake.flow.runs.set_extent import set_extent  # noqa: PLC0415 - showing a serial needs none of it

    if clear == bool(extent.strip()):
        raise UsageError("The extent", "is missing", 'give it, such as "1-120", or --clear to take it back')
    with context.library() as library:
        entry = set_extent(library, serial, "" if clear else extent, station=context.settings.station)
        if entry is None:
            context.say("It is recorded so already.")
        elif clear:
            context.say(f"{serial}: the extent is taken back.")
        else:
            with library.reading() as reader:
                view = run_view(reader, serial)
                alike = alike_titles(collected_parts(reader), serial)
            context.say(f"{view.serial}: {view.counts}")
            for words in (*alike, *(() if view.editions else (none_collects(view.serial),))):
                context.say(words, style="yellow")


@run_group.command("seek")
@click.argument("serial")
@click.option("--parts", default="", metavar="PARTS", help='Only these, such as "84-89"; else every gap.')
@click.option("--budget", default="", metavar="AMOUNT", help='The most to spend, such as "80 EUR": the most parts.')
@click.option("--currency", default="", help="Three letters such as EUR; else that of most prices.")
@click.option("--fewest", is_flag=True, help="Fewest editions first, then least cost.")
@click.option("--prefer", default="", metavar="WORDS", help="A binding that is preferred between equal choices.")
@SECONDS
@AS_JSON
@pass_context
def seek_command(
    context: CommandContext,
    serial: str,
    *,
    parts: str,
    budget: str,
    currency: str,
    fewest: bool,
    prefer: str,
    seconds: float,
    as_json: bool,
) -> None:
    """Show which editions of the catalog close the gaps of a SERIAL for least money."""
    from intake.flow.runs.seek_editions import SeekRequest, seek_editions  # noqa: PLC0415 - loads the solver

    most, of_budget = parse_priced("budget", budget) if budget.strip() else (None, "")
    if of_budget and currency and of_budget.casefold() != currency.strip().casefold():
        raise UsageError(f"The currency {currency}", f"is not that of the budget, {of_budget}", "name one of them")
    request = SeekRequest(
        parts=parts,
        budget=most,
        currency=of_budget or currency,
        fewest=fewest,
        prefer=prefer,
        on=startup.today(),
        seconds=seconds,
    )
    with context.library() as library, library.reading() as reader:
        answer = seek_editions(reader, serial, request)
    if as_json:
        _print_json(answer_object(answer))
        return
    say_answer(context, answer)


@run_group.command("spare")
@click.option("--prefer", default="", metavar="WORDS", help="Only copies bound so may stand for one that goes.")
@SECONDS
@AS_JSON
@pass_context
def spare_command(context: CommandContext, *, prefer: str, seconds: float, as_json: bool) -> None:
    """Show which copies could go together, because every part of them is held in another, and free the most shelf."""
    from intake.flow.runs.spare_copies import BESIDE_PARTS, freed_words, none_words, spare_copies  # noqa: PLC0415 - loads the solver

    with context.library() as library, library.reading() as reader:
        answer = spare_copies(reader, prefer=prefer, seconds=seconds)
    if as_json:
        _print_json(spare_object(answer))
        return
    if not answer.copies:
        context.say(none_words(answer))
    else:
        context.table(
            ("Copy", "Edition", "Collects", "Also in", "Frees", "Value"),
            (
                (
                    one.copy,
                    one.name,
                    one.collects,
                    ", ".join(one.also_in),
                    "unknown" if one.frees_mm is None else f"{one.frees_mm:g} mm",
                    one.worth,
                )
                for one in answer.copies
            ),
            wraps=("Collects", "Also in"),
        )
        for one in answer.copies:
            if one.why:
                context.say(f"Why {one.copy} is kept: {one.why}", style="yellow")
        context.say(f"{freed_words(answer)}. {BESIDE_PARTS}")
    for remark in answer.remarks:
        context.say(remark, style="yellow")


COMMANDS = (run_group,)
