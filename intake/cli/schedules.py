"""`intake schedule …` and `verify`: lists for insurer, carrier and customs, and their proof."""

from decimal import Decimal
from pathlib import Path
from typing import TypedDict, Unpack

import click

from intake.cli import startup
from intake.cli.context import CommandContext, PathArgument, pass_context
from intake.cli.papers import PAPERS, output_option, paper_option
from intake.cli.valuing import AMOUNT, BASIS, day_of, on_option
from intake.errors import RefusedError, UsageError
from intake.flow.papers import dossiers, move_papers, schedules, verify_list
from intake.flow.papers.schedules import ScheduleRequest
from intake.flow.values.exchange_rates import currency_code
from intake.model.pages import PrintReport
from intake.model.valuations import Basis
from intake.valuing import proof as proof_words

currency_option = click.option("--currency", default="EUR", show_default=True, help="Of all totals (ISO 4217).")
owner_option = click.option("--owner", default="", help="Whose books they are, as it is to be printed.")
photographs_option = click.option("--no-photographs", is_flag=True, help="Leave the photographs out.")
any_basis_option = click.option("--basis", type=BASIS, help="Only values on this basis; else the latest on any.")


class InsuranceOptions(TypedDict):
    """What can be said of an insurance schedule."""

    currency: str
    on: object
    basis: str | None
    owner: str
    address: str
    grouped: str
    single_limit: Decimal | None
    insured: Decimal | None
    no_photographs: bool


@click.group("schedule")
def schedule_group() -> None:
    """Write lists for an insurer, a carrier or a customs office, each with its proof."""


@schedule_group.command("insurance")
@currency_option
@on_option
@any_basis_option
@owner_option
@click.option("--address", default="", help="Where the books are kept.")
@click.option("--by", "grouped", type=click.Choice(["room", "class"]), default="room", show_default=True)
@click.option("--single-limit", type=AMOUNT, help="List by itself what is worth more than this.")
@click.option("--insured", type=AMOUNT, help="Sum insured, to hold the value against.")
@photographs_option
@paper_option
@output_option
@pass_context
def insurance_command(context: CommandContext, path: Path, paper: str, **said: Unpack[InsuranceOptions]) -> None:
    """Write the insurance schedule of all copies as .pdf, .xlsx or .csv."""
    wanted = ScheduleRequest(
        currency=currency_code(said["currency"]),
        on=startup.today(),
        rates_on=day_of(said["on"]),
        owner=said["owner"],
        address=said["address"],
        basis=Basis(said["basis"]) if said["basis"] else None,
        by_class=said["grouped"] == "class",
        single_limit=said["single_limit"],
        insured=said["insured"],
        photographs=not said["no_photographs"],
        paper_mm=PAPERS[paper],
    )
    with context.library() as library:
        report = schedules.print_insurance(library, path, wanted)
    say_printed(context, path, report)


@schedule_group.command("high-value")
@click.argument("limit", type=AMOUNT)
@currency_option
@on_option
@any_basis_option
@owner_option
@photographs_option
@paper_option
@output_option
@pass_context
def high_value_command(
    context: CommandContext,
    *,
    limit: Decimal,
    currency: str,
    on: object,
    basis: str | None,
    owner: str,
    no_photographs: bool,
    paper: str,
    path: Path,
) -> None:
    """Write the list of the copies worth more than LIMIT each, the dearest first."""
    wanted = ScheduleRequest(
        currency=currency_code(currency),
        on=startup.today(),
        rates_on=day_of(on),
        owner=owner,
        basis=Basis(basis) if basis else None,
        single_limit=limit,
        photographs=not no_photographs,
        paper_mm=PAPERS[paper],
    )
    with context.library() as library:
        report = schedules.print_high_value(library, path, wanted)
    say_printed(context, path, report)


def _carriage(reference: str, currency: str, on: object, paper: str) -> move_papers.CarriageRequest:
    """Say what a list of a consignment is to be, from the options that both share."""
    return move_papers.CarriageRequest(
        reference=reference,
        currency=currency_code(currency),
        on=startup.today(),
        rates_on=day_of(on),
        paper_mm=PAPERS[paper],
    )


@schedule_group.command("move")
@click.argument("reference")
@currency_option
@on_option
@paper_option
@output_option
@pass_context
def move_command(context: CommandContext, *, reference: str, currency: str, on: object, paper: str, path: Path) -> None:
    """Write the move inventory of the consignment with this carrier REFERENCE, box by box, with lines to sign."""
    wanted = _carriage(reference, currency, on, paper)
    with context.library() as library, library.reading() as records:
        report = move_papers.print_move_inventory(records, path, wanted)
    say_printed(context, path, report)


@schedule_group.command("customs")
@click.argument("reference")
@currency_option
@on_option
@paper_option
@output_option
@pass_context
def customs_command(
    context: CommandContext, *, reference: str, currency: str, on: object, paper: str, path: Path
) -> None:
    """Write the customs list of the consignment with this carrier REFERENCE."""
    wanted = _carriage(reference, currency, on, paper)
    with context.library() as library, library.reading() as records:
        report = move_papers.print_customs_list(records, path, wanted)
    say_printed(context, path, report)


@schedule_group.command("copy")
@click.argument("copy")
@paper_option
@output_option
@pass_context
def copy_command(context: CommandContext, copy: str, paper: str, path: Path) -> None:
    """Write everything that is recorded of one COPY, as PDF."""
    with context.library() as library:
        report = dossiers.print_dossier(library, copy, path, on=startup.today(), paper_mm=PAPERS[paper])
    say_printed(context, path, report)


@click.command("verify")
@click.argument("file", type=PathArgument, required=False)
@click.option("--text", default="", help="The words of the proof, instead of a file.")
@pass_context
def verify_command(context: CommandContext, file: Path | None, text: str) -> None:
    """Hold a printed list against the library: FILE is its .pdf, .xlsx, .csv, or a picture of its symbol.

    Leaves with status 1 where the list is not this library's, or said something else than the ledger.
    """
    proof = proof_words.parse(text) if text else None
    if file is not None and not text:
        proof = verify_list.find_proof(file)
    if proof is None:
        raise UsageError("The proof", "cannot be read", "name the file, or give all its words with --text")
    with context.library() as library:
        verdict = verify_list.verify(library, proof)
    for line in verify_list.told(verdict):
        context.say(line)
    if not verdict.sound:
        raise RefusedError("The list", "does not agree with the ledger", "ask for a new one, or for the right library")


def say_printed(context: CommandContext, path: Path, report: PrintReport) -> None:
    """Say what was written, and which letters could not be printed as they should be."""
    context.say(f"Wrote {path}{f', {report.pages} pages' if report.pages > 1 else ''}.")
    if report.missing:
        context.say(f"No font has {' '.join(report.missing)}: printed as a replacement sign.", style="yellow")
    if report.unshaped:
        context.say(f"Printed one by one, not joined: {' '.join(report.unshaped)}", style="yellow")


COMMANDS = (schedule_group, verify_command)
