"""`intake check`, `backup`, `restore`: is the library whole, one archive of it, and a library from that."""

import shlex
from pathlib import Path

import click

from intake.cli import startup
from intake.cli.context import SHOW_ALL, CommandContext, PathArgument, pass_context, say_error
from intake.errors import RefusedError, UsageError
from intake.flow.lookup.action_words import unarchived_words
from intake.flow.safekeeping import backups
from intake.flow.safekeeping.check_library import check_library, head_of
from intake.flow.safekeeping.finding_words import SHOWN, caveat, report_lines, verdict_words
from intake.flow.safekeeping.remedies import lost_by_archive, remedy
from intake.flow.safekeeping.restored_words import rebuilt_lines, restored_lines, written_lines
from intake.units.counts import counted


@click.command("check")
@click.option("--against", metavar="HEAD", default="", help="A head printed earlier, which the ledger must have.")
@SHOW_ALL
@pass_context
def check_command(context: CommandContext, *, against: str, show_all: bool) -> None:
    """Check the library: database, ledger, every record against the ledger, every picture against its SHA-256.

    Leaves with status 1 where something is wrong; notes alone leave it at 0.
    """
    if against:
        head_of(against)
    with context.library() as library:
        report = check_library(library, against=against)
    place = context.settings.library
    for line in (*report_lines(report, None if show_all else SHOWN), *map(unarchived_words, lost_by_archive(report))):
        context.say(line)
    context.say(caveat(place))
    if report.is_sound:
        context.say()
        context.say(verdict_words(report), style="bold")
        return
    context.say(verdict_words(report), style="bold")
    say_error(str(RefusedError(f"The library {place}", "is not whole", remedy(place, report))))
    raise click.exceptions.Exit(1)


@click.command("backup")
@click.argument("file", type=PathArgument, required=False)
@click.option(
    "--daily", type=click.IntRange(0, 1000), help="Write one at each day's first change; keep so many (0: none)."
)
@click.option("--no-daily", is_flag=True, help="Write none by itself any more.")
@pass_context
def backup_command(context: CommandContext, file: Path | None, *, daily: int | None, no_daily: bool) -> None:
    """Write the library, with its pictures, into one archive, FILE; or set that it does so by itself.

    A daily archive lies in the library's own folder: copy it to another disk now and then. A library that is not whole
    is written too, as it is; that is said, and the status is 1.
    """
    if daily is not None and no_daily:
        why = "say the opposite of each other"
        raise UsageError("--daily and --no-daily", why, "give one of them")
    if file is None and daily is None and not no_daily:
        raise UsageError("intake backup", "needs a file, --daily or --no-daily", "name the archive, such as books.zip")
    with context.library() as library:
        if daily is not None or no_daily:
            backups.set_daily(library.folder, daily or 0)
            context.say(
                f"At each day's first change an archive is written; the latest {daily} are kept."
                if daily
                else "No archive is written by itself any more."
            )
        if file is None:
            return
        result = backups.back_up(library, file, startup.now())
    for line in written_lines(result, file):
        context.say(line)
    if not result.is_whole:
        why = "is not whole; the archive has it as it is, and does not take the place of an earlier one that is whole"
        raise RefusedError(f"The library {context.settings.library}", why, "see what to do with 'intake check'")


@click.command("restore")
@click.argument("source", type=PathArgument)
@click.option("--to", "named", required=True, help="A new folder, or postgresql://… of an empty database.")
@click.option("--accept-loss", is_flag=True, help="Make it without what is lost, or damaged in an archive.")
@click.option("--pictures-from", type=PathArgument, help="An archive with pictures that a damaged library lost.")
@pass_context
def restore_command(
    context: CommandContext, source: Path, *, named: str, accept_loss: bool, pictures_from: Path | None
) -> None:
    """Make a library from SOURCE, with the same records, pictures and head; no entry is added.

    SOURCE is an archive, also one that was unpacked or packed anew, or the folder of a damaged library: that is made
    anew from its ledger, where the ledger is whole. Pictures that it lost are taken out of its latest archive, or the
    one named. What would be lost is named, and refused without --accept-loss; with it, pictures that are damaged in an
    archive are left out. Where an archive is of a library that was not whole, what is wrong is named, and the status
    is 1.
    """
    if source.is_file() and pictures_from is not None:
        why = "is for the folder of a damaged library, and an archive has its own"
        raise UsageError("--pictures-from", why, "leave it out")
    place = startup.place_of(named)
    made = backups.restore(source, place, accept_loss=accept_loss, pictures_from=pictures_from)
    context.say(f"Made the library {place}: entry {made.entries}, {counted(made.pictures, 'picture')}.")
    for line in restored_lines(made):
        context.say(line)
    if made.rebuilt is not None:
        for line in rebuilt_lines(made.rebuilt):
            context.say(line)
    context.say(f"Its head is {made.head}. Check it with: intake --library {shlex.quote(str(place))} check")
    if not made.is_whole:
        why = "is as its archive has it, which is of a library that was not whole"
        raise RefusedError(f"The library {place}", why, "see what to do with 'intake check'")


COMMANDS = (check_command, backup_command, restore_command)
