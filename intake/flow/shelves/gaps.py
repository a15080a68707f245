"""Room kept on the shelves for volumes that are on no shelf yet, so that they find their place when they come."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from intake.flow.lookup.wording import volume_words
from intake.flow.shelves.shelf_state import Filing, Shelf, as_book
from intake.model.editions import Copy, Edition
from intake.model.shelving import Book
from intake.shelving.order import SortKey


@dataclass(frozen=True, slots=True)
class ShelfSequence:
    """The books of one shelf from the left, with the room kept among them, and the key of each."""

    books: tuple[Book, ...]
    keys: tuple[SortKey, ...]

    @property
    def kept(self) -> int:
        """Count the volumes that room is kept for."""
        return sum(not book.copy for book in self.books)


def lines(shelves: Sequence[Shelf], filing: Filing, *, leaving_out: str = "") -> list[ShelfSequence]:
    """Return the books of each shelf, without one copy and without any room kept."""
    sequences = []
    for shelf in shelves:
        pairs = [pair for pair in shelf.standing if pair[0].accession != leaving_out]
        books, keys = tuple(as_book(*pair) for pair in pairs), tuple(filing.key(edition) for _, edition in pairs)
        sequences.append(ShelfSequence(books, keys))
    return sequences


def sets_on(shelves: Iterable[Shelf]) -> set[int]:
    """Return the sets of which a volume stands on any of these shelves."""
    return {edition.set_id for shelf in shelves for _, edition in shelf.standing if edition.set_id is not None}


def with_gaps(
    coming: Iterable[Edition],
    shelves: Sequence[Shelf],
    bare: Sequence[ShelfSequence],
    edition: Edition | None,
    filing: Filing,
) -> tuple[list[ShelfSequence], tuple[Edition, ...]]:
    """Keep room, while a shelf has any, for the volumes to come of the sets that stand on it.

    Args:
        coming: volumes of sets that are on no shelf yet.
        shelves: of one zone.
        bare: their books, from `lines`.
        edition: of the copy in the hand, if any; its own set is looked after too.
        filing: the rule of order.

    Returns:
        The lines, and the volumes of the copy's own set that belong directly beside it and have no room yet.
    """
    own_set = edition.set_id if edition is not None else None
    sets = sets_on(shelves) | {own_set}
    in_hand = edition.id if edition is not None else None
    to_come = [volume for volume in coming if volume.set_id in sets and volume.id != in_hand]
    kept: set[int] = set()
    with_room = []
    for shelf, line in zip(shelves, bare, strict=True):
        free = (shelf.space.width_mm if shelf.space else 0.0) - sum(book.thickness_mm for book in line.books)
        for volume in to_come:
            room = gap(volume)
            at = _behind_its_set(line, filing.key(volume), volume)
            if volume.id not in kept and at is not None and room.thickness_mm <= free:
                free -= room.thickness_mm
                kept.add(volume.id)
                line = _with(line, at, room, filing.key(volume))  # noqa: PLW2901 - it grows gap by gap
        with_room.append(line)
    if edition is None or own_set is None:
        return with_room, ()
    own = [volume for volume in to_come if volume.set_id == own_set and volume.id not in kept]
    return with_room, tuple(_beside(edition, own, bare, filing))


def gap(edition: Edition) -> Book:
    """Return the room of a volume to come."""
    return replace(as_book(Copy(accession="", edition_id=edition.id), edition), name=volume_words(edition))


def _behind_its_set(line: ShelfSequence, key: SortKey, volume: Edition) -> int | None:
    """Return the place behind the last lower volume of the set, before the first where there is none lower."""
    own = [nth for nth, book in enumerate(line.books) if book.set_id == volume.set_id]
    if not own:
        return None
    lower = [nth for nth in own if line.keys[nth] < key]
    return lower[-1] + 1 if lower else own[0]


def _with(line: ShelfSequence, at: int, room: Book, key: SortKey) -> ShelfSequence:
    return ShelfSequence((*line.books[:at], room, *line.books[at:]), (*line.keys[:at], key, *line.keys[at:]))


def _beside(
    edition: Edition, volumes: Sequence[Edition], bare: Sequence[ShelfSequence], filing: Filing
) -> list[Edition]:
    """Keep of the volumes those between which and the edition nothing stands."""
    key = filing.key(edition)
    keys = [other for line in bare for other in line.keys]
    below = max((other for other in keys if other <= key), default=None)
    above = min((other for other in keys if other > key), default=None)
    return [
        volume
        for volume in sorted(volumes, key=filing.key)
        if (below is None or filing.key(volume) > below) and (above is None or filing.key(volume) < above)
    ]
