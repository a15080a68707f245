"""A copy is put on the shelf that a person names, and gets the shelfmark of the place where it now stands."""

from collections.abc import Sequence
from datetime import datetime

from intake.edges.store.library import Library
from intake.edges.store.queries.shelves import copies_on_shelves
from intake.edges.store.reader import LibraryReader
from intake.errors import ChangedMeanwhileError, RefusedError
from intake.flow.lookup.resolve import find_copy, find_shelf
from intake.flow.shelves.find_room import apply_shelving, check_unpacked, plan_layout
from intake.flow.shelves.shelf_state import Filing
from intake.model.editions import Copy, Edition
from intake.model.places import Place
from intake.shelving.make_room import find_slot


def shelve(library: Library, copy_text: str, shelf_text: str, *, behind: str = "", station: str, now: datetime) -> Copy:
    """Put one copy on a shelf; see `shelve_all`."""
    return shelve_all(library, [copy_text], shelf_text, behind=behind, station=station, now=now)[0]


def shelve_all(
    library: Library, copy_texts: Sequence[str], shelf_text: str, *, behind: str = "", station: str, now: datetime
) -> tuple[Copy, ...]:
    """Put copies on a shelf, all of them or none, in one entry of the ledger.

    Where another station puts a copy on the shelf meanwhile, the row is looked at once more, as it is then.

    Args:
        library: where it is booked.
        copy_texts: the copies' numbers.
        shelf_text: the shelf's number.
        behind: the copy on that shelf that the first stands behind, and each of the others behind the one before; else
            each takes its place in the person's order.
        station: who does it.
        now: when, in UTC.

    Raises:
        RefusedError: a copy or the shelf does not exist, a copy is still packed in a box or named twice, or other
            stations change the shelf again and again.
    """
    try:
        return _shelve_once(library, copy_texts, shelf_text, behind, station, now)
    except ChangedMeanwhileError:
        return _shelve_once(library, copy_texts, shelf_text, behind, station, now)


def _shelve_once(
    library: Library, copy_texts: Sequence[str], shelf_text: str, behind: str, station: str, now: datetime
) -> tuple[Copy, ...]:
    with library.reading() as reader:
        shelf = find_shelf(reader, shelf_text)
        copies: list[Copy] = []
        for text in copy_texts:
            copy = find_copy(reader, text)
            check_unpacked(copy)
            if copy in copies:
                raise RefusedError(f"Copy {copy.accession}", "is named twice", "name it once")
            copies.append(copy)
        changes = plan_layout(reader, [(shelf.number, _row(reader, copies, shelf, behind))])
    return apply_shelving(library, copies, shelf, changes, station=station, now=now)


def _row(reader: LibraryReader, copies: Sequence[Copy], shelf: Place, behind: str) -> list[str]:
    """Return the copies on the shelf from the left as they will stand."""
    own = {copy.accession for copy in copies}
    standing = copies_on_shelves(reader, [shelf.number])[shelf.number]
    row = [pair for pair in standing if pair[0].accession not in own]
    if behind:
        neighbour = find_copy(reader, behind).accession
        at = next((nth for nth, (copy, _) in enumerate(row, 1) if copy.accession == neighbour), None)
        if at is None:
            raise RefusedError(f"Copy {neighbour}", f"does not stand on shelf {shelf.number}", "name one that does")
        accessions = [copy.accession for copy, _ in row]
        return [*accessions[:at], *(copy.accession for copy in copies), *accessions[at:]]
    filing = Filing(reader)
    editions = reader.get_many(Edition, [copy.edition_id for copy in copies])
    for copy in copies:
        edition = editions[copy.edition_id]
        _, at = find_slot([[filing.key(other) for _, other in row]], filing.key(edition))
        row.insert(at, (copy, edition))
    return [copy.accession for copy, _ in row]
