"""`intake history`, `undo`: what was done, and taken back."""

import click

from intake.cli.context import CommandContext, pass_context
from intake.errors import RefusedError
from intake.flow.lookup.action_words import action_words, subject_words
from intake.flow.lookup.history import HistoryLine, copy_history, latest_history
from intake.flow.lookup.resolve import copy_number
from intake.flow.undo import undo, undone_step


@click.command("history")
@click.argument("copy_text", metavar="[COPY]", required=False)
@click.option("--limit", default=20, show_default=True, type=click.IntRange(1, 100_000))
@pass_context
def history_command(context: CommandContext, copy_text: str | None, limit: int) -> None:
    """Show the last steps in the ledger, or everything that ever happened to one COPY."""
    if copy_text:
        _show_copy(context, copy_text)
        return
    with context.library() as library, library.reading() as records:
        history = latest_history(records, limit)
    context.table(
        ("Entry", "When (UTC)", "Station", "What", "Of"),
        (_cells(line) for line in history.lines),
        wraps=("Of",),
    )
    if history.older is not None:
        context.say(f"These are the latest {limit} steps, newest first; --limit shows more.")


def _show_copy(context: CommandContext, text: str) -> None:
    with context.library() as library, library.reading() as records:
        accession = copy_number(records, text)
        lines = copy_history(records, accession)
    if not lines:
        raise RefusedError(f"Copy {accession}", "is not in the ledger", "look for it with 'intake find'")
    context.table(
        ("Entry", "When (UTC)", "Station", "What", "Of", "Changed"),
        ((*_cells(line), line.changed) for line in lines),
        wraps=("Of", "Changed"),
    )


def _cells(line: HistoryLine) -> tuple[str, ...]:
    return line.entries, line.when, line.station, line.what, line.subject


@click.command("undo")
@click.argument("entry", required=False, type=click.IntRange(1))
@pass_context
def undo_command(context: CommandContext, entry: int | None) -> None:
    """Take back the last step, or the ledger ENTRY named; that is an entry too, and can be undone."""
    with context.library() as library:
        undone, by = undo(library, entry, station=context.settings.station)
        with library.reading() as records:
            step, again = undone_step(records, undone)
    words = f"entry {step.seq}, '{action_words(step.action)}' of {subject_words(step.action)},"
    context.say(f"Did {words} again with entry {by.seq}." if again else f"Took back {words} with entry {by.seq}.")


COMMANDS = (history_command, undo_command)
