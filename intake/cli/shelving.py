"""`intake order`, `room`, `arrange`, `loads`, `check-shelf`, `draw`: the shelves and what stands on them."""

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


@click.command("check-shelf")
@click.argument("picture", nargs=-1, required=True, type=PathArgument)
@click.option("--shelf", default="", help="Shelf of the upper row, where its label is not in the picture.")
@click.option("--record", is_flag=True, help="Record a sighting of every copy that was seen.")
@click.option(
    "--spines",
    is_flag=True,
    help="Identify unlabelled spines by their text; needs --shelf, and installation with [ocr].",
)
@pass_context
def check_command(
    context: CommandContext, picture: tuple[Path, ...], *, shelf: str, record: bool, spines: bool
) -> None:
    """Compare photographs of shelves with the record: in place, misplaced, missing, foreign."""
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
                context.say(f"  Recorded {counted(seen, 'copy', 'copies')} as seen.")


def _say_report(context: CommandContext, path: Path, report: check_shelf.ShelfReport) -> None:
    check = report.diagnosis
    counts = (len(check.in_place), len(check.misplaced), len(check.missing), len(check.foreign))
    words = "{} in place, {} misplaced, {} missing, {} foreign".format(*counts)
    context.say(f"{path.name}  {report.where}: {words}", style="bold")
    for sentence in report.sentences:
        context.say(f"  {sentence}")


def _check_spines(context: CommandContext, paths: tuple[Path, ...], shelf: str) -> None:
    if not shelf:
        raise UsageError("--spines", "needs to know which shelf the picture shows", "name it with --shelf")

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
            for spine in report.spines:
                mark = f"{spine.copy} {spine.confidence:.0%}" if spine.sure else f"? {spine.confidence:.0%}"
                context.say(f"  {mark}  {spine.text}")
            _say_report(context, path, report.shelf)


draw_command = paper_command(registry.BOOKCASES, "draw")

COMMANDS = (order_command, room_command, arrange_command, loads_command, check_command, draw_command)
