"""`intake import`: a person's own lists."""

from pathlib import Path

import click

from intake.cli import startup
from intake.cli.context import CommandContext, PathArgument, pass_context
from intake.edges import sheets
from intake.errors import RefusedError, UsageError
from intake.flow.lists.import_list import ImportResult, ListKind, import_table

BAD_ROWS_SHOWN = 20


@click.command("import")
@click.argument("kind", type=click.Choice([kind.value for kind in ListKind]))
@click.argument("file", type=PathArgument)
@click.option("--dry-run", is_flag=True, help="Show what would change, and change nothing.")
@click.option("--skip-bad-rows", is_flag=True, help="Import the good rows even if others cannot be used.")
@click.option("--map", "pairs", multiple=True, metavar="FIELD=HEADING", help="Name the column of a field.")
@pass_context
def import_command(
    context: CommandContext, kind: str, file: Path, *, dry_run: bool, skip_bad_rows: bool, pairs: tuple[str, ...]
) -> None:
    """Import a CSV list: editions, printings, places, copies (box lists), boxes or a consignment.

    All or nothing: one bad row stops the import and is shown with its line and reason.
    """
    mapping = dict(_pair(pair) for pair in pairs)
    table = sheets.read_csv(file)
    with context.library(create=True) as library:
        result = import_table(
            library,
            ListKind(kind),
            table,
            file=file.name,
            mapping=mapping,
            dry_run=dry_run,
            skip_bad_rows=skip_bad_rows,
            station=context.settings.station,
            today=startup.today(),
        )
    show_import(context, file.name, result, dry_run=dry_run)
    if result.bad_rows and not skip_bad_rows and not dry_run:
        raise RefusedError(
            str(file),
            f"has {_count(len(result.bad_rows), 'row')} that cannot be used, so nothing was imported",
            "correct them, or leave them out with --skip-bad-rows",
        )


def show_import(context: CommandContext, name: str, result: ImportResult, *, dry_run: bool = False) -> None:
    """Say what an import did, and which rows cannot be used."""
    for bad in result.bad_rows[:BAD_ROWS_SHOWN]:
        context.say(f"{name} line {bad.line}: {bad.reason}")
    if len(result.bad_rows) > BAD_ROWS_SHOWN:
        context.say(f"… and {len(result.bad_rows) - BAD_ROWS_SHOWN} more")
    if dry_run or result.entry or not result.bad_rows:
        verb = "would make" if dry_run else "made"
        entry = f" (ledger entry {result.entry.seq})" if result.entry else ""
        numbers = f"{_count(result.made, 'record')}, altered {result.altered}, unchanged {result.unchanged}"
        context.say(f"{name}: {verb} {numbers}{entry}")


def _pair(text: str) -> tuple[str, str]:
    field, equals, heading = text.partition("=")
    if not equals or not field or not heading:
        raise UsageError(f"--map {text!r}", "is not of the form FIELD=HEADING", "write for example --map number=EAN")
    return field.strip(), heading.strip()


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


COMMANDS = (import_command,)
