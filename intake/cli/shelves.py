"""`intake shelve` and `intake place`: the shelves and what stands on them."""

import click

from intake.cli.session import Session, pass_session
from intake.edges import clock
from intake.flow.looking import shelf_lines
from intake.flow.shelve_copy import shelve


@click.command("shelve")
@click.argument("shelf")
@click.argument("copy", nargs=-1, required=True)
@pass_session
def shelve_command(session: Session, shelf: str, copy: tuple[str, ...]) -> None:
    """Put copies on a SHELF, both by their own numbers."""
    with session.library() as library:
        for text in copy:
            shelved = shelve(library, text, shelf, station=session.settings.station, now=clock.now())
            session.say(f"Copy {shelved.accession} stands at {shelved.shelfmark}.")


@click.group("place")
def place_group() -> None:
    """See rooms, bookcases and shelves."""


@place_group.command("list")
@pass_session
def list_command(session: Session) -> None:
    """List the shelves: what belongs there, how many copies stand there, how much room is left."""
    with session.library() as library, library.reading() as records:
        lines = shelf_lines(records)
    session.table(
        ("Shelf", "Where", "Subject", "Copies", "Free"),
        ((line.number, line.where, line.subject, str(line.copies), line.free) for line in lines),
        wraps=("Where", "Subject"),
    )


COMMANDS = (shelve_command, place_group)
