"""A copy is put on the shelf that a person names, and gets the shelfmark of the place where it now stands."""

from datetime import datetime

from intake.edges.store.library import Library
from intake.edges.store.queries.shelves import copies_on_shelves
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError
from intake.flow.lookup.resolve import find_copy, find_shelf
from intake.flow.shelves.find_room import apply_shelving, check_unpacked, plan_layout
from intake.flow.shelves.shelf_state import Filing
from intake.model.editions import Copy, Edition
from intake.model.places import Place
from intake.shelving.make_room import find_slot


def shelve(library: Library, copy_text: str, shelf_text: str, *, behind: str = "", station: str, now: datetime) -> Copy:
    """Put one copy on a shelf.

    Args:
        library: where it is booked.
        copy_text: the copy's number.
        shelf_text: the shelf's number.
        behind: the copy on that shelf that it stands behind; else it takes its place in the person's order.
        station: who does it.
        now: when, in UTC.

    Raises:
        RefusedError: the copy or the shelf does not exist, or the copy is still packed in a box.
    """
    with library.reading() as reader:
        shelf = find_shelf(reader, shelf_text)
        copy = find_copy(reader, copy_text)
        check_unpacked(copy)
        changes = plan_layout(reader, [(shelf.number, _row(reader, copy, shelf, behind))])
    return apply_shelving(library, copy, shelf, changes, station=station, now=now)


def _row(reader: LibraryReader, copy: Copy, shelf: Place, behind: str) -> list[str]:
    """Return the copies on the shelf from the left as they will stand."""
    standing = copies_on_shelves(reader, [shelf.number])[shelf.number]
    others = [pair for pair in standing if pair[0].accession != copy.accession]
    row = [other.accession for other, _ in others]
    if behind:
        neighbour = find_copy(reader, behind).accession
        if neighbour not in row:
            raise RefusedError(f"Copy {neighbour}", f"does not stand on shelf {shelf.number}", "name one that does")
        at = row.index(neighbour) + 1
    else:
        filing = Filing(reader)
        edition = reader.get(Edition, copy.edition_id)
        _, at = (
            find_slot([[filing.key(other) for _, other in others]], filing.key(edition)) if edition else (0, len(row))
        )
    row.insert(at, copy.accession)
    return row
