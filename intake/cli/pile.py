"""`intake pile`: what could not be decided while unpacking."""

import click

from intake.cli import startup
from intake.cli.context import CommandContext, pass_context
from intake.errors import RefusedError, UsageError
from intake.flow.lookup.reason_words import query_reason
from intake.flow.lookup.wording import whole_words
from intake.flow.unpacking.query_pile import (
    PileItem,
    decide,
    decide_new_edition,
    find_query,
    pile,
    set_aside,
)
from intake.flow.unpacking.scan_results import option_words
from intake.identifiers.parse import parse
from intake.model.editions import Edition
from intake.model.identifiers import Identifier
from intake.model.sightings import Picture


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
    if not items:
        context.say("Nothing waits.")


def _show(context: CommandContext, item: PileItem) -> None:
    query = item.query
    where = f", box {query.box}" if query.box else ""
    context.say(f"{query.id:>3}  {query.number or 'nothing read'}{where}: {query_reason(query)}")
    for number, option in enumerate(item.options, 1):
        context.say(f"     {number}  {whole_words(option.edition)}: {option_words(option)}")


@pile_group.command("decide")
@click.argument("query", type=click.IntRange(1))
@click.option("--option", type=click.IntRange(1), help="Book it as this option of the list.")
@click.option("--new-title", help="Book it as a copy of a new edition with this title.")
@click.option("--not-a-book", is_flag=True, help="Take it off the pile; nothing is booked.")
@pass_context
def decide_command(
    context: CommandContext, query: int, option: int | None, new_title: str | None, *, not_a_book: bool
) -> None:
    """Decide one QUERY."""
    if sum((option is not None, new_title is not None, not_a_book)) != 1:
        remedy = "give one of --option, --new-title and --not-a-book"
        raise UsageError(f"Query {query}", "needs exactly one decision", remedy)
    station = context.settings.station
    with context.library() as library:
        with library.reading() as records:
            item = find_query(records, query)
        if not_a_book:
            set_aside(library, query, station=station)
            context.say(f"Query {query} is off the pile: not a book.")
            return
        if new_title is not None:
            decided = decide_new_edition(
                library, query, _new_edition(item, new_title), station=station, now=startup.now()
            )
        else:
            if option is None or option > len(item.options):
                remedy = "list them with 'intake pile list'"
                raise RefusedError(f"Query {query}", f"has {len(item.options)} options", remedy)
            decided = decide(library, query, item.options[option - 1], station=station, now=startup.now())
    context.say(f"Query {query} is copy {decided.copy.accession}.")


def _new_edition(item: PileItem, title: str) -> Edition:
    found = parse(item.query.number or "")
    if isinstance(found, Identifier):
        return Edition(id=0, title=title, number=found.number, add_on=found.add_on)
    return Edition(id=0, title=title)


COMMANDS = (pile_group,)
