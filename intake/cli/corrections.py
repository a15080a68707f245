"""`intake edition …` and `intake copy …`: what is recorded is corrected; each is shown first, and can be taken back."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from functools import wraps
from typing import TYPE_CHECKING

import click

from intake.cli import startup
from intake.cli.context import DRY_RUN, CommandContext, pass_context
from intake.cli.parameters import amount, day
from intake.errors import UsageError
from intake.flow.corrections.add_copies import plan_added_copies
from intake.flow.corrections.correction_plan import CorrectionPlan, apply_correction, plan_lines
from intake.flow.corrections.edit_copy import COPY_FIELDS, WITHDRAWN, plan_copy_edit
from intake.flow.corrections.edit_edition import EDITION_FIELDS, plan_edition_edit
from intake.flow.corrections.merge_editions import plan_edition_merge
from intake.flow.corrections.move_copies import Target, ToBox, ToHand, ToShelf, plan_move
from intake.flow.corrections.withdraw_copies import WithdrawalTerms, plan_edition_withdrawal, plan_withdrawal
from intake.model.withdrawals import WithdrawalReason

if TYPE_CHECKING:
    from intake.cli.startup import LibraryReader

    Plan = Callable[[LibraryReader], CorrectionPlan]

NOTE = click.option("--note", default="", help="Why, for the ledger.")
VALUES = click.option("--set", "values", multiple=True, metavar="FIELD=VALUE", help="A new value.")
CLEAR = click.option("--clear", multiple=True, metavar="FIELD", help="A field to empty.")
DESPITE_BOX = click.option(
    "--despite-box", is_flag=True, help="Although a closed box lists the copy: it never was in it."
)


def _fields_help(fields: tuple[str, ...]) -> str:
    return f"Fields: {', '.join(sorted(fields))}."


def _withdrawal_options(command: Callable[..., None]) -> Callable[..., None]:
    """Give a command the terms of a withdrawal as its argument `terms`."""

    @wraps(command)
    def with_terms(
        *arguments: object,
        reason: str,
        left_on: date | None,
        received: Decimal | None,
        currency: str,
        note: str,
        **options: object,
    ) -> None:
        on = left_on or startup.today()
        terms = WithdrawalTerms(reason=WithdrawalReason(reason), on=on, amount=received, currency=currency, note=note)
        command(*arguments, terms=terms, **options)

    for option in (
        click.option("--reason", type=click.Choice([reason.value for reason in WithdrawalReason]), required=True),
        click.option("--on", "left_on", type=day, help="Day on which it left, if not today."),
        click.option("--amount", "received", type=amount, help="What was received for each copy, such as 40.00."),
        click.option("--currency", default="", help="Of the amount, three letters such as EUR."),
        click.option("--note", default="", help="To whom, or how."),
        DESPITE_BOX,
        DRY_RUN,
    ):
        option(with_terms)
    return with_terms


@click.group("edition")
def edition_group() -> None:
    """Correct what is recorded of an edition; merge two records of one; withdraw all its copies."""


@edition_group.command("edit", epilog=_fields_help(EDITION_FIELDS))
@click.argument("edition")
@VALUES
@CLEAR
@NOTE
@DRY_RUN
@pass_context
def edit_edition_command(
    context: CommandContext, edition: str, values: tuple[str, ...], clear: tuple[str, ...], note: str, *, dry_run: bool
) -> None:
    """Give fields of an EDITION, named by key or number, other values, or empty them."""
    _refuse_nothing(values, clear)
    _correct(
        context,
        lambda library: plan_edition_edit(
            library, edition, values=values, clear=clear, note=note, station=context.settings.station
        ),
        dry_run=dry_run,
    )


@edition_group.command("merge", epilog=_fields_help(EDITION_FIELDS))
@click.argument("edition")
@click.option("--into", "kept", required=True, metavar="EDITION", help="The edition whose record stays.")
@click.option("--take", multiple=True, metavar="FIELD", help="A field of which the value of the first wins.")
@click.option("--despite", is_flag=True, help="Although their numbers or volumes differ.")
@NOTE
@DRY_RUN
@pass_context
def merge_command(
    context: CommandContext, edition: str, kept: str, take: tuple[str, ...], note: str, *, despite: bool, dry_run: bool
) -> None:
    """Put the copies and printings of one EDITION under another, field by field, and take its record away."""
    _correct(
        context,
        lambda library: plan_edition_merge(
            library, edition, kept, take=take, despite=despite, note=note, station=context.settings.station
        ),
        dry_run=dry_run,
    )


@edition_group.command("withdraw")
@click.argument("edition")
@_withdrawal_options
@pass_context
def withdraw_edition_command(
    context: CommandContext,
    /,
    edition: str,
    *,
    terms: WithdrawalTerms,
    despite_box: bool,
    dry_run: bool,
) -> None:
    """Withdraw all copies of an EDITION from the collection: they leave every list, and stay in the history."""
    _correct(
        context,
        lambda library: plan_edition_withdrawal(
            library, edition, terms, despite_box=despite_box, today=startup.today(), station=context.settings.station
        ),
        dry_run=dry_run,
    )


@click.group("copy")
def copy_group() -> None:
    """Correct what is recorded of a copy; add, move and withdraw copies."""


@copy_group.command("edit", epilog=f"{_fields_help(COPY_FIELDS)} --clear {WITHDRAWN} brings a withdrawn copy back.")
@click.argument("copy_text", metavar="COPY")
@VALUES
@CLEAR
@NOTE
@DRY_RUN
@pass_context
def edit_copy_command(
    context: CommandContext,
    copy_text: str,
    values: tuple[str, ...],
    clear: tuple[str, ...],
    note: str,
    *,
    dry_run: bool,
) -> None:
    """Give fields of a COPY other values, or empty them."""
    _refuse_nothing(values, clear)
    _correct(
        context,
        lambda library: plan_copy_edit(
            library, copy_text, values=values, clear=clear, note=note, station=context.settings.station
        ),
        dry_run=dry_run,
    )


@copy_group.command("add", epilog=_fields_help(tuple(field for field in COPY_FIELDS if field != "edition")))
@click.argument("edition")
@click.option("--count", default=1, show_default=True, help="How many copies.")
@click.option("--number", default="", help="The own number of a single copy; else it takes the next free one.")
@click.option("--box", "box_text", default="", help="The open box that they lie in.")
@click.option("--shelf", default="", help="The shelf that they stand on, by the rule of order.")
@VALUES
@DRY_RUN
@pass_context
def add_command(
    context: CommandContext,
    edition: str,
    count: int,
    number: str,
    box_text: str,
    *,
    shelf: str,
    values: tuple[str, ...],
    dry_run: bool,
) -> None:
    """Record copies of an EDITION, named by key or number, that no list has."""
    _correct(
        context,
        lambda library: plan_added_copies(
            library,
            edition,
            count=count,
            number=number,
            box_text=box_text,
            shelf=ToShelf(shelf) if shelf else None,
            values=values,
            now=startup.now(),
            station=context.settings.station,
        ),
        dry_run=dry_run,
    )


@copy_group.command("move")
@click.argument("copies", nargs=-1, required=True, metavar="COPY…")
@click.option("--to-box", default="", metavar="BOX", help="Into this open box.")
@click.option("--to-shelf", default="", metavar="SHELF", help="Onto this shelf.")
@click.option("--behind", default="", metavar="COPY", help="Behind this copy on the shelf; else by the rule of order.")
@click.option("--to-hand", is_flag=True, help="Out of its box or off its shelf.")
@DESPITE_BOX
@DRY_RUN
@pass_context
def move_command(
    context: CommandContext,
    copies: tuple[str, ...],
    to_box: str,
    to_shelf: str,
    behind: str,
    *,
    to_hand: bool,
    despite_box: bool,
    dry_run: bool,
) -> None:
    """Record that copies are in another box, on another shelf, or at hand; all of them or none."""
    target = _target(to_box, to_shelf, behind, to_hand=to_hand)
    _correct(
        context,
        lambda library: plan_move(
            library, copies, target, despite_box=despite_box, now=startup.now(), station=context.settings.station
        ),
        dry_run=dry_run,
    )


@copy_group.command("withdraw")
@click.argument("copies", nargs=-1, required=True, metavar="COPY…")
@_withdrawal_options
@pass_context
def withdraw_command(
    context: CommandContext,
    /,
    copies: tuple[str, ...],
    *,
    terms: WithdrawalTerms,
    despite_box: bool,
    dry_run: bool,
) -> None:
    """Withdraw copies from the collection: they leave every list, and stay in the history."""
    _correct(
        context,
        lambda library: plan_withdrawal(
            library, copies, terms, despite_box=despite_box, today=startup.today(), station=context.settings.station
        ),
        dry_run=dry_run,
    )


def _correct(context: CommandContext, plan: Plan, *, dry_run: bool) -> None:
    """Show what a correction changes, and make it unless that was all that was asked for."""
    with context.library(dry_run=dry_run) as library:
        with library.reading() as records:
            planned = plan(records)
            lines = plan_lines(records, planned)
        entry = None if dry_run else apply_correction(library, planned)
    for line in (*planned.remarks, *lines):
        context.say(line)
    if planned.is_empty:
        context.say("It is recorded so already: nothing to change.")
    elif entry is None:
        context.say("Nothing was changed: this was a dry run.")
    else:
        if new := [str(number) for key, number in entry.keys.items() if isinstance(key, str)]:
            context.say(f"New: {', '.join(new)}.")
        context.say(f"Done, as entry {entry.entry.seq}; 'intake undo {entry.entry.seq}' takes it back.")


def _refuse_nothing(values: tuple[str, ...], clear: tuple[str, ...]) -> None:
    if not values and not clear:
        raise UsageError("The correction", "names no field", "name one with --set FIELD=VALUE or --clear FIELD")


def _target(to_box: str, to_shelf: str, behind: str, *, to_hand: bool) -> Target:
    if sum((bool(to_box), bool(to_shelf), to_hand)) != 1:
        raise UsageError("The copies", "are moved to one place", "name one of --to-box, --to-shelf and --to-hand")
    if behind and not to_shelf:
        raise UsageError("--behind", "is a place on a shelf", "name the shelf with --to-shelf")
    return ToBox(to_box) if to_box else ToShelf(to_shelf, behind) if to_shelf else ToHand()


COMMANDS = (edition_group, copy_group)
