"""`intake box …` and `intake pack`: the boxes from opening to finishing."""

import sys
from collections.abc import Sequence
from contextlib import ExitStack
from datetime import date
from pathlib import Path

import click

from intake.cli import startup
from intake.cli.context import DRY_RUN, CommandContext, PathArgument, pass_context
from intake.cli.parameters import day, mass
from intake.cli.parameters import size as box_size
from intake.errors import QueriesWaitError
from intake.flow.lookup.find_lines import FoundLine, box_lines
from intake.flow.lookup.handling_words import opening_cautions
from intake.flow.lookup.resolve import find_box
from intake.flow.lookup.status import queries_words, waiting_in_box
from intake.flow.moving import box_lifecycle as packing
from intake.flow.moving.arrival_words import BEFORE_SIGNING, fault_words
from intake.flow.moving.box_masses import box_lift, box_lifts, doubted_in
from intake.flow.moving.boxes_together import BoxesTaken, check_in_boxes, close_boxes
from intake.flow.moving.lift import caution_words, lift_words, short_mass_words, stated_words
from intake.flow.moving.mass_changes import changed_masses
from intake.flow.moving.masses import doubt_words
from intake.flow.moving.pack_copies import pack_all
from intake.flow.moving.progress import progress
from intake.flow.pictures.received import picture_record
from intake.model.boxes import Box, CartonState, SealState
from intake.model.editions import Copy, CopyState
from intake.units.counts import counted

AS_WEIGHED = click.option(
    "--as-weighed", is_flag=True, help="Record the mass even if the empty box, or the books alone, weigh more."
)


@click.group("box")
def box_group() -> None:
    """Open, close, check in and finish boxes."""


@box_group.command("open")
@click.argument("number", required=False, default="")
@click.option("--room", default="", help="Room of destination.")
@click.option("--tare", type=mass, help='Mass of the empty box, such as "850 g".')
@click.option("--size", type=box_size, help='Inner length, width and height, such as "42 x 33 x 31 cm".')
@pass_context
def open_command(
    context: CommandContext, number: str, room: str, tare: float | None, size: tuple[float, float, float] | None
) -> None:
    """Open a new box; without NUMBER it takes the next free one."""
    length, width, height = size or (None, None, None)
    box = Box(number=number, room=room, tare_g=tare, length_mm=length, width_mm=width, height_mm=height)
    with context.library(create=True) as library:
        opened = packing.open_box(library, box, station=context.settings.station)
    context.say(f"Box {opened.number} is open.")


@box_group.command("close")
@click.argument("box_texts", metavar="BOX…", nargs=-1, required=True)
@click.option("--gross", type=mass, help='Mass of the packed box, such as "25.3 kg".')
@AS_WEIGHED
@click.option("--seal", default="", help="Number of the seal.")
@DRY_RUN
@pass_context
def close_command(
    context: CommandContext,
    box_texts: tuple[str, ...],
    gross: float | None,
    *,
    as_weighed: bool,
    seal: str,
    dry_run: bool,
) -> None:
    """Close boxes, all of them or none."""
    with context.library(dry_run=dry_run) as library:
        taken = close_boxes(
            library,
            box_texts,
            gross_g=gross,
            as_weighed=as_weighed,
            seal=seal,
            dry_run=dry_run,
            station=context.settings.station,
        )
        boxes = taken.boxes
        with library.reading() as records:
            lifts, doubted = box_lifts(records, boxes), doubted_in(records, boxes)
    for box in boxes:
        context.say(f"Box {box.number} {'would be' if dry_run else 'is'} closed, {lift_words(lifts[box.number])}.")
    _say_doubted(context, doubted)
    _say_entry(context, taken)


@box_group.command("arrive")
@click.argument("box_texts", metavar="BOX…", nargs=-1, required=True)
@click.option(
    "--carton", type=click.Choice([state.value for state in CartonState]), help="State of the carton as seen."
)
@click.option("--seal", type=click.Choice([state.value for state in SealState]), help="State of the seal as seen.")
@click.option("--delivered", type=day, help="Day of delivery, if not today.")
@click.option("--gross", type=mass, help='What it weighs now, such as "17.3 kg".')
@AS_WEIGHED
@click.option("--photo", "photos", multiple=True, type=PathArgument, help="Photograph of the box as it arrived.")
@click.option("--note", default="", help="Anything else that was seen.")
@DRY_RUN
@pass_context
def arrive_command(
    context: CommandContext,
    /,
    box_texts: tuple[str, ...],
    *,
    carton: str | None,
    seal: str | None,
    delivered: date | None,
    gross: float | None,
    as_weighed: bool,
    photos: tuple[Path, ...],
    note: str,
    dry_run: bool,
) -> None:
    """Check boxes in on arrival, with the state of carton and seal before they are opened; all of them or none."""
    loaded = [(path, picture_record(path)) for path in photos]
    with context.library(dry_run=dry_run) as library:
        seen = packing.ArrivalReport(
            carton=CartonState(carton or CartonState.NOT_LOOKED_AT),
            seal=SealState(seal or SealState.NOT_LOOKED_AT),
            delivered=delivered or startup.today(),
            arrived_g=gross,
            as_weighed=as_weighed,
            pictures=tuple(picture for _, picture in loaded),
        )
        with ExitStack() as kept:
            for path, picture in loaded if not dry_run else ():
                kept.enter_context(library.keeping_picture(path, picture))
            taken = check_in_boxes(
                library,
                box_texts,
                note=note,
                seen=seen,
                today=startup.today(),
                dry_run=dry_run,
                station=context.settings.station,
            )
        boxes = taken.boxes
        with library.reading() as records:
            lifts = box_lifts(records, boxes)
    for box in boxes:
        verb = "would be recorded as arrived" if dry_run else "has arrived"
        context.say(f"Box {box.number} {verb}, {lift_words(lifts[box.number])}.")
    changed = changed_masses(boxes)
    faults = {box.number: words for box in boxes if (words := fault_words(box))}
    for number, words in faults.items():
        see = f" See 'intake weigh {number}'." if number in changed else ""
        context.say(f"Box {number}: {words}.{see}", style="yellow")
    if faults:
        context.say(BEFORE_SIGNING, style="yellow")
    for caution in opening_cautions(wet=boxes[0].carton is CartonState.WET):
        context.say(caution)
    _say_entry(context, taken)


