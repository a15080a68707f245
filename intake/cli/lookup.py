"""`intake find`, `status`: what is where, and how far the work is."""

import click

from intake.cli.context import CommandContext, pass_context
from intake.edges.store.queries.ledger_entries import count_records, ledger_head
from intake.flow.lookup.find_lines import find_anything


@click.command("find")
@click.argument("text", nargs=-1, required=True)
@click.option("--limit", default=20, show_default=True, type=click.IntRange(1, 1000))
@pass_context
def find_command(context: CommandContext, text: tuple[str, ...], limit: int) -> None:
    """Look a number or words up: editions, their copies, and where each one is."""
    with context.library() as library, library.reading() as records:
        found = find_anything(records, " ".join(text), limit)
    if not found:
        context.say("Nothing in the catalog matches.")
        raise click.exceptions.Exit(1)
    context.table(
        ("Number", "Title", "Edition", "Copy", "State", "Where"),
        ((line.number, line.title, line.edition, line.copy, line.state, line.where) for line in found),
        wraps=("Title", "Edition", "Where"),
    )


@click.command("status")
@pass_context
def status_command(context: CommandContext) -> None:
    """Say how far the work is: counts of editions, copies and boxes by state, and the query pile."""
    with context.library() as library, library.reading() as records:
        counts, head = count_records(records), ledger_head(records)
    context.say(f"Library {context.settings.library}")
    lines = [
        ("editions", counts.editions),
        *((f"copies {state}", number) for state, number in counts.copies.items()),
        *((f"boxes {state}", number) for state, number in counts.boxes.items()),
        ("waiting on the query pile", counts.waiting),
        ("ledger entries", counts.entries),
    ]
    for name, number in lines:
        context.say(f"{number:>8}  {name}")
    context.say(f"Ledger head {head}")


COMMANDS = (find_command, status_command)
