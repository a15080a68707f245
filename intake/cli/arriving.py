"""`intake consign`, `damage`, `reconcile`, `claim`: the consignment on its way, and what did not arrive as it left."""

from datetime import date
from decimal import Decimal
from pathlib import Path

import click

from intake.cli import startup
from intake.cli.context import CommandContext, PathArgument, pass_context
from intake.cli.papers import PAPER_SIZE, say_written
from intake.cli.parameters import amount, day, mass
from intake.errors import UsageError
from intake.flow.lookup.wording import counted
from intake.flow.moving.claims import NO_LEGAL_ADVICE, REGIMES, Claim, claim_sums, period_rows, plan_claim
from intake.flow.moving.consignments import DEFAULT_DIVISOR, consign, count_boxes, freight, measure_outside
from intake.flow.moving.pace import pace_words
from intake.flow.moving.reconcile import Reconciled, reconcile, record_damage
from intake.flow.papers import registry
from intake.flow.papers.claim_papers import notice_content, periods_content
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.render import draw, format_of, print_paper, save
from intake.model.boxes import Consignment
from intake.model.carriage import LiabilityTerms
from intake.model.currencies import amount_text
from intake.units.convert import kg_text
from intake.units.quantities import parse_size_mm


@click.group("consign")
def consign_group() -> None:
    """Put boxes into a consignment; show its volume, mass and chargeable mass."""


@consign_group.command("add")
@click.argument("reference")
@click.argument("box", nargs=-1)
@click.option("--carrier", default="")
@click.option("--consignor", default="")
@click.option("--consignee", default="")
@click.option("--origin", default="")
@click.option("--destination", default="")
@click.option("--dispatched", type=day, help="Day on which the carrier took it over.")
@pass_context
def add_command(
    context: CommandContext, /, reference: str, box: tuple[str, ...], dispatched: date | None, **parties: str
) -> None:
    """Put BOXES into the consignment with this carrier REFERENCE; a new consignment is made if needed."""
    with context.library() as library:
        consignment = Consignment(reference=reference, dispatched=dispatched, **parties)
        consign(library, consignment, box, station=context.settings.station)
        with library.reading() as records:
            count = count_boxes(records, reference)
    context.say(f"Consignment {reference} has {count} {'box' if count == 1 else 'boxes'}.")


@consign_group.command("measure")
@click.argument("box_text", metavar="BOX")
@click.argument("size")
@pass_context
def measure_command(context: CommandContext, box_text: str, size: str) -> None:
    """Record the outer SIZE of a BOX, such as "43x34x32 cm"."""
    with context.library() as library:
        measured = measure_outside(library, box_text, parse_size_mm(size), station=context.settings.station)
    length, width, height = measured.outer_mm or (0.0, 0.0, 0.0)
    context.say(f"Box {measured.number} measures {length:.0f} x {width:.0f} x {height:.0f} mm outside.")


@consign_group.command("show")
@click.argument("reference")
@click.option(
    "--divisor", default=DEFAULT_DIVISOR, show_default=True, type=click.FloatRange(1), help="Cubic cm a kilogram."
)
@click.option("--round-to", type=mass, help='Round each box up, to "0.5 kg" with many carriers by air.')
@pass_context
def show_command(context: CommandContext, reference: str, divisor: float, round_to: float | None) -> None:
    """Show a consignment: size, volume, mass and chargeable mass of its boxes."""
    with context.library() as library, library.reading() as records:
        shipment = freight(records, reference, divisor=divisor, step_g=round_to)
    rows = []
    for line in shipment.lines:
        size = " x ".join(f"{side:.0f}" for side in line.size_mm) if line.size_mm else "not measured"
        rows.append(
            (
                line.box.number,
                line.box.state.value,
                line.box.room,
                line.box.seal,
                size + (" *" if line.size_mm and line.estimated else ""),
                f"{line.volume_m3:.3f} m³" if line.volume_m3 else "",
                kg_text(line.box.gross_g) if line.box.gross_g else "not weighed",
                kg_text(line.chargeable_g) if line.chargeable_g else "",
            )
        )
    context.table(
        ("Box", "State", "Room", "Seal", "Outside, mm", "Volume", "Gross", "Chargeable"), rows, wraps=("Room",)
    )
    context.say(
        f"In all {kg_text(shipment.gross_g)}, {shipment.volume_m3:.3f} m³, chargeable {kg_text(shipment.chargeable_g)} "
        f"(divisor {divisor:g}), W/M {shipment.weight_or_measure:.3f}"
    )
    if any(line.estimated and line.size_mm for line in shipment.lines):
        context.say("* computed from the inner size; measure the box with 'intake consign measure'.")
    if shipment.unknown:
        context.say(
            f"{counted(shipment.unknown, 'box is', 'boxes are')} not weighed or not measured, and not in these sums.",
            style="yellow",
        )


@click.command("damage")
@click.argument("copy_text", metavar="COPY")
@click.argument("what", nargs=-1, required=True)
@pass_context
def damage_command(context: CommandContext, copy_text: str, what: tuple[str, ...]) -> None:
    """Record that a COPY came out of its box damaged, and WHAT the damage is, in words."""
    with context.library() as library:
        entry = record_damage(library, copy_text, " ".join(what), now=startup.now(), station=context.settings.station)
    context.say(f"Copy {entry.action.subject} is on the discrepancy report: {entry.action.note}.")


