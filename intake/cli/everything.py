"""`intake export everything FOLDER` and `intake import everything FOLDER`: a library carried over whole."""

from pathlib import Path

import click

from intake.cli.context import CommandContext, PathArgument, pass_context
from intake.errors import RefusedError
from intake.flow.lists.everything_files import NUMBERS_FILE
from intake.flow.lists.everything_words import CARRIED_WITHOUT, left_behind
from intake.flow.lists.export_everything import export_everything
from intake.flow.lists.import_everything import import_everything
from intake.flow.lists.row_words import bad_row_sentence
from intake.units.counts import counted

BAD_ROWS_SHOWN = 20


@click.command("everything")
@click.argument("folder", type=PathArgument)
@pass_context
def export_all(context: CommandContext, folder: Path) -> None:
    """Write all current records to a new FOLDER of CSV files, from which a library can be made again.

    The ledger and the pictures are not among them: 'intake backup' and a copy of the library's folder keep those. What
    lists depend on is: which editions were merged into others, and what each list said, so that a list that is imported
    again into the library made from FOLDER is the same list there.
    """
    with context.library() as library:
        context.say_end_caution(library)
        written = export_everything(library, folder)
    _show_rows(context, "wrote", written.rows)
    context.say(left_behind(written))


@click.command("everything")
@click.argument("folder", type=PathArgument)
@click.option("--dry-run", is_flag=True, help="Read and check all files, and change nothing.")
@click.option("--all", "show_all", is_flag=True, help="Show every row that cannot be used.")
@pass_context
def import_all(context: CommandContext, folder: Path, *, dry_run: bool, show_all: bool) -> None:
    """Make a library from a FOLDER that 'intake export everything' wrote.

    Copies, boxes and places keep their numbers. Only into an empty library; all or nothing. A list that was imported
    into the library that FOLDER is of is the same list in this one.
    """
    result = import_everything(context.settings.library, folder, dry_run=dry_run, station=context.settings.station)
    for name in result.ignored:
        context.say(f"{name} is not a file of an export, and is not read.")
    most = None if show_all else BAD_ROWS_SHOWN
    for name, bad in result.bad_rows[:most]:
        context.say(f"{name} line {bad.line}: {bad_row_sentence(bad)}")
    context.say_left_out(len(result.bad_rows), most)
    if result.bad_rows:
        why = f"has {counted(len(result.bad_rows), 'row')} that cannot be used; nothing was imported"
        raise RefusedError(str(folder), why, "correct them, or export again")
    _show_rows(context, "would make" if dry_run else "made", result.rows)
    if result.is_older:
        context.say(CARRIED_WITHOUT)


def _show_rows(context: CommandContext, verb: str, rows: dict[str, int]) -> None:
    total = sum(count for name, count in rows.items() if name != NUMBERS_FILE)
    context.say(f"{verb} {counted(total, 'record')}:")
    for name, count in rows.items():
        if count and name != NUMBERS_FILE:
            context.say(f"  {name}: {count}")
