"""`intake order`, `room`, `arrange`, `loads`: in which order books stand, where one goes, what shelves carry."""

import click

from intake.cli import startup
from intake.cli.context import CommandContext, pass_context
from intake.flow.lookup.resolve import find_copy, find_shelf, refuse_withdrawn
from intake.flow.shelves import arrange_shelves
from intake.flow.shelves.find_room import Room, find_room, put
from intake.flow.shelves.load_words import (
    ANCHOR,
    ENGINEER,
    SAG_BASIS,
    TOP_HEAVY,
    floor_cautions,
    floor_loads_words,
    floor_words,
    shelves_cautions,
)
from intake.flow.shelves.make_places import rule_of_order, set_order
from intake.flow.shelves.shelf_loads import CaseReport, weigh_shelves
from intake.model.editions import Edition
from intake.model.shelving import Key
from intake.units.convert import kg_text
from intake.units.counts import counted


@click.command("order")
@click.argument("keys", nargs=-1)
@click.option("--language", default="", help="Language whose alphabetical order titles and names follow: en, de, sv …")
@pass_context
def order_command(context: CommandContext, keys: tuple[str, ...], language: str) -> None:
    """Show the rule of order, or set it to KEYS, the most significant first."""
    with context.library() as library:
        if keys:
            rule = set_order(library, " ".join(keys), language=language, station=context.settings.station)
        else:
            with library.reading() as records:
                rule = rule_of_order(records)
    context.say(f"Books stand by {', then '.join(rule.keys)}; alphabet: {rule.language}.")
    if not keys:
        context.say(f"Keys to choose from: {', '.join(Key)}.")


@click.command("room")
@click.argument("copy_text", metavar="COPY")
@click.option("--done", is_flag=True, help="Book it: the copy stands there and the books were moved as described.")
@pass_context
def room_command(context: CommandContext, copy_text: str, *, done: bool) -> None:
    """Show where a COPY goes and what has to move to make room for it."""
    with context.library() as library:
        if done:
            shelved, room = put(library, copy_text, station=context.settings.station, now=startup.now())
        else:
            with library.reading() as records:
                copy = find_copy(records, copy_text)
                refuse_withdrawn(copy)
                edition = records.get(Edition, copy.edition_id)
                room = (
                    find_room(records, copy, edition)
                    if edition
                    else Room(None, "its edition is no longer in the library")
                )
    _say_room(context, room)
    if done:
        context.say(f"Copy {shelved.accession} stands at {shelved.shelfmark}.")


def _say_room(context: CommandContext, room: Room) -> None:
    if room.shelf is None:
        context.say(f"No room: {room.reason}.", style="yellow")
        for remark in room.remarks:
            context.say(f"  {remark}", style="yellow")
        return
    context.say(f"{room.shelf.room} · {room.shelf.name} ({room.reason})", style="bold")
    for sentence in room.sentences:
        context.say(f"  {sentence}")
    for remark in room.remarks:
        context.say(f"  {remark}", style="yellow")


@click.command("arrange")
@click.option("--apply", "done", is_flag=True, help="Book it: the books stand as described.")
@pass_context
def arrange_command(context: CommandContext, *, done: bool) -> None:
    """Arrange all copies anew by the rule of order, and list the moves step by step."""
    with context.library() as library:
        if done:
            proposal, _ = arrange_shelves.adopt(library, station=context.settings.station)
        else:
            with library.reading() as records:
                proposal = arrange_shelves.propose(records)
    for sentence in (*proposal.short, *proposal.remarks):
        context.say(sentence, style="yellow")
    if proposal.short:
        return
    for number, sentence in enumerate(proposal.sentences, 1):
        context.say(f"{number:4}  {sentence}")
    moves = counted(proposal.handled, "copy moves", "copies move")
    moved = f"{moves}, {counted(proposal.brought, 'is', 'are')} brought from boxes or piles"
    context.say(f"{moved}, {counted(proposal.put_down, 'is', 'are')} put down on the way.")


@click.command("loads")
@click.argument("shelf", nargs=-1)
@pass_context
def loads_command(context: CommandContext, shelf: tuple[str, ...]) -> None:
    """Compute the load of the SHELVES named, or of all: mass, sag, and pressure of the bookcases on the floor."""
    with context.library() as library, library.reading() as records:
        reports = weigh_shelves(records, [find_shelf(records, text) for text in shelf] or None)
    for report in reports:
        _say_case(context, report)
    for sentence in (SAG_BASIS, floor_loads_words(), ANCHOR, ENGINEER):
        context.say(sentence)


def _say_case(context: CommandContext, report: CaseReport) -> None:
    context.say(report.name, style="bold")
    context.say(floor_words(report.load))
    rows = []
    for shelf, load in report.shelves:
        sag = (
            "" if load.sag_mm is None or load.late_sag_mm is None else f"{load.sag_mm:.1f} / {load.late_sag_mm:.1f} mm"
        )
        rows.append((shelf.place.number, shelf.name, kg_text(load.mass_g), str(load.estimated or ""), sag))
    context.table(("Shelf", "Name", "Mass", "Estimated", "Sag now / after years"), rows)
    for caution in (*shelves_cautions(report.loads), *floor_cautions(report.load)):
        context.say(caution, style="yellow")
    if report.top_heavy:
        context.say(TOP_HEAVY, style="yellow")
    context.say()


COMMANDS = (order_command, room_command, arrange_command, loads_command)
