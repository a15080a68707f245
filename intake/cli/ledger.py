"""`intake history`, `undo`, `check`, `backup`: what was done, taken back, verified and copied."""

from pathlib import Path

import click

from intake.cli.context import CommandContext, PathArgument, pass_context
from intake.errors import RefusedError
from intake.flow.lookup import resolve
from intake.flow.lookup.action_words import action_words, subject_words
from intake.flow.lookup.history import HistoryLine, copy_history, latest_history
from intake.flow.lookup.status import check_ledger
from intake.flow.undo import undo
from intake.model.identifiers import OwnKind


@click.command("history")
@click.argument("copy_text", metavar="[COPY]", required=False)
@click.option("--limit", default=20, show_default=True, type=click.IntRange(1, 100_000))
@pass_context
def history_command(context: CommandContext, copy_text: str | None, limit: int) -> None:
    """Show the last steps in the ledger, or everything that ever happened to one COPY."""
    if copy_text:
        _show_copy(context, resolve.own_number(copy_text, OwnKind.COPY))
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


def _show_copy(context: CommandContext, accession: str) -> None:
    with context.library() as library, library.reading() as records:
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
    words = f"'{action_words(undone.action)}' of {subject_words(undone.action)}"
    context.say(f"Took back entry {undone.seq}, {words}, with entry {by.seq}.")


@click.command("check")
@pass_context
def check_command(context: CommandContext) -> None:
    """Recompute the ledger's chain of SHA-256 digests from its first entry to its head."""
    with context.library() as library, library.reading() as records:
        chain = check_ledger(records)
    if chain.broken is not None:
        raise RefusedError(
            f"Ledger entry {chain.broken}",
            "does not agree with its digest",
            "restore the library from an earlier backup",
        )
    context.say(f"The ledger is whole; its head is {chain.head}.")


@click.command("backup")
@click.argument("file", type=PathArgument)
@pass_context
def backup_command(context: CommandContext, file: Path) -> None:
    """Copy the database, as it is at this moment, to FILE; pictures lie in the library folder."""
    with context.library() as library:
        library.backup(file)
    context.say(f"Wrote {file}.")


COMMANDS = (history_command, undo_command, check_command, backup_command)
