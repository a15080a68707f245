"""`intake condition …`: recording the condition of copies, and printing it before and after the move."""

from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import TypedDict, Unpack

import click

from intake.cli import startup
from intake.cli.context import CommandContext, PathArgument, pass_context
from intake.cli.papers import paper_command
from intake.cli.parameters import day
from intake.errors import UsageError
from intake.flow.condition import condition_report as condition_flow
from intake.flow.condition.change_words import copy_change_lines
from intake.flow.condition.condition_report import Inspection
from intake.flow.condition.inspect_copy import question_about
from intake.flow.condition.picture_changes import changes_of_copy, save_pair
from intake.flow.lookup.handling_words import damp_cautions
from intake.flow.lookup.wording import printing_ordinal_words
from intake.flow.papers import registry
from intake.flow.papers.copy_words import condition_words, report_words
from intake.model.condition import ALWAYS_STATED, PARTS, Occasion
from intake.model.editions import Covering, Finish, Grade, Sewing


class SeenOptions(TypedDict):
    """The options that describe the condition of a copy."""

    grade: str | None
    jacket: str | None
    wrapped: bool | None
    defects: tuple[str, ...]
    stated: tuple[str, ...]
    number_line: str | None
    sewing: str | None
    covering: str | None
    finish: str | None
    slipcase: bool | None
    signed: str | None
    limitation: str | None
    occasion: str | None
    seen_on: date | None
    note: str


@click.group("condition")
def condition_group() -> None:
    """Record the condition of copies, and print it before and after the move side by side."""


@condition_group.command("record")
@click.argument("copy_text", metavar="COPY")
@click.option("--grade", type=click.Choice([g.value for g in Grade], case_sensitive=False))
@click.option("--jacket", type=click.Choice([*(g.value for g in Grade), "none"], case_sensitive=False))
@click.option("--wrapped/--opened", "wrapped", default=None, help="Still wrapped and unopened, or not.")
@click.option("--defect", "defects", multiple=True, metavar="PART=WORDS",
              help=f"PART is one of {', '.join(PARTS)}; WORDS as 'rubbed, stained at the foot'.")  # fmt: skip
@click.option(
    "--stated", multiple=True, help=f"A defect that is stated whatever the grade: {', '.join(ALWAYS_STATED)} …"
)
@click.option("--number-line", help="The printer's key as printed; it identifies the printing.")
@click.option("--sewing", type=click.Choice([s.value for s in Sewing]))
@click.option("--covering", type=click.Choice([c.value for c in Covering]))
@click.option("--finish", type=click.Choice([f.value for f in Finish]))
@click.option("--slipcase/--no-slipcase", default=None)
@click.option("--signed", help="By whom it is signed or inscribed.")
@click.option("--limitation", help="Number of a numbered copy, as '27 of 250'.")
@click.option(
    "--occasion",
    type=click.Choice([o.value for o in Occasion]),
    help="When it was inspected; else inferred from where the copy is.",
)
@click.option("--on", "seen_on", type=day, help="Day on which it was inspected, if not today.")
@click.option("--photograph", "photographs", multiple=True, type=PathArgument, help="May be given several times.")
@click.option("--note", default="")
@pass_context
def record_command(
    context: CommandContext, copy_text: str, photographs: tuple[Path, ...], **options: Unpack[SeenOptions]
) -> None:
    """Record the condition of a COPY; what is not given stays as it was.

    A report of an earlier day, or of before the move, leaves the present condition as it is.
    """
    jacket = options["jacket"]
    seen = Inspection(
        grade=Grade(options["grade"]) if options["grade"] else None,
        jacket=Grade(jacket) if jacket and jacket != "none" else None,
        has_jacket=False if jacket == "none" else None,
        wrapped=options["wrapped"],
        parts=_parts(options["defects"], options["stated"]),
        sewing=Sewing(options["sewing"]) if options["sewing"] else None,
        covering=Covering(options["covering"]) if options["covering"] else None,
        finish=Finish(options["finish"]) if options["finish"] else None,
        slipcase=options["slipcase"],
        signed=options["signed"],
        limitation=options["limitation"],
        number_line=options["number_line"] or "",
        note=options["note"],
    )
    with context.library() as library:
        recorded = condition_flow.report_condition(
            library,
            copy_text,
            seen,
            occasion=Occasion(options["occasion"]) if options["occasion"] else None,
            on=options["seen_on"],
            photographs=photographs,
            station=context.settings.station,
            now=startup.now(),
        )
    report = recorded.report
    context.say(f"Copy {report.copy}, {report.occasion}: {report_words(report)}")
    for caution in damp_cautions("; ".join((*seen.parts.values(), seen.note))):
        context.say(caution)
    if not recorded.is_present:
        context.say(f"Its present condition is not changed by this report: {condition_words(recorded.copy)}")
    if recorded.printing is not None:
        was = recorded.printing_before
        before = f"it was recorded as {printing_ordinal_words(was)}" if was else "none was recorded before"
        context.say(
            f"Printing by the number line: {printing_ordinal_words(recorded.printing)}; {before}.", style="bold"
        )
    if doubt := question_about(report):
        context.say(doubt, style="yellow")


def _parts(defects: tuple[str, ...], stated: tuple[str, ...]) -> Mapping[str, str]:
    parts: dict[str, list[str]] = {}
    for text in defects:
        part, equals, words = text.partition("=")
        if not equals or part.strip().casefold() not in PARTS:
            raise UsageError(
                f"--defect {text!r}",
                "names no part of a book",
                f"write PART=WORDS, where PART is one of {', '.join(PARTS)}",
            )
        parts.setdefault(part.strip().casefold(), []).append(words.strip())
    joined = {part: ", ".join(words) for part, words in parts.items()}
    return {**joined, **({"": ", ".join(stated)} if stated else {})}


@condition_group.command("changes")
@click.argument("copy_text", metavar="COPY")
@click.option("--save", type=PathArgument, help="Save both covers beside each other, the places outlined.")
@pass_context
def changes_command(context: CommandContext, copy_text: str, *, save: Path | None) -> None:
    """Compare the latest picture of a COPY with the earliest one of the same side, and say where to look.

    It is never a verdict: what differs is yours to judge. 'intake compare' does the same with any two pictures. The
    exit status is 1 if there are no two pictures that can be compared.
    """
    with context.library() as library:
        changes = changes_of_copy(library, copy_text)
        for line in copy_change_lines(changes):
            context.say(line)
        if changes.pair is None:
            raise click.exceptions.Exit(1)
        if save is not None:
            save_pair(library, changes.pair, save)
            context.say(f"Wrote {save}.")


condition_group.add_command(paper_command(registry.CONDITION, "print"))

COMMANDS = (condition_group,)
