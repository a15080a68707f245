"""`intake schedule …` and `verify`: lists for insurer, carrier and customs, and their proof."""

from pathlib import Path

import click

from intake.cli.context import SHOW_ALL, CommandContext, PathArgument, pass_context
from intake.cli.papers import paper_command
from intake.errors import RefusedError, UsageError
from intake.flow.papers import registry, verify_list, verify_rows

SCHEDULES = (
    registry.INSURANCE,
    registry.HIGH_VALUE,
    registry.MOVE,
    registry.CUSTOMS,
    registry.HOUSEHOLD,
    registry.COPY,
)

schedule_group = click.Group(
    "schedule",
    commands=[paper_command(paper) for paper in SCHEDULES],
    help="Write lists for an insurer, a carrier or a customs office, each with its proof.",
)


@click.command("verify")
@click.argument("file", type=PathArgument, required=False)
@click.option("--text", default="", help="The words of the proof, instead of a file.")
@SHOW_ALL
@pass_context
def verify_command(context: CommandContext, file: Path | None, text: str, *, show_all: bool) -> None:
    """Check a printed list against the library: FILE is its .pdf, .xlsx, .csv, or a picture of its symbol.

    The rows of a .csv are compared too.

    Leaves with status 1 where the list is not this library's, or said something else than the ledger; and where the
    library is not as its ledger left it, which is then said of the library and not of the list.
    """
    rows = verify_rows.read_rows(file) if file is not None else None
    proof = verify_list.read_proof(text) if text else None
    if file is not None and not text:
        proof = verify_list.find_proof(file)
    if proof is None:
        raise UsageError("The proof", "cannot be read", "name the file, or give all its words with --text")
    with context.library() as library:
        verdict = verify_list.verify(library, proof, rows)
    for line in verify_list.result_lines(verdict, shown=None if show_all else verify_list.SHOWN):
        context.say(line)
    if not verdict.is_judged or (verdict.is_true and not verdict.sound):
        judged = "the list is true by the ledger" if verdict.is_true else "no list can be judged by it"
        why = f"is not as its ledger left it; {judged}"
        raise RefusedError(f"The library {context.settings.library}", why, "see what to do with 'intake check'")
    if not verdict.sound:
        raise RefusedError("The list", "does not agree with the ledger", "ask for a new one, or for the right library")


COMMANDS = (schedule_group, verify_command)
