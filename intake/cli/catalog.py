"""`intake import`, `find`, `status`, `history`, `undo`, `check`, `backup`: the catalog and the ledger."""

from pathlib import Path

import click

from intake.cli.context import CommandContext, PathArgument, pass_context
from intake.edges import clock, sheets
from intake.edges.store.queries.ledger_entries import count_records, ledger_head, verify_chain
from intake.errors import RefusedError, UsageError
from intake.flow.lists.import_list import ImportResult, ListKind, import_table
from intake.flow.lookup import resolve
from intake.flow.lookup.action_words import action_words
from intake.flow.lookup.find_lines import find_anything
from intake.flow.lookup.history import HistoryLine, history
from intake.flow.undo import undo

BAD_ROWS_SHOWN = 20


@click.command("import")
@click.argument("kind", type=click.Choice([kind.value for kind in ListKind]))
@click.argument("file", type=PathArgument)
@click.option("--dry-run", is_flag=True, help="Show what would change, and change nothing.")
@click.option("--skip-bad-rows", is_flag=True, help="Import the good rows even if others cannot be used.")
@click.option("--map", "pairs", multiple=True, metavar="FIELD=HEADING", help="Name the column of a field.")
@pass_context
def import_command(
    session: CommandContext, kind: str, file: Path, *, dry_run: bool, skip_bad_rows: bool, pairs: tuple[str, ...]
) -> None:
    """Import a CSV list: editions, printings, places, copies (box lists), boxes or a consignment.

    All or nothing: one bad row stops the import and is shown with its line and reason.
    """
    mapping = dict(_pair(pair) for pair in pairs)
    table = sheets.read_csv(file)
    with session.library(create=True) as library:
        result = import_table(
            library,
            ListKind(kind),
            table,
            file=file.name,
            mapping=mapping,
            dry_run=dry_run,
            skip_bad_rows=skip_bad_rows,
            station=session.settings.station,
            today=clock.today(),
        )
    show_import(session, file.name, result, dry_run=dry_run)
    if result.bad_rows and not skip_bad_rows and not dry_run:
        raise RefusedError(
            str(file),
            f"has {_count(len(result.bad_rows), 'row')} that cannot be used, so nothing was imported",
            "correct them, or leave them out with --skip-bad-rows",
        )


def show_import(session: CommandContext, name: str, result: ImportResult, *, dry_run: bool = False) -> None:
    """Say what an import did, and which rows cannot be used."""
    for bad in result.bad_rows[:BAD_ROWS_SHOWN]:
        session.say(f"{name} line {bad.line}: {bad.reason}")
    if len(result.bad_rows) > BAD_ROWS_SHOWN:
        session.say(f"… and {len(result.bad_rows) - BAD_ROWS_SHOWN} more")
    if dry_run or result.entry or not result.bad_rows:
        verb = "would make" if dry_run else "made"
        entry = f" (ledger entry {result.entry.seq})" if result.entry else ""
        numbers = f"{_count(result.made, 'record')}, altered {result.altered}, unchanged {result.unchanged}"
        session.say(f"{name}: {verb} {numbers}{entry}")


def _pair(text: str) -> tuple[str, str]:
    field, equals, heading = text.partition("=")
    if not equals or not field or not heading:
        raise UsageError(f"--map {text!r}", "is not of the form FIELD=HEADING", "write for example --map number=EAN")
    return field.strip(), heading.strip()


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


@click.command("find")
@click.argument("text", nargs=-1, required=True)
@click.option("--limit", default=20, show_default=True, type=click.IntRange(1, 1000))
@pass_context
def find_command(session: CommandContext, text: tuple[str, ...], limit: int) -> None:
    """Look a number or words up: editions, their copies, and where each one is."""
    with session.library() as library, library.reading() as records:
        found = find_anything(records, " ".join(text), limit)
    if not found:
        session.say("Nothing in the catalog matches.")
        raise click.exceptions.Exit(1)
    session.table(
        ("Number", "Title", "Edition", "Copy", "State", "Where"),
        ((line.number, line.title, line.edition, line.copy, line.state, line.where) for line in found),
        wraps=("Title", "Edition", "Where"),
    )


@click.command("status")
@pass_context
def status_command(session: CommandContext) -> None:
    """Say how far the work is: counts of editions, copies and boxes by state, and the query pile."""
    with session.library() as library, library.reading() as records:
        counts, head = count_records(records), ledger_head(records)
    session.say(f"Library {session.settings.library}")
    lines = [
        ("editions", counts.editions),
        *((f"copies {state}", number) for state, number in counts.copies.items()),
        *((f"boxes {state}", number) for state, number in counts.boxes.items()),
        ("waiting on the query pile", counts.waiting),
        ("ledger entries", counts.entries),
    ]
    for name, number in lines:
        session.say(f"{number:>8}  {name}")
    session.say(f"Ledger head {head}")


@click.command("history")
@click.argument("copy", required=False)
@click.option("--limit", default=20, show_default=True, type=click.IntRange(1, 100_000))
@pass_context
def history_command(session: CommandContext, copy: str | None, limit: int) -> None:
    """Show the last ledger entries, or everything that ever happened to one COPY."""
    with session.library() as library, library.reading() as records:
        accession = resolve.find_copy(records, copy).accession if copy else None
        lines = history(records, accession, limit)
    _show_history(session, lines)


def _show_history(session: CommandContext, lines: tuple[HistoryLine, ...]) -> None:
    session.table(
        ("Entry", "When (UTC)", "Station", "What", "Of", "Changed"),
        ((str(line.seq), line.when, line.station, line.what, line.subject, line.changed) for line in lines),
        wraps=("Of", "Changed"),
    )


@click.command("undo")
@click.argument("entry", required=False, type=click.IntRange(1))
@pass_context
def undo_command(session: CommandContext, entry: int | None) -> None:
    """Take back the last step, or the ledger ENTRY named; that is an entry too, and can be undone."""
    with session.library() as library:
        undone, by = undo(library, entry, station=session.settings.station)
    session.say(
        f"Took back entry {undone.seq}, '{action_words(undone.action)} {undone.action.subject}', with entry {by.seq}."
    )


@click.command("check")
@pass_context
def check_command(session: CommandContext) -> None:
    """Recompute the ledger's chain of SHA-256 digests from its first entry to its head."""
    with session.library() as library, library.reading() as records:
        broken = verify_chain(records)
        head = ledger_head(records)
    if broken is not None:
        raise RefusedError(
            f"Ledger entry {broken}", "does not agree with its digest", "restore the library from an earlier backup"
        )
    session.say(f"The ledger is whole; its head is {head}.")


@click.command("backup")
@click.argument("file", type=PathArgument)
@pass_context
def backup_command(session: CommandContext, file: Path) -> None:
    """Copy the database, as it is at this moment, to FILE; pictures lie in the library folder."""
    with session.library() as library:
        library.backup(file)
    session.say(f"Wrote {file}.")


COMMANDS = (
    import_command,
    find_command,
    status_command,
    history_command,
    undo_command,
    check_command,
    backup_command,
)
