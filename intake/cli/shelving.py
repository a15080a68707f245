"""The order of the shelves, room for one more, the whole arranged anew, loads, checks and drawings."""

import sys
from pathlib import Path

import click

from intake.cli import startup
from intake.cli.context import CommandContext, PathArgument, pass_context
from intake.cli.papers import paper_command
from intake.errors import UsageError
from intake.flow.lookup.resolve import find_copy, find_shelf
from intake.flow.papers import registry
from intake.flow.pictures.read_shelf import read_labels, read_spines
from intake.flow.shelves import arrange_shelves, check_shelf
from intake.flow.shelves.check_spines import SpineQuestion, check_spines
from intake.flow.shelves.find_room import Room, find_room, put
from intake.flow.shelves.make_places import rule_of_order, set_order
from intake.flow.shelves.shelf_loads import FLOOR_CAUTIONS, CaseReport, weigh_shelves
from intake.model.editions import Edition
from intake.model.shelving import Key
from intake.units.convert import kg_text


@click.command("order")
@click.argument("keys", nargs=-1)
@click.option("--language", default="", help="Whose alphabet titles and names follow: en, de, sv …")
@pass_context
def order_command(context: CommandContext, keys: tuple[str, ...], language: str) -> None:
    """Show the rule of order, or set it to KEYS: what decides first, second and so on."""
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
@click.argument("copy")
@click.option("--done", is_flag=True, help="Book it: the copy stands there and the books were moved as said.")
@pass_context
def room_command(context: CommandContext, copy: str, *, done: bool) -> None:
    """Say where a COPY goes and what has to move to let it in."""
    with context.library() as library:
        if done:
            shelved, room = put(library, copy, station=context.settings.station, now=startup.now())
        else:
            with library.reading() as records:
                found = find_copy(records, copy)
                edition = records.get(Edition, found.edition_id)
                room = find_room(records, found, edition) if edition else Room(None, "its edition is gone")
    _say_room(context, room)
    if done:
        context.say(f"Copy {shelved.accession} stands at {shelved.shelfmark}.")


def _say_room(context: CommandContext, room: Room) -> None:
    if room.shelf is None:
        context.say(f"No room: {room.reason}.", style="yellow")
        return
    context.say(f"{room.shelf.room} · {room.shelf.name} ({room.reason})", style="bold")
    for sentence in room.sentences:
        context.say(f"  {sentence}")
    for remark in room.remarks:
        context.say(f"  {remark}", style="yellow")


@click.command("arrange")
@click.option("--apply", "done", is_flag=True, help="Book it: the books stand as said.")
@pass_context
def arrange_command(context: CommandContext, *, done: bool) -> None:
    """Arrange all copies anew by the rule of order, and say what has to move, step by step."""
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
    moved = f"{proposal.handled} copies move, {proposal.brought} are brought"
    context.say(f"{moved}, {proposal.put_down} lie somewhere in between.")


@click.command("loads")
@click.argument("shelf", nargs=-1)
@pass_context
def loads_command(context: CommandContext, shelf: tuple[str, ...]) -> None:
    """Weigh the SHELVES named, or all: their mass, their sag, and what the bookcases put on the floor."""
    with context.library() as library, library.reading() as records:
        reports = weigh_shelves(records, [find_shelf(records, text) for text in shelf] or None)
    for report in reports:
        _say_case(context, report)
    for caution in FLOOR_CAUTIONS:
        context.say(caution)


def _say_case(context: CommandContext, report: CaseReport) -> None:
    floor = "" if report.load.pressure_kpa is None else f", {report.load.pressure_kpa:.2f} kPa on its footprint"
    context.say(f"{report.name}: {kg_text(report.load.mass_g)}{floor}", style="bold")
    rows = []
    for shelf, load in report.shelves:
        sag = (
            "" if load.sag_mm is None or load.late_sag_mm is None else f"{load.sag_mm:.1f} / {load.late_sag_mm:.1f} mm"
        )
        rows.append((shelf.place.number, shelf.name, kg_text(load.mass_g), str(load.estimated or ""), sag))
    context.table(("Shelf", "Name", "Mass", "Estimated", "Sag now / with the years"), rows)
    for shelf, load in report.shelves:
        for caution in load.cautions:
            context.say(f"{shelf.name}: {caution}", style="yellow")
    for caution in report.load.cautions:
        context.say(caution, style="yellow")
    if report.top_heavy:
        context.say("Its upper half carries more than its lower half.", style="yellow")
    context.say()


@click.command("check-shelf")
@click.argument("picture", nargs=-1, required=True, type=PathArgument)
@click.option("--shelf", default="", help="Shelf of the upper row, where its label is not in the picture.")
@click.option("--record", is_flag=True, help="Enter every copy that was seen.")
@click.option("--spines", is_flag=True, help="Tell unlabelled spines by their text; needs --shelf and the part [ocr].")
@pass_context
def check_command(
    context: CommandContext, picture: tuple[Path, ...], *, shelf: str, record: bool, spines: bool
) -> None:
    """Hold photographs of shelves against the record: in place, misplaced, missing, foreign."""
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
                context.say(f"  Entered {seen} copies as seen.")


def _say_report(context: CommandContext, path: Path, report: check_shelf.ShelfReport) -> None:
    found = report.found
    counts = (len(found.in_place), len(found.misplaced), len(found.missing), len(found.foreign))
    words = "{} in place, {} misplaced, {} missing, {} foreign".format(*counts)
    context.say(f"{path.name}  {report.where}: {words}", style="bold")
    for sentence in report.sentences:
        context.say(f"  {sentence}")


def _check_spines(context: CommandContext, paths: tuple[Path, ...], shelf: str) -> None:
    if not shelf:
        raise UsageError("--spines", "cannot tell which shelf it sees", "name it with --shelf")

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
            for told in report.told:
                mark = f"{told.copy} {told.confidence:.0%}" if told.sure else f"? {told.confidence:.0%}"
                context.say(f"  {mark}  {told.text}")
            _say_report(context, path, report.shelf)


draw_command = paper_command(registry.BOOKCASES, "draw")

COMMANDS = (order_command, room_command, arrange_command, loads_command, check_command, draw_command)
