"""`intake consign`, `damage`: the consignment on its way, and what came out of it damaged."""

from datetime import date

import click

from intake.cli import startup
from intake.cli.context import CommandContext, pass_context
from intake.cli.parameters import day, mass
from intake.flow.lookup.handling_words import damp_cautions
from intake.flow.moving.consignments import (
    DEFAULT_DIVISOR,
    consign,
    count_boxes,
    freight,
    measure_outside,
)
from intake.flow.moving.freight_words import FREIGHT_HEADS, chargeable, freight_row, mass_and_volume
from intake.flow.moving.reconcile import record_damage
from intake.model.boxes import Consignment
from intake.units.counts import counted
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
@click.option("--policy", default="", help="Number of the policy that insures the transport.")
@click.option("--contract", default="", help="Number of the contract of carriage or removal.")
@click.option("--bill-of-lading", default="", help="Number of the bill of lading, waybill or consignment note.")
@click.option("--dispatched", type=day, help="Day on which the carrier took it over.")
@pass_context
def add_command(
    context: CommandContext, /, reference: str, box: tuple[str, ...], dispatched: date | None, **parties: str
) -> None:
    """Put BOXES into the consignment with this carrier REFERENCE; a new consignment is made if needed."""
    with context.library() as library:
        consignment = Consignment(reference=reference, dispatched=dispatched, **parties)
        consign(library, consignment, box, station=context.settings.station, today=startup.today())
        with library.reading() as records:
            count = count_boxes(records, reference)
    context.say(f"Consignment {reference} has {counted(count, 'box', 'boxes')}.")


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
@click.option("--round-to", type=mass, help='Round the chargeable mass up, to "0.5 kg" with many carriers by air.')
@pass_context
def show_command(context: CommandContext, reference: str, divisor: float, round_to: float | None) -> None:
    """Show a consignment: size, volume and mass of its boxes, and what a carrier charges for all of them together."""
    with context.library() as library, library.reading() as records:
        shipment = freight(records, reference, divisor=divisor, step_g=round_to)
    context.table(
        FREIGHT_HEADS,
        (freight_row(line) for line in shipment.lines),
        wraps=("Room",),
    )
    for sentence in mass_and_volume(shipment.sums):
        context.say(f"{sentence}.")
    for sentence in chargeable(shipment.sums, divisor=divisor, step_g=round_to):
        context.say(f"{sentence}.", style="bold")
    if shipment.sums.assumed or shipment.sums.unmeasured:
        context.say("Measure boxes with 'intake consign measure BOX SIZE'.")
    if shipment.sums.unweighed:
        context.say("Weigh boxes with 'intake weigh BOX MASS'.")


@click.command("damage")
@click.argument("copy_text", metavar="COPY")
@click.argument("what", nargs=-1, required=True)
@pass_context
def damage_command(context: CommandContext, copy_text: str, what: tuple[str, ...]) -> None:
    """Record that a COPY came out of its box damaged, and WHAT the damage is, in words."""
    with context.library() as library:
        entry = record_damage(library, copy_text, " ".join(what), now=startup.now(), station=context.settings.station)
    context.say(f"Copy {entry.action.subject} is on the discrepancy report: {entry.action.note}.")
    for caution in damp_cautions(entry.action.note):
        context.say(caution)


COMMANDS = (consign_group, damage_command)
