"""`intake find`, `status`: what is where, and how far the work is."""

import click

from intake.cli import startup
from intake.cli.context import CommandContext, pass_context
from intake.flow.lookup.find_lines import find_anything
from intake.flow.lookup.reason_words import reasons_words
from intake.flow.lookup.status import LibraryStatus, library_status
from intake.flow.safekeeping import backups
from intake.flow.safekeeping.before_papers import refuse_end
from intake.flow.safekeeping.not_whole import refuse_marked
from intake.units.counts import noun


@click.command("find")
@click.argument("text", nargs=-1, required=True)
@click.option("--limit", default=20, show_default=True, type=click.IntRange(1, 1000))
@pass_context
def find_command(context: CommandContext, text: tuple[str, ...], limit: int) -> None:
    """Look up a number or words: editions, their copies, and where each copy is."""
    with context.library() as library, library.reading() as records:
        found = find_anything(records, " ".join(text), limit)
    if found.why:
        words = reasons_words(found.why)
        context.say(f"{words[:1].upper()}{words[1:]}.")
    if not found.lines:
        context.say("Nothing in the catalog matches; try fewer words.")
        raise click.exceptions.Exit(1)
    context.table(
        ("Number", "Title", "Edition", "Copy", "State", "Where"),
        ((line.number, line.title, line.edition, line.copy, line.state, line.where) for line in found.lines),
        wraps=("Title", "Edition", "Where"),
    )
    if found.more:
        context.say(f"The first {limit} are shown, the closest first; there are more: --limit shows them.")


@click.command("status")
@pass_context
def status_command(context: CommandContext) -> None:
    """Show how far the work is: editions, copies and boxes by state, and the query pile.

    Leaves with status 1 where a check or a backup found the library not whole, and none has found it whole since; or
    where entries are missing, or were altered at the ledger's end, as far as that shows without reading all of it.
    """
    with context.library() as library:
        with library.reading() as records:
            status = library_status(records)
        _show_status(context, status)
        refuse_end(library)
        refuse_marked(library)


def _show_status(context: CommandContext, status: LibraryStatus) -> None:
    counts = status.counts
    context.say(f"Library {context.settings.library}")
    context.say_own_folder()
    lines = [
        (noun(counts.editions, "edition"), counts.editions),
        *((f"{noun(number, 'copy', 'copies')} {state}", number) for state, number in counts.copies.items()),
        *((f"{noun(number, 'box', 'boxes')} {state}", number) for state, number in counts.boxes.items()),
        ("waiting on the query pile", counts.waiting),
        (noun(counts.entries, "ledger entry", "ledger entries"), counts.entries),
    ]
    for name, number in lines:
        context.say(f"{number:>8}  {name}")
    context.say(f"Ledger head {status.head}")
    state = backups.backup_state(context.settings.folder)
    context.say(backups.backup_words(state, counts.entries, startup.now()))


COMMANDS = (find_command, status_command)
