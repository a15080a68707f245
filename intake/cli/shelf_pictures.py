"""`intake check-shelf`, `draw`: photographs of shelves compared with the record, and drawings of bookcases."""

import sys
from pathlib import Path

import click

from intake.cli import startup
from intake.cli.context import CommandContext, PathArgument, pass_context
from intake.cli.papers import paper_command
from intake.errors import UsageError
from intake.flow.papers import registry
from intake.flow.pictures.read_shelf import read_labels, read_spines
from intake.flow.shelves import check_shelf
from intake.flow.shelves.check_spines import SpineQuestion, check_spines
from intake.units.counts import counted


@click.command("check-shelf")
@click.argument("picture", nargs=-1, required=True, type=PathArgument)
@click.option("--shelf", default="", help="Shelf of the upper row, where its label is not in the picture.")
@click.option("--record", is_flag=True, help="Record a sighting of every copy that was seen.")
@click.option(
    "--spines",
    is_flag=True,
    help="Identify unlabelled spines by their text; needs --shelf, and installation with [ocr].",
)
@pass_context
def check_command(
    context: CommandContext, picture: tuple[Path, ...], *, shelf: str, record: bool, spines: bool
) -> None:
    """Compare photographs of shelves with the record: in place, misplaced, missing, foreign."""
    if spines:
        _check_spines(context, picture, shelf)
        return
    decoders = context.decoders()
    with context.library() as library:
        for path in picture:
            readings = read_labels(path, decoders)
            with library.reading() as records:
                reports = check_shelf.check_shelves(records, readings, shelf_text=shelf)
            for report in reports:
                _say_report(context, path, report)
            if record:
                station, now = context.settings.station, startup.now()
                seen = check_shelf.note_sightings(library, reports, picture=None, station=station, now=now)
                context.say(f"  Recorded {counted(seen, 'copy', 'copies')} as seen.")


def _say_report(context: CommandContext, path: Path, report: check_shelf.ShelfReport) -> None:
    check = report.diagnosis
    counts = (len(check.in_place), len(check.misplaced), len(check.missing), len(check.foreign))
    words = "{} in place, {} misplaced, {} missing, {} foreign".format(*counts)
    context.say(f"{path.name}  {report.where}: {words}", style="bold")
    for sentence in report.sentences:
        context.say(f"  {sentence}")


def _check_spines(context: CommandContext, paths: tuple[Path, ...], shelf: str) -> None:
    if not shelf:
        raise UsageError("--spines", "needs to know which shelf the picture shows", "name it with --shelf")

    def ask(question: SpineQuestion) -> str | None:
        if not sys.stdin.isatty() or not question.candidates:
            return None
        context.say(f"A spine reads '{question.text}'.")
        for number, words in enumerate(question.words, 1):
            context.say(f"  {number}  {words}")
        answer = click.prompt("Which is it (0 for none)", type=click.IntRange(0, len(question.candidates)))
        return question.candidates[answer - 1] if answer else None

    with context.library() as library, library.reading() as records:
        for path in paths:
            lines = read_spines(path)
            report = check_spines(records, lines, shelf_text=shelf, ask=ask)
            for spine in report.spines:
                mark = f"{spine.copy} {spine.confidence:.0%}" if spine.sure else f"? {spine.confidence:.0%}"
                context.say(f"  {mark}  {spine.text}")
            _say_report(context, path, report.shelf)


draw_command = paper_command(registry.BOOKCASES, "draw")

COMMANDS = (check_command, draw_command)
