"""`intake pile`: what could not be decided while unpacking."""

from collections.abc import Sequence

import click

from intake.cli import startup
from intake.cli.context import CommandContext, pass_context
from intake.errors import FileError, UsageError
from intake.flow.lookup.identify import edition_number
from intake.flow.lookup.lookup_targets import waiting_targets
from intake.flow.lookup.reason_words import query_reason
from intake.flow.lookup.wording import whole_words
from intake.flow.unpacking.query_pile import (
    PileItem,
    decide,
    decide_new_edition,
    find_query,
    named_option,
    pile,
    set_aside,
)
from intake.flow.unpacking.scan_results import option_name, option_words
from intake.model.editions import Edition
from intake.model.sightings import Picture
from intake.units.counts import counted


@click.group("pile")
def pile_group() -> None:
    """See and decide what waits on the query pile."""


@pile_group.command("list")
@pass_context
def list_command(context: CommandContext) -> None:
    """List what waits, with the picture and what each may be."""
    with context.library() as library, library.reading() as records:
        items = pile(records)
        pictures = {item.query.id: records.get(Picture, item.query.picture or "") for item in items}
        for item in items:
            _show(context, item)
            picture = pictures[item.query.id]
            if picture is not None:
                context.say(f"     picture {picture.name}: {library.picture_path(picture.sha256)}")
        unknown = len(waiting_targets(records))
    if not items:
        context.say("Nothing waits.")
        return
    _say_how(context, items)
    if unknown and _has_servers(context):
        context.say(f"{counted(unknown, 'unknown number')}: 'intake lookup --waiting' asks the libraries' servers.")


def _say_how(context: CommandContext, items: Sequence[PileItem]) -> None:
    """Name the commands that decide the first query with answers, and the first without."""
    answered = next((item.query.id for item in items if item.options), None)
    if answered is not None:
        how = f"'intake pile decide {answered} --as NAME'"
        context.say(f"Decide one by its number and an answer as it is named here: {how}.")
    first = next((item.query.id for item in items if not item.options), items[0].query.id)
    rest = f"'intake pile decide {first} --new-title TITLE' or '--not-a-book'"
    context.say(f"One that is none of the answers, or has none: {rest}; '--as new:EDITION' or '--as listed:COPY' too.")


def _has_servers(context: CommandContext) -> bool:
    """Return whether a server was set; a setting that cannot be read is said, and stops nothing here."""
    try:
        return bool(startup.lookup_urls(context.settings.library))
    except FileError as error:
        context.say(str(error))
        return False


def _show(context: CommandContext, item: PileItem) -> None:
    query = item.query
    where = f", box {query.box}" if query.box else ""
    context.say(f"{query.id:>3}  {query.number or 'nothing read'}{where}: {query_reason(query)}")
    for option in item.options:
        context.say(f"     {option_name(option)}  {whole_words(option.edition)}: {option_words(option)}")


@pile_group.command("decide")
@click.argument("query", type=click.IntRange(1))
@click.option("--as", "answer", metavar="NAME", help="Book it as this answer, named as 'intake pile list' shows it.")
@click.option("--new-title", help="Book it as a copy of a new edition with this title.")
@click.option("--not-a-book", is_flag=True, help="Take it off the pile; nothing is booked.")
@pass_context
def decide_command(
    context: CommandContext, query: int, answer: str | None, new_title: str | None, *, not_a_book: bool
) -> None:
    """Decide one QUERY."""
    if sum((answer is not None, new_title is not None, not_a_book)) != 1:
        remedy = "give one of --as, --new-title and --not-a-book"
        raise UsageError(f"Query {query}", "needs exactly one decision", remedy)
    station = context.settings.station
    with context.library() as library:
        with library.reading() as records:
            item = find_query(records, query)
            option = named_option(records, answer) if answer is not None else None
        if not_a_book:
            set_aside(library, query, station=station)
            context.say(f"Query {query} is off the pile: not a book.")
            return
        if option is not None:
            decided = decide(library, query, option, station=station, now=startup.now())
        else:
            edition = _new_edition(item, new_title or "")
            decided = decide_new_edition(library, query, edition, station=station, now=startup.now())
    context.say(f"Query {query} is copy {decided.copy.accession}.")


def _new_edition(item: PileItem, title: str) -> Edition:
    number = edition_number(item.query.number or "")
    if number is None:
        return Edition(id=0, title=title)
    return Edition(id=0, title=title, number=number.number, add_on=number.add_on)


COMMANDS = (pile_group,)