@click.command("reconcile")
@click.argument("reference", required=False)
@PAPER_SIZE
@click.option("-o", "--output", "path", type=PathArgument, help="Print the discrepancy report of the consignment.")
@pass_context
def reconcile_command(context: CommandContext, reference: str | None, paper: str, path: Path | None) -> None:
    """Show what is missing, damaged, found elsewhere, on no list, and still to be unpacked."""
    if path is not None:
        if reference is None:
            raise UsageError("The report", "is of one consignment", "name its carrier reference")
        format_of(registry.DISCREPANCIES, path)
    with context.library() as library:
        with library.reading() as records:
            reconciled = reconcile(records, reference)
        _show_reconciled(context, reconciled)
        if path is None or reference is None:
            return
        options = PaperOptions(reference=reference, size=paper)
        rendered = print_paper(
            library,
            registry.DISCREPANCIES,
            options,
            path,
            on=startup.today(),
            station=context.settings.station,
        )
    say_written(context, path, rendered.report)


def _show_reconciled(context: CommandContext, reconciled: Reconciled) -> None:
    begun = counted(len(reconciled.unpacked), "box", "boxes")
    context.say(
        f"{begun} unpacked or begun, {len(reconciled.still_closed)} arrived and closed, "
        f"{len(reconciled.awaited)} awaited"
    )
    rows = [(line.what, line.number, line.title, line.box, line.since or line.reason) for line in reconciled.lines]
    rows += [
        (f"in {elsewhere.found_in}", elsewhere.number, elsewhere.title, elsewhere.listed_in, "")
        for elsewhere in reconciled.found_elsewhere
    ]
    if rows:
        context.table(("What", "Copy", "Title", "Listed in", "Why"), rows, wraps=("Title", "Why"))
    for fault in reconciled.faults:
        context.say(f"Box {fault.number}: {fault.what}; {counted(fault.pictures, 'photograph')}", style="yellow")
    for total in reconciled.totals:
        context.say(total, style="bold")
    if reconciled.undecided:
        context.say(reconciled.undecided, style="yellow")
    context.say(f"{reconciled.seen} seen, {reconciled.remaining} still in boxes. {pace_words(reconciled.pace)}")


@click.command("claim")
@click.argument("reference")
@click.option("--regime", required=True, type=click.Choice(list(REGIMES)), help="The regime that the contract names.")
@click.option("--currency", required=True, help="Currency of the computation, as an ISO 4217 code.")
@click.option("--rate", type=amount, help="One special drawing right (or US dollar) in that currency.")
@click.option("--rate-day", type=day, help="The day of that rate.")
@click.option("--rate-source", default="", help="Who published it.")
@click.option("--amount-per-kg", type=amount, help="Limit that the contract sets, for the regime per-kg.")
@click.option("--delivered", type=day, help="Day of delivery; else as recorded at checking in.")
@click.option("--declared", type=amount, help="Value declared to the carrier.")
@click.option("--insured", type=amount, help="Sum insured.")
@click.option("--notice", type=PathArgument, help="Print the letter to the carrier.")
@click.option("--sheet", type=PathArgument, help="Print your own sheet of periods and limits.")
@PAPER_SIZE
@pass_context
def claim_command(
    context: CommandContext, /, reference: str, paper: str, notice: Path | None, sheet: Path | None, **options: object
) -> None:
    """Show what the carrier would owe at most, and until when to give notice. It is not legal advice."""
    today = startup.today()
    with context.library() as library, library.reading() as records:
        consignment = records.get(Consignment, reference)
        terms = _terms(options, consignment.dispatched if consignment else None)
        claim = plan_claim(
            records,
            reference,
            terms,
            delivered=_day(options["delivered"]),
            today=today,
            declared=_amount(options["declared"]),
            insured=_amount(options["insured"]),
        )
    printed = PaperOptions(size=paper)
    papers = [(registry.NOTICE, notice), (registry.PERIODS, sheet)]
    files = [(record, path, format_of(record, path)) for record, path in papers if path is not None]
    content = {registry.NOTICE: notice_content, registry.PERIODS: periods_content}
    drawn = [(path, draw(record, content[record](claim, terms, today), printed, form)) for record, path, form in files]
    _show_claim(context, claim, terms, today)
    for path, rendered in drawn:
        save(rendered, path)
        say_written(context, path, rendered.report)


def _terms(options: dict[str, object], dispatched: date | None) -> LiabilityTerms:
    return LiabilityTerms(
        regime=REGIMES[str(options["regime"])],
        currency=str(options["currency"]).upper(),
        rate=_amount(options["rate"]),
        rate_on=_day(options["rate_day"]),
        rate_source=str(options["rate_source"]),
        per_kg=_amount(options["amount_per_kg"]),
        dispatched=dispatched,
    )


def _amount(value: object) -> Decimal | None:
    return value if isinstance(value, Decimal) else None


def _day(value: object) -> date | None:
    return value if isinstance(value, date) else None


def _show_claim(context: CommandContext, claim: Claim, terms: LiabilityTerms, today: date) -> None:
    context.say(f"Consignment {claim.consignment.reference}, delivered {claim.delivered}, {terms.regime}")
    context.say(NO_LEGAL_ADVICE, style="bold")
    rows = period_rows(claim.periods, today)
    context.table(("For", "Last day", "Rule", "Source"), rows, wraps=("For", "Rule", "Source"))
    for name, text in claim_sums(claim, terms):
        if text:
            context.say(f"{name}: {text}")
    if claim.owed is not None:
        for box in claim.owed.boxes:
            context.say(f"  {box.box or 'all'}: {box.words} = {amount_text(box.amount, terms.currency)}")
        context.say(f"  {claim.owed.rule.source}; it counts {claim.owed.rule.counts}.")
    for remark in claim.remarks[1:]:
        context.say(remark)


COMMANDS = (consign_group, damage_command, reconcile_command, claim_command)
