"""A copy is put on a shelf, and gets the shelfmark of the place where it now stands."""

from dataclasses import replace
from datetime import datetime

from intake.edges.store.library import Library
from intake.edges.store.records import Records
from intake.errors import RefusedError
from intake.flow.finding import find_copy, find_shelf
from intake.model.changes import Action, Change, made
from intake.model.editions import Copy, CopyState
from intake.model.places import Place
from intake.model.sightings import Sighting


def shelve(library: Library, copy_text: str, shelf_text: str, *, station: str, now: datetime) -> Copy:
    """Put one copy on a shelf.

    Raises:
        RefusedError: there is no such copy or shelf, or the copy is still packed in a box.
    """
    with library.writing() as work:
        shelf = find_shelf(work, shelf_text)
        copy = find_copy(work, copy_text)
        if copy.state is CopyState.PACKED:
            raise RefusedError(
                f"Copy {copy.accession}", f"is recorded as lying in box {copy.box}", "unpack it from that box first"
            )
        standing = replace(copy, state=CopyState.SHELVED, place=shelf.number, shelfmark=shelfmark(work, shelf))
        sighting = Sighting(
            id=work.new_id(Sighting), copy=copy.accession, at=now, station=station, place=shelf.number, methods="typed"
        )
        changes = (Change(copy, standing), *made(sighting))
        work.apply(Action("shelve copy", copy.accession, station), changes)
        return standing


def shelfmark(records: Records, shelf: Place) -> str:
    """Write the mark that a label carries: the bookcase's name and the shelf's ("A 3")."""
    bookcase = records.place(shelf.parent) if shelf.parent else None
    return f"{bookcase.name} {shelf.name}" if bookcase else shelf.name
