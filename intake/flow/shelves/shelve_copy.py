"""A copy is put on the shelf that a person names, and gets the shelfmark of the place where it now stands.

What the shelf cannot take is reported and not refused: the copy stands there already.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from intake.edges.store.library import Library
from intake.edges.store.queries.shelves import copies_on_shelves
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError
from intake.flow.lookup.resolve import find_copy, find_shelf
from intake.flow.shelves.find_room import apply_shelving, check_unpacked, plan_layout
from intake.flow.shelves.load_words import excess_words
from intake.flow.shelves.shelf_state import Filing, Pair, as_book
from intake.model.editions import Copy, Edition
from intake.model.places import Place
from intake.model.shelving import Book
from intake.shelving.excess import Excess, ShelfLimit, find_excess
from intake.shelving.make_room import find_slot


@dataclass(frozen=True, slots=True)
class Shelved:
    """A copy as it now stands.

    Attributes:
        shelf: how its shelf is called ("A 3").
        excess: what of that shelf its books now exceed; heights and depths of this copy alone.
    """

    copy: Copy
    shelf: str
    excess: tuple[Excess, ...] = ()


def shelved_words(shelved: Shelved) -> str:
    """Write where a copy stands, and what it needs that the shelf does not have."""
    stands = f"Copy {shelved.copy.accession} stands at {shelved.copy.shelfmark}."
    return " ".join((stands, *(excess_words(excess, shelved.shelf) for excess in shelved.excess)))


def shelve(
    library: Library, copy_text: str, shelf_text: str, *, behind: str = "", station: str, now: datetime
) -> Shelved:
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
        standing = copies_on_shelves(reader, [shelf.number])[shelf.number]
        edition = reader.get(Edition, copy.edition_id)
        changes = plan_layout(reader, [(shelf.number, _row(reader, copy, shelf, standing, behind))])
    shelved = apply_shelving(library, copy, shelf, changes, station=station, now=now)
    name = shelved.shelfmark
    if edition is None:
        return Shelved(shelved, name)
    own = as_book(copy, edition)
    others = (as_book(*pair) for pair in standing if pair[0].accession != copy.accession)
    return Shelved(shelved, name, _excess(shelf, own, others))


def _excess(shelf: Place, own: Book, others: Iterable[Book]) -> tuple[Excess, ...]:
    """Return what the shelf lacks for all its books together, and for this one."""
    single = (ShelfLimit.HEIGHT, ShelfLimit.DEPTH)
    together = (excess for excess in find_excess(shelf, (own, *others)) if excess.limit not in single)
    alone = (excess for excess in find_excess(shelf, (own,)) if excess.limit in single)
    return (*together, *alone)


def _row(reader: LibraryReader, copy: Copy, shelf: Place, standing: Sequence[Pair], behind: str) -> list[str]:
    """Return the copies on the shelf from the left as they will stand."""
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