@box_group.command("finish")
@click.argument("box_text", metavar="BOX")
@click.option(
    "--reason",
    default="",
    help="Why something is missing, for the discrepancy report; you are asked if it is not given.",
)
@click.option("--despite-queries", is_flag=True, help="Although queries of this box wait and may be what is missing.")
@pass_context
def finish_command(context: CommandContext, box_text: str, reason: str, *, despite_queries: bool) -> None:
    """Finish an unpacked box: what is on its list and was not seen is recorded as missing."""

    def why(missing: tuple[Copy, ...]) -> str:
        if reason or not sys.stdin.isatty():
            return reason
        names = ", ".join(copy.accession for copy in missing)
        answer: str = click.prompt(
            f"{names} missing. What was seen (empty gap, torn wrapping, never packed …)", default=""
        )
        return answer

    with context.library() as library:
        try:
            finished, missing = packing.finish(
                library,
                box_text,
                why=why,
                despite_queries=despite_queries,
                now=startup.now(),
                station=context.settings.station,
            )
        except QueriesWaitError as error:
            remedy = "decide them with 'intake pile list', or finish it in spite of them with --despite-queries"
            raise QueriesWaitError(error.thing, error.why, remedy) from error
        with library.reading() as records:
            lines = [line for line in box_lines(records, finished.number) if line.state == CopyState.MISSING]
            queries = waiting_in_box(records, finished.number)
    context.say(f"Box {finished.number} is finished; {_missing_words(len(missing))}.")
    for line in lines:
        context.say(f"  missing: {line.copy}  {line.title}")
    if queries:
        context.say(f"Box {finished.number} has {queries_words(queries)}.", style="yellow")
    if missing:
        context.say(
            "Inform the carrier in writing now: the notice period set by the contract or local law may be a few days."
        )


@box_group.command("list")
@pass_context
def list_command(context: CommandContext) -> None:
    """List the boxes with their state and how many copies were seen."""
    with context.library() as library, library.reading() as records:
        boxes = progress(records).boxes
        lifts = box_lifts(records, [row.box for row in boxes])
        doubted = doubted_in(records, [row.box for row in boxes if not lifts[row.box.number].empty])
        rows = [
            (
                row.box.number,
                row.box.state,
                row.box.room,
                short_mass_words(lifts[row.box.number]),
                caution_words(lifts[row.box.number]),
                str(row.listed),
                f"{row.found} ({row.elsewhere} elsewhere)" if row.elsewhere else str(row.found),
                str(row.missing),
                str(row.surplus or ""),
            )
            for row in boxes
        ]
    headings = ("Box", "State", "Room", "Mass", "Lifting", "Listed", "Seen", "Missing", "On no list")
    context.table(headings, rows, wraps=("Room",))
    if any(caution_words(lift) for lift in lifts.values()):
        context.say(stated_words())
    _say_doubted(context, doubted)


@box_group.command("show")
@click.argument("box_text", metavar="BOX")
@pass_context
def show_command(context: CommandContext, box_text: str) -> None:
    """Show the list of one box: what was seen and what is still in it."""
    with context.library() as library, library.reading() as records:
        box = find_box(records, box_text)
        lines = box_lines(records, box.number)
        lift, doubted = box_lift(records, box), doubted_in(records, [box])
    context.say(f"Box {box.number}, {box.state}, {box.room or 'no room named'}, {lift_words(lift)}")
    context.table(
        ("Copy", "Number", "Title", "Edition", "State", "Where"),
        ((line.copy, line.number, line.title, line.edition, _state_words(line), line.where) for line in lines),
        wraps=("Title", "Edition", "Where"),
    )
    _say_doubted(context, doubted)


@click.command("pack")
@click.argument("box_text", metavar="BOX")
@click.argument("what", nargs=-1, required=True)
@click.option("--another", is_flag=True, help="Another copy than those of this edition that are packed already.")
@pass_context
def pack_command(context: CommandContext, box_text: str, what: tuple[str, ...], *, another: bool) -> None:
    """Put copies into an open BOX, all or none: by copy number, by the catalog's key, or by ISBN."""
    with context.library() as library:
        packed = pack_all(library, box_text, what, another=another, station=context.settings.station)
    for copy in packed:
        context.say(f"Copy {copy.accession} is in box {copy.box}.")


def _say_entry(context: CommandContext, taken: BoxesTaken) -> None:
    if taken.entry is not None:
        context.say(f"Booked with ledger entry {taken.entry}; 'intake undo {taken.entry}' takes it back.")


def _say_doubted(context: CommandContext, doubted: Sequence[str]) -> None:
    if doubted:
        context.say(doubt_words(doubted), style="yellow")


def _state_words(line: FoundLine) -> str:
    return f"{line.state}, on no list" if line.is_surplus else line.state


def _missing_words(count: int) -> str:
    if not count:
        return "everything on its list was seen"
    return f"{counted(count, 'copy on its list is', 'copies on its list are')} missing"


COMMANDS = (box_group, pack_command)
