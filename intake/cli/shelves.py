"""`intake shelve` and `intake place`: the shelves and what stands on them."""

import click

from intake.cli import startup
from intake.cli.context import CommandContext, pass_context
from intake.cli.parameters import height, length, mass
from intake.flow.lookup.handling_words import DAMP_ROOM
from intake.flow.shelves.load_words import ANCHOR
from intake.flow.shelves.make_places import make_bookcase, parse_shelves
from intake.flow.shelves.shelf_overview import ShelfFill, shelf_rows
from intake.flow.shelves.shelve_copy import shelve_all, shelved_lines
from intake.model.places import Place, PlaceKind


@click.command("shelve")
@click.argument("shelf")
@click.argument("copy_texts", metavar="COPY...", nargs=-1, required=True)
@click.option(
    "--behind", default="", help="The copy on that shelf that it stands behind; else where the rule of order puts it."
)
@pass_context
def shelve_command(context: CommandContext, shelf: str, copy_texts: tuple[str, ...], behind: str) -> None:
    """Put copies on a SHELF, all or none, both by their own numbers."""
    with context.library() as library:
        station, now = context.settings.station, startup.now()
        shelved = shelve_all(library, copy_texts, shelf, behind=behind, station=station, now=now)
    for words in shelved_lines(shelved):
        context.say(words)


@click.group("place")
def place_group() -> None:
    """See rooms, bookcases and shelves, and make new ones."""


@place_group.command("list")
@pass_context
def list_command(context: CommandContext) -> None:
    """List the shelves: what belongs there, how many copies stand there, how much room is left."""
    with context.library() as library, library.reading() as records:
        rows = shelf_rows(records)
    context.table(
        ("Shelf", "Where", "Subject", "Copies", "Free"),
        ((row.shelf.number, row.name, row.shelf.subject, str(row.copies), _free(row)) for row in rows),
        wraps=("Where", "Subject"),
    )


def _free(row: ShelfFill) -> str:
    if row.free_mm is None:
        return ""
    return f"{row.free_mm:.0f} mm" if row.free_mm >= 0 else f"{-row.free_mm:.0f} mm too short"


@place_group.command("make")
@click.argument("words", nargs=-1)
@click.option("--room", default="", help="Room it stands in; made if there is no room of this name.")
@click.option("--bookcase", default="", help="Name of the bookcase.")
@click.option("--subject", default="", help="Subject of the books that belong there; empty for any subject.")
@click.option("--material", default="", help="Of the boards: particleboard, MDF, plywood, pine, oak …")
@click.option("--board", "board_mm", type=length, help='Thickness of the boards, such as "18 mm".')
@click.option("--rated", "rated_g", type=mass, help='Load that the maker allows on a shelf, such as "40 kg".')
@click.option("--lowest", "lowest_mm", type=height, help='From the floor to the lowest shelf, such as "80 mm".')
@pass_context
def make_command(
    context: CommandContext,
    words: tuple[str, ...],
    *,
    room: str,
    bookcase: str,
    subject: str,
    material: str,
    board_mm: float | None,
    rated_g: float | None,
    lowest_mm: float | None,
) -> None:
    """Make a bookcase from WORDS such as 'five shelves of 800 x 300 x 250 mm' (width, height, depth).

    You are asked for what is not given.
    """
    shelves = parse_shelves(" ".join(words) or click.prompt("How many shelves, of which clear width, height, depth"))
    room = room or click.prompt("In which room")
    bookcase = bookcase or click.prompt("Name of the bookcase")
    board = Place(
        number="",
        kind=PlaceKind.SHELF,
        name="",
        subject=subject,
        material=material,
        board_mm=board_mm,
        rated_g=rated_g,
    )
    case = Place(number="", kind=PlaceKind.BOOKCASE, name=bookcase)
    with context.library(create=True) as library:
        station = context.settings.station
        made = make_bookcase(
            library, shelves, room=room, bookcase=case, board=board, lowest_mm=lowest_mm, station=station
        )
    for shelf in made:
        context.say(f"{shelf.number}  {room} · {bookcase} · {shelf.name}  {shelf.width_mm:g} mm wide")
    for caution in (ANCHOR, DAMP_ROOM):
        context.say(caution)


COMMANDS = (shelve_command, place_group)
