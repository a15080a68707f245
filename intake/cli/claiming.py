"""`intake reconcile`, `claim`: what did not arrive as it left, and what the carrier owes for it."""

from collections.abc import Iterable
from pathlib import Path
from typing import Any

import click

from intake.cli import startup
from intake.cli.context import CommandContext, PathArgument, pass_context
from intake.cli.papers import PAPER_SIZE, options_of, parameter, say_written
from intake.errors import UsageError
from intake.flow.moving.broken_sets import broken_set_words
from intake.flow.moving.claim_words import COUNTED_HEADS, LIMIT_HEADS, LOSS_HEADS, PERIOD_HEADS, limits_paper
from intake.flow.moving.reconcile import Reconciled, reconcile
from intake.flow.moving.reconcile_words import (
    DISCREPANCY_HEADS,
    boxes_words,
    discrepancy_rows,
    fault_lines,
    remaining_words,
)
from intake.flow.papers import registry
from intake.flow.papers.claim_papers import claim_of
from intake.flow.papers.paper import Paper
from intake.flow.papers.render import format_of, print_paper, render, save
from intake.model.moving_papers import LimitsPaper


@click.command("reconcile")
@click.argument("reference", required=False)
@PAPER_SIZE
@click.option("-o", "--output", "path", type=PathArgument, help="Print the discrepancy report of the consignment.")
@pass_context
def reconcile_command(context: CommandContext, reference: str | None, size: str, path: Path | None) -> None:
    """Show what is missing, damaged, found elsewhere, on no list, and still to be unpacked."""
    if path is not None:
        if reference is None:
            raise UsageError("The report", "is of one consignment", "name its carrier reference")
        format_of(registry.DISCREPANCIES, path)
    with context.library() as library:
        with library.reading() as records:
            reconciled = reconcile(records, reference)
            broken = broken_set_words(records, reconciled.lines)
        _show_reconciled(context, reconciled, broken)
        if path is None or reference is None:
            return
        options = options_of(library, registry.DISCREPANCIES, {"reference": reference, "size": size})
        rendered = print_paper(
            library,
            registry.DISCREPANCIES,
            options,
            path,
            on=startup.today(),
            station=context.settings.station,
        )
    say_written(context, path, rendered.report)


def _show_reconciled(context: CommandContext, reconciled: Reconciled, broken: Iterable[str]) -> None:
    context.say(boxes_words(reconciled))
    if rows := discrepancy_rows(reconciled):
        context.table(DISCREPANCY_HEADS, rows, wraps=("Title", "Why", "Value"))
    for fault in fault_lines(reconciled):
        context.say(fault, style="yellow")
    for total in reconciled.totals:
        context.say(total, style="bold")
    for words in (*broken, *reconciled.newer):
        context.say(words)
    if reconciled.undecided:
        context.say(reconciled.undecided, style="yellow")
    context.say(remaining_words(reconciled))


@click.pass_obj
def _claim(context: CommandContext, /, notice: Path | None, sheet: Path | None, **given: Any) -> None:
    today = startup.today()
    forms = [(record, path, format_of(record, path)) for record, path in _files(notice, sheet)]
    with context.library() as library:
        options = options_of(library, registry.PERIODS, given)
        with library.reading() as records:
            limits = limits_paper(claim_of(records, options, today=today), today=today)
        # The terminal speaks English; each paper its own language, and it is made as 'intake print' makes it.
        drawn = [
            (path, render(library, record, options_of(library, record, given), form, on=today))
            for record, path, form in forms
        ]
    _show_limits(context, limits)
    for path, rendered in drawn:
        save(rendered, path)
        say_written(context, path, rendered.report)


claim_command = click.Command(
    "claim",
    params=[
        *(parameter(option, registry.PERIODS.defaults) for option in registry.PERIODS.options),
        click.Option(["--notice"], type=PathArgument, help="Print the letter to the carrier."),
        click.Option(["--sheet"], type=PathArgument, help="Print your own sheet of periods and limits."),
    ],
    callback=_claim,
    help="Show what the carrier would owe at most, and until when to give notice. It is not legal advice.",
)


def _files(notice: Path | None, sheet: Path | None) -> list[tuple[Paper[Any], Path]]:
    papers: list[tuple[Paper[Any], Path | None]] = [(registry.NOTICE, notice), (registry.PERIODS, sheet)]
    return [(record, path) for record, path in papers if path is not None]


def _show_limits(context: CommandContext, limits: LimitsPaper) -> None:
    context.say(f"Consignment {limits.reference}, {limits.regime}", style="bold")
    for delivery in limits.deliveries:
        context.say(delivery)
    context.table(PERIOD_HEADS, limits.periods, wraps=PERIOD_HEADS)
    for name, text in limits.facts:
        if text:
            context.say(f"{name}: {text}")
    # Columns of amounts and masses are never broken over lines.
    for heads, rows, wraps in (
        (LOSS_HEADS, limits.losses, ("Loss", "Copies", "In these sums")),
        (LIMIT_HEADS, limits.limits, ("Calculation",)),
        (COUNTED_HEADS, limits.counted, ("What of it",)),
    ):
        if rows:
            context.table(heads, rows, wraps=wraps)
    for heading, notes in limits.notes:
        context.say(heading, style="bold")
        for note in notes:
            context.say(f"  {note}")


COMMANDS = (reconcile_command, claim_command)
